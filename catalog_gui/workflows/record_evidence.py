"""What was seen, what was looked for and not found, what was damaged. Each call is one change."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from catalog_gui.domain.caution import CAUTION_TASTING
from catalog_gui.domain.entry_line import Entry
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.domain.figures_typed import in_unit
from catalog_gui.domain.problem import BadInput
from catalog_gui.lookalikes.reference import ABSENT, Reference
from catalog_gui.workflows.ports import Surroundings, UnitOfWork


def record(
    work: UnitOfWork,
    specimen_id: str,
    feature: str,
    standing: Standing,
    *,
    reference: Reference,
    surroundings: Surroundings,
    states: Sequence[str] = (),
    low: float | None = None,
    high: float | None = None,
    unit: str = "",
    note: str = "",
    by: str = "",
    sure: bool = True,
    photo_id: str = "",
    mark_id: str = "",
    fruit_body: str = "",
    add: bool = False,
) -> Evidence | None:
    """Write down one feature of one specimen (of one fruit body of it); returns what stands now.

    A row that is there already is replaced; with `add` its states and links stay and the new ones join them.
    Numbers are kept in the unit of the feature. 'Not looked at' takes the entry away, except where there is
    a note to keep. Raises BadInput for an unknown specimen, feature, state or unit, for states or numbers
    beside any standing but 'seen', for 'not there' where that makes no sense, for an entry that says
    nothing, and for a taste without the name of the person who tasted.
    """
    if work.specimens.get(specimen_id) is None:
        raise BadInput("That specimen is not there any longer.")
    known = reference.vocabulary.feature(feature)
    if known is None:
        raise BadInput(f"'{feature}' is no feature of the vocabulary.")
    note = " ".join(note.split())
    before = _row(work, specimen_id, feature, fruit_body)
    if standing is Standing.NOT_LOOKED_AT:
        if states or low is not None or high is not None:
            raise BadInput("What was not looked at has neither a state nor a size.")
        if not note:
            if before is not None:
                work.evidence.remove(before.id)
            return None
    elif known.part is Part.TASTE and not by.strip():
        raise BadInput(f"Write down who tasted. {CAUTION_TASTING}")
    _check_states(known, standing, states, reference)
    low, high = _range(known, standing, low, high, unit)
    if before is not None and add and before.standing is standing is Standing.SEEN:
        states = tuple(dict.fromkeys((*before.states, *states)))
        note = note or before.note
        if low is None:
            low, high = before.low, before.high
    if before is not None:
        photo_id, mark_id = photo_id or before.photo_id, mark_id or before.mark_id
    if standing is Standing.SEEN and not states and low is None and not note:
        raise BadInput(f"Say what was seen: a state of '{known.name}', a size or a few words.")
    row = Evidence(
        before.id if before is not None else surroundings.new_id(),
        specimen_id,
        feature,
        standing,
        tuple(dict.fromkeys(states)),
        low,
        high,
        known.unit if low is not None else "",
        note,
        surroundings.now(),
        by.strip(),
        photo_id,
        mark_id,
        fruit_body.strip(),
        sure,
    )
    work.evidence.put(row)
    return row


def record_entries(
    work: UnitOfWork,
    specimen_id: str,
    entries: Sequence[Entry],
    *,
    reference: Reference,
    surroundings: Surroundings,
    by: str = "",
    fruit_body: str = "",
) -> tuple[Evidence, ...]:
    """Write down what one accepted entry line says; all of it or nothing."""
    made = [
        record(
            work,
            specimen_id,
            entry.feature,
            entry.standing,
            reference=reference,
            surroundings=surroundings,
            states=entry.states,
            low=entry.low,
            high=entry.high,
            unit=entry.unit,
            note=entry.note,
            by=by,
            sure=entry.sure,
            fruit_body=fruit_body,
            add=entry.add,
        )
        for entry in entries
    ]
    return tuple(row for row in made if row is not None)


def set_state(
    work: UnitOfWork,
    specimen_id: str,
    feature: str,
    state: str,
    *,
    on: bool,
    reference: Reference,
    surroundings: Surroundings,
    by: str = "",
    fruit_body: str = "",
) -> Evidence | None:
    """Add one state to what was seen, or take it off again; the last one taken off clears the entry."""
    before = _row(work, specimen_id, feature, fruit_body)
    had = before.states if before is not None and before.standing is Standing.SEEN else ()
    left = tuple(dict.fromkeys((*had, state))) if on else tuple(one for one in had if one != state)
    note = before.note if before is not None else ""
    standing = Standing.SEEN if left or (note and on) else Standing.NOT_LOOKED_AT
    return record(
        work,
        specimen_id,
        feature,
        standing,
        reference=reference,
        surroundings=surroundings,
        states=left,
        note=note,
        by=by or (before.noted_by if before is not None else ""),
        sure=before.sure if before is not None else True,
        fruit_body=fruit_body,
    )


def annotate_entry(
    work: UnitOfWork,
    specimen_id: str,
    feature: str,
    *,
    reference: Reference,
    surroundings: Surroundings,
    note: str | None = None,
    sure: bool | None = None,
    by: str = "",
    photo_id: str | None = None,
    mark_id: str | None = None,
    fruit_body: str = "",
) -> Evidence:
    """Change the words, the doubt or the picture beside an entry; what was seen stays as it is.

    A note on a feature without an entry is kept as a note on something not looked at; where the feature is
    free text, the note is what was seen. Raises BadInput for an unknown feature, and when there is neither an
    entry nor a note.
    """
    known = reference.vocabulary.feature(feature)
    if known is None:
        raise BadInput(f"'{feature}' is no feature of the vocabulary.")
    before = _row(work, specimen_id, feature, fruit_body)
    if before is None:
        if not note or work.specimens.get(specimen_id) is None:
            raise BadInput("There is no entry yet that this could belong to.")
        before = Evidence(
            surroundings.new_id(), specimen_id, feature, Standing.NOT_LOOKED_AT, fruit_body=fruit_body
        )
    row = replace(
        before,
        note=before.note if note is None else " ".join(note.split()),
        sure=before.sure if sure is None else sure,
        photo_id=before.photo_id if photo_id is None else photo_id,
        mark_id=before.mark_id if mark_id is None else mark_id,
        noted_at=surroundings.now(),
        noted_by=by or before.noted_by,
    )
    if known.kind == "text":
        row = replace(row, standing=Standing.SEEN if row.note else Standing.NOT_LOOKED_AT)
    if row.standing is Standing.NOT_LOOKED_AT and not row.note:
        work.evidence.remove(row.id)
    else:
        work.evidence.put(row)
    return row


def clear(work: UnitOfWork, specimen_id: str, feature: str, *, fruit_body: str = "") -> None:
    """Take an entry away: the feature is 'not looked at' again. Nothing happens where there is none."""
    before = _row(work, specimen_id, feature, fruit_body)
    if before is not None:
        work.evidence.remove(before.id)


def _row(work: UnitOfWork, specimen_id: str, feature: str, fruit_body: str) -> Evidence | None:
    found = work.evidence.where(specimen_id=specimen_id, feature=feature, fruit_body=fruit_body.strip())
    return found[0] if found else None


def _check_states(feature: Feature, standing: Standing, states: Sequence[str], reference: Reference) -> None:
    if standing is not Standing.SEEN:
        if states:
            raise BadInput(f"'{feature.name}' cannot show a state and be {standing.value} at once.")
        if standing is Standing.NOT_THERE and not reference.absent_name(feature.id):
            raise BadInput(
                f"'{feature.name}' cannot be looked for and not there. If it could not be seen, "
                f"say that it is damaged or gone."
            )
        return
    for state in states:
        if reference.vocabulary.state(feature.id, state) is None or state == ABSENT:
            raise BadInput(f"'{state}' is no state of '{feature.name}'.")


def _range(
    feature: Feature, standing: Standing, low: float | None, high: float | None, unit: str
) -> tuple[float | None, float | None]:
    if low is None and high is None:
        return None, None
    if standing is not Standing.SEEN:
        raise BadInput(f"'{feature.name}' cannot have a size and be {standing.value} at once.")
    if feature.kind != "number":
        raise BadInput(f"'{feature.name}' is not given in numbers.")
    first = low if low is not None else high
    second = high if high is not None else low
    if first is None or second is None:  # pragma: no cover - excluded above, for the type checker
        return None, None
    if not (math.isfinite(first) and math.isfinite(second)) or first < 0 or second < 0:
        raise BadInput(f"A size of '{feature.name}' is a number from 0 upwards.")
    first, second = (in_unit(value, unit, feature.unit) for value in (first, second))
    return min(first, second), max(first, second)
