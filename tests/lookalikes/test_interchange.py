"""Evidence and weighings as JSON."""

from __future__ import annotations

import json

import pytest

from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.problem import BadInput
from catalog_gui.lookalikes import Reference
from catalog_gui.lookalikes.interchange import evidence_from_json, weighing_to_json
from catalog_gui.lookalikes.observations import unit_factor
from tests.lookalikes.ready import weigh

SEEN = {"feature": "cap.colour", "standing": "seen", "states": ["white"]}


def one(ours: Reference, **entry: object) -> object:
    return evidence_from_json({"evidence": [entry]}, ours)


def test_a_round_trip(ours: Reference) -> None:
    evidence = evidence_from_json(
        {
            "evidence": [
                SEEN,
                {"feature": "ring.kind", "standing": "looked for and not there"},
                {"feature": "base.volva", "standing": "not looked at"},
                {"feature": "smell.kind", "standing": "damaged-or-gone"},
                {"feature": "cap.width", "standing": "seen", "value": [7, 9.5], "unit": "cm"},
                {"feature": "micro.spore-length", "standing": "Seen", "value": 9, "unit": "um"},
            ]
        },
        ours,
    )
    assert [e.standing for e in evidence] == [
        Standing.SEEN,
        Standing.NOT_THERE,
        Standing.NOT_LOOKED_AT,
        Standing.GONE,
        Standing.SEEN,
        Standing.SEEN,
    ]
    assert (evidence[4].low, evidence[4].high, evidence[4].unit) == (70, 95, "mm")
    assert (evidence[5].low, evidence[5].high, evidence[5].unit) == (9, 9, "µm")
    written = json.loads(json.dumps(weighing_to_json(weigh(list(evidence), ours), ours)))
    assert set(written) == {"caution", "candidates", "hazards", "next_checks"}
    assert {"taxon", "score", "for", "against", "unknown"} <= set(written["candidates"][0])
    assert {"taxon", "severity", "harm", "onset", "syndrome", "why_not_excluded"} <= set(
        written["hazards"][0]
    )
    assert {"feature", "gain", "settles"} <= set(written["next_checks"][0])
    assert len(written["candidates"]) == len(ours.taxa)
    scores = [c["score"] for c in written["candidates"]]
    assert scores == sorted(scores, reverse=True)


@pytest.mark.parametrize(
    ("given", "wanted", "factor"),
    [
        ("", "mm", 1),
        ("mm", "mm", 1),
        ("cm", "mm", 10),
        ("µm", "mm", 0.001),
        ("um", "µm", 1),
        ("μm", "µm", 1),  # the Greek letter, not the sign
        ("mm", "µm", 1000),
        ("ratio", "ratio", 1),
        ("inch", "mm", None),
        ("mm", "ratio", None),
    ],
)
def test_units(given: str, wanted: str, factor: float | None) -> None:
    assert unit_factor(given, wanted) == factor


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        ({"feature": "hat.colour", "standing": "seen", "states": ["white"]}, "no feature 'hat.colour'"),
        ({"feature": "cap.colour", "standing": "seen", "states": ["plaid"]}, "no state 'plaid'"),
        ({"feature": "cap.colour", "standing": "perhaps", "states": ["white"]}, "not a standing"),
        ({"feature": "cap.colour", "standing": "seen"}, "must say what"),
        ({"feature": "cap.colour", "standing": "seen", "states": [3]}, "list of words"),
        ({"feature": "cap.colour", "standing": "seen", "value": 3}, 'takes "states"'),
        ({"feature": "cap.colour", "standing": "not looked at", "states": ["white"]}, "no states"),
        ({"feature": "ring.kind", "standing": "seen", "states": ["absent"]}, "looked for and not there"),
        ({"feature": "cap.width", "standing": "seen"}, "must say how much"),
        ({"feature": "cap.width", "standing": "seen", "value": "wide"}, "a number or [low, high]"),
        ({"feature": "cap.width", "standing": "seen", "value": [1, 2, 3]}, "a number or [low, high]"),
        ({"feature": "cap.width", "standing": "seen", "value": True}, "a number or [low, high]"),
        ({"feature": "cap.width", "standing": "seen", "value": float("nan")}, "a number or [low, high]"),
        ({"feature": "cap.width", "standing": "seen", "value": [9, 2]}, "down to"),
        ({"feature": "cap.width", "standing": "seen", "value": -2}, "above 0"),
        ({"feature": "cap.width", "standing": "seen", "value": 2, "unit": "ell"}, "'ell'"),
        ({"feature": "cap.width", "standing": "seen", "states": ["wide"]}, 'takes a "value"'),
        ({"standing": "seen"}, 'needs "feature"'),
        ({"feature": "cap.colour", "standing": "seen", "states": ["white"], "sure": "no"}, "true or false"),
    ],
)
def test_bad_evidence_gets_one_clear_line(ours: Reference, entry: dict[str, object], says: str) -> None:
    with pytest.raises(BadInput) as refused:
        evidence_from_json({"evidence": [SEEN, entry]}, ours)
    assert says in refused.value.reason
    assert refused.value.reason.startswith("Evidence 2")
    assert "\n" not in refused.value.reason


@pytest.mark.parametrize("value", [None, [], {"evidence": {}}, {"proof": []}, {"evidence": ["white cap"]}])
def test_what_is_no_evidence_at_all(ours: Reference, value: object) -> None:
    with pytest.raises(BadInput):
        evidence_from_json(value, ours)
