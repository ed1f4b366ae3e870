"""Evidence and weighings as plain JSON values, for running without a window."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from catalog_gui.domain.caution import CAUTION, NO_ENTRY
from catalog_gui.domain.evidence import Evidence, Standing, standing_from_text
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.problem import BadInput
from catalog_gui.lookalikes.observations import unit_factor
from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.reference import ABSENT, Reference
from catalog_gui.lookalikes.severity_words import harm_of
from catalog_gui.lookalikes.weighing import Weighing


def evidence_from_json(value: object, reference: Reference) -> tuple[Evidence, ...]:
    """Read {"evidence": [{"feature", "standing", "states" or "value", "unit"}]}.

    `states` is a state id or a list of them, `value` a number or [low, high]; numbers come back in the
    feature's own unit. "fruit_body", "sure" and "note" may be added. Raises BadInput with one line that
    names the entry for anything that does not fit.
    """
    if not isinstance(value, Mapping) or not isinstance(value.get("evidence"), list):
        raise BadInput('The evidence must be an object with a list called "evidence".')
    return tuple(_entry(number, item, reference) for number, item in enumerate(value["evidence"], start=1))


def weighing_to_json(
    weighing: Weighing, reference: Reference, *, candidates: int | None = None
) -> dict[str, Any]:
    """{"caution", "candidates", "hazards", "next_checks"}, all of the hazards, at most so many candidates.

    "hazard" says what is documented of a candidate, or that nothing is and that this clears nothing.
    "score" is in nats and only good for putting candidates in order: it is no probability.
    """
    chosen = weighing.candidates[:candidates] if candidates is not None else weighing.candidates[:]
    return {
        "caution": CAUTION,
        "candidates": [
            {
                "taxon": c.taxon.id,
                "hazard": c.severity.means if c.severity is not None else NO_ENTRY,
                "score": c.score,
                "for": [reason.text for reason in c.speaks_for],
                "against": [reason.text for reason in c.speaks_against],
                "unknown": list(c.unknown),
            }
            for c in chosen
        ],
        "hazards": [
            {
                "taxon": h.taxon.id,
                "severity": h.severity.value,
                "means": h.severity.means,
                "syndrome": ", ".join(h.syndromes),
                "harm": harm_of(reference, h.taxon.id),
                "onset": onset_words(reference, h.taxon.id),
                "why_not_excluded": h.why_not_excluded,
                "close": h.close,
            }
            for h in weighing.hazards
        ],
        "next_checks": [
            {"feature": n.feature, "gain": n.gain, "settles": n.settles, "cost": n.cost}
            for n in weighing.next_checks
        ],
    }


def _entry(number: int, item: object, reference: Reference) -> Evidence:
    where = f"Evidence {number}"
    if not isinstance(item, Mapping):
        raise BadInput(f'{where} must be an object with "feature" and "standing".')
    feature_id, standing_text = item.get("feature"), item.get("standing")
    if not isinstance(feature_id, str) or not isinstance(standing_text, str):
        raise BadInput(f'{where} needs "feature" and "standing", both in words.')
    feature = reference.vocabulary.feature(feature_id)
    if feature is None:
        raise BadInput(f"{where}: there is no feature '{feature_id}'.")
    try:
        standing = standing_from_text(standing_text)
    except BadInput as problem:
        raise BadInput(f"{where} ({feature_id}): {problem.reason}") from problem
    states = _states(where, item, feature, reference)
    low, high = _value(where, item, feature)
    if standing is Standing.SEEN:
        if feature.kind == "states" and not states:
            raise BadInput(f'{where} ({feature_id}): something was seen, so "states" must say what.')
        if feature.kind == "number" and low is None:
            raise BadInput(f'{where} ({feature_id}): something was measured, so "value" must say how much.')
    elif states or low is not None:
        raise BadInput(f"{where} ({feature_id}): what is '{standing.value}' can have no states and no value.")
    sure = item.get("sure", True)
    if not isinstance(sure, bool):
        raise BadInput(f'{where} ({feature_id}): "sure" must be true or false.')
    return Evidence(
        id=str(item.get("id") or f"evidence-{number}"),
        specimen_id="",
        feature=feature_id,
        standing=standing,
        states=states,
        low=low,
        high=high,
        unit=feature.unit if low is not None else "",
        note=str(item.get("note") or ""),
        fruit_body=str(item.get("fruit_body") or ""),
        sure=sure,
    )


def _states(where: str, item: Mapping[str, Any], feature: Feature, reference: Reference) -> tuple[str, ...]:
    given = item.get("states")
    if given is None:
        return ()
    listed = [given] if isinstance(given, str) else given
    if not isinstance(listed, list) or not all(isinstance(state, str) for state in listed):
        raise BadInput(f'{where} ({feature.id}): "states" must be a list of words.')
    if listed and feature.kind != "states":
        raise BadInput(f'{where} ({feature.id}): this feature takes a "value", not states.')
    for state in listed:
        if state == ABSENT:
            raise BadInput(
                f"{where} ({feature.id}): for 'absent' write the standing 'looked for and not there'."
            )
        if reference.vocabulary.state(feature.id, state) is None:
            known = ", ".join(s.id for s in reference.vocabulary.states_of(feature.id))
            raise BadInput(f"{where} ({feature.id}): there is no state '{state}'; it is one of {known}.")
    return tuple(dict.fromkeys(listed))


def _value(where: str, item: Mapping[str, Any], feature: Feature) -> tuple[float | None, float | None]:
    given = item.get("value")
    if given is None:
        return None, None
    if feature.kind != "number":
        if feature.kind == "text":
            return None, None
        raise BadInput(f'{where} ({feature.id}): this feature takes "states", not a value.')
    pair = given if isinstance(given, list) else [given, given]
    if len(pair) != 2 or not all(_is_number(number) for number in pair):
        raise BadInput(
            f'{where} ({feature.id}): "value" must be a number or [low, high], each below {_LARGEST:.0f}.'
        )
    low, high = float(pair[0]), float(pair[1])
    if low > high:
        raise BadInput(f"{where} ({feature.id}): the range runs from {low:g} down to {high:g}.")
    if low <= 0:
        raise BadInput(f"{where} ({feature.id}): a measure must be above 0.")
    unit = item.get("unit", "")
    if not isinstance(unit, str):
        raise BadInput(f'{where} ({feature.id}): "unit" must be a word.')
    factor = unit_factor(unit, feature.unit)
    if factor is None:
        raise BadInput(
            f"{where} ({feature.id}): '{unit}' cannot be turned into {feature.unit or 'this measure'}."
        )
    return low * factor, high * factor


_LARGEST = 1e9
"""No measure of a fruit body has so many of any unit."""


def _is_number(value: object) -> bool:
    if not isinstance(value, int | float) or isinstance(value, bool):
        return False
    return -_LARGEST < value < _LARGEST  # a comparison holds for whole numbers that no float can take
