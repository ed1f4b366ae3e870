"""Drawing on pictures: each call is one gesture, and one step that can be taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import count

from catalog_gui.annotation.marks import Mark, MarkKind, copied, faults
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Vocabulary
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import BadInput
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.ports import Surroundings, UnitOfWork
from catalog_gui.workflows.record_evidence import record

GREY_CARD = "grey card"
"""The label of the patch that shows the grey card; a picture has one."""


def put_mark(work: UnitOfWork, mark: Mark, *, vocabulary: Vocabulary | None = None) -> Mark:
    """Keep a new mark, or an old one that was drawn anew.

    A cut-out with a part takes the place of the earlier one of that part, a grey card that of the earlier
    one on the picture. Raises BadInput with every reason why it cannot be kept.
    """
    photo = _photo(work, mark.photo_id)
    if mark.specimen_id and work.specimens.get(mark.specimen_id) is None:
        raise BadInput("That specimen is not there any longer.")
    kept = replace(mark, label=_words(mark.label), note=_words(mark.note))
    if kept.kind in {MarkKind.CROP, MarkKind.BODY}:
        kept = replace(kept, points=_corners(kept.points))
    _check(kept, photo, vocabulary)
    work.marks.remove(*(old.id for old in _replaced(work, kept)))
    work.marks.put(kept)
    return kept


def move_mark(work: UnitOfWork, mark_id: str, points: Sequence[tuple[float, float]]) -> Mark:
    """Give a mark other points, in pixels of the upright picture. Raises BadInput."""
    mark = _mark(work, mark_id)
    moved = replace(mark, points=tuple((float(x), float(y)) for x, y in points))
    if moved.kind in {MarkKind.CROP, MarkKind.BODY}:
        moved = replace(moved, points=_corners(moved.points))
    _check(moved, _photo(work, mark.photo_id), None)
    if moved != mark:
        work.marks.put(moved)
    return moved


def relabel(
    work: UnitOfWork,
    mark_id: str,
    *,
    vocabulary: Vocabulary,
    label: str | None = None,
    part: str | None = None,
    feature: str | None = None,
    state: str | None = None,
    note: str | None = None,
    length_mm: float | None = None,
    length_u_mm: float | None = None,
) -> Mark:
    """Change what a mark says; None leaves a field as it is.

    Another feature takes the old state away. Lengths belong to scales. Raises BadInput for a feature or
    state that the vocabulary does not hold, and for a length on anything but a scale.
    """
    mark = _mark(work, mark_id)
    if length_mm is not None and mark.kind is not MarkKind.SCALE:
        raise BadInput("Only a scale has a known length.")
    changed = replace(
        mark,
        label=mark.label if label is None else _words(label),
        part=mark.part if part is None else part,
        feature=mark.feature if feature is None else feature,
        state=state if state is not None else (mark.state if feature in {None, mark.feature} else ""),
        note=mark.note if note is None else _words(note),
        length_mm=mark.length_mm if length_mm is None else length_mm,
        length_u_mm=mark.length_u_mm if length_mm is None else length_u_mm,
    )
    _check(changed, None, vocabulary)
    if changed != mark:
        work.marks.remove(*(old.id for old in _replaced(work, changed)))
        work.marks.put(changed)
    return changed


def remove_marks(work: UnitOfWork, mark_ids: Sequence[str]) -> int:
    """Take marks off a picture; entries that point at them stay without the link. Returns how many went."""
    there = [mark_id for mark_id in mark_ids if work.marks.get(mark_id) is not None]
    if not there:
        raise BadInput("That mark is not there any longer.")
    work.marks.remove(*there)
    return len(there)


def copy_marks(
    work: UnitOfWork, mark_ids: Sequence[str], photo_id: str, *, new_id: Callable[[], str]
) -> tuple[Mark, ...]:
    """Lay marks of one picture over another one, stretched to its size; scales stay behind.

    Raises BadInput when nothing but scales was chosen, for marks of several pictures and for the same picture.
    """
    marks = [_mark(work, mark_id) for mark_id in mark_ids]
    if not marks:
        raise BadInput("Choose the marks to copy first.")
    if len({mark.photo_id for mark in marks}) > 1:
        raise BadInput("Marks can be copied from one picture at a time.")
    if marks[0].photo_id == photo_id:
        raise BadInput("The marks are on this picture already.")
    source, target = _photo(work, marks[0].photo_id), _photo(work, photo_id)
    wanted = [mark for mark in marks if mark.kind is not MarkKind.CROP]
    made = copied(
        wanted,
        (new_id() for _ in count()),
        photo_id=photo_id,
        from_size=source.upright_size,
        to_size=target.upright_size,
    )
    if not made:
        raise BadInput("Scales and cut-outs belong to their own picture and cannot be copied.")
    return tuple(put_mark(work, mark) for mark in made)


def bring_in(
    work: UnitOfWork, marks: Sequence[Mark], photo_id: str, specimen_id: str, *, new_id: Callable[[], str]
) -> tuple[Mark, ...]:
    """Keep marks read from a file on this picture; those that are there already in the same form are skipped.

    A mark whose id is taken by another one gets a new id. Raises BadInput when none of them can be kept.
    """
    photo = _photo(work, photo_id)
    made: list[Mark] = []
    reasons: list[str] = []
    for mark in marks:
        old = work.marks.get(mark.id)
        own = replace(mark, photo_id=photo_id, specimen_id=specimen_id)
        if old is not None and old == replace(own, specimen_id=old.specimen_id):
            continue
        if old is not None:
            own = replace(own, id=new_id())
        found = faults(own, photo.upright_size)
        if found:
            reasons.extend(found)
            continue
        work.marks.put(own)
        made.append(own)
    if not made:
        raise BadInput(" ".join(dict.fromkeys(reasons)) or "These marks are on the picture already.")
    return tuple(made)


def measured_to_evidence(
    work: UnitOfWork,
    specimen_id: str,
    feature: str,
    low: float,
    high: float,
    unit: str,
    *,
    reference: Reference,
    surroundings: Surroundings,
    mark_id: str = "",
    by: str = "",
    fruit_body: str = "",
) -> Evidence:
    """Write a measured size down as seen, with the picture and the mark that show it, and tie the mark to it.

    `low` and `high` are in `unit` and are kept in the unit of the feature. Raises BadInput as
    `record_evidence.record` does.
    """
    mark = work.marks.get(mark_id) if mark_id else None
    row = record(
        work,
        specimen_id,
        feature,
        Standing.SEEN,
        reference=reference,
        surroundings=surroundings,
        low=low,
        high=high,
        unit=unit,
        by=by,
        photo_id=mark.photo_id if mark is not None else "",
        mark_id=mark.id if mark is not None else "",
        fruit_body=fruit_body,
    )
    if row is None:  # pragma: no cover - 'seen' always leaves a row; for the type checker
        raise BadInput("Nothing was measured.")
    known = reference.vocabulary.feature(feature)
    if mark is not None and known is not None and mark.feature != feature:
        work.marks.put(replace(mark, feature=feature, state="", part=known.part.value))
    return row


def _replaced(work: UnitOfWork, mark: Mark) -> tuple[Mark, ...]:
    """The marks that this one takes the place of."""
    if mark.kind is MarkKind.CROP and mark.part and mark.specimen_id:
        rivals = work.marks.where(specimen_id=mark.specimen_id, part=mark.part)
        return tuple(old for old in rivals if old.kind is MarkKind.CROP and old.id != mark.id)
    if is_grey_card(mark):
        rivals = work.marks.where(photo_id=mark.photo_id)
        return tuple(old for old in rivals if is_grey_card(old) and old.id != mark.id)
    return ()


def is_grey_card(mark: Mark) -> bool:
    """Whether a mark shows the grey card."""
    return mark.kind is MarkKind.COLOUR and mark.label.casefold() == GREY_CARD


def _check(mark: Mark, photo: Photo | None, vocabulary: Vocabulary | None) -> None:
    found = list(faults(mark, photo.upright_size if photo is not None else None))
    if len(mark.points) >= 2 and len(set(mark.points)) < 2 and _needs_length(mark.kind):
        found.append("It has no size; draw it again.")
    if vocabulary is not None and mark.feature:
        feature = vocabulary.feature(mark.feature)
        if feature is None:
            found.append(f"'{mark.feature}' is no feature of the vocabulary.")
        elif mark.state and vocabulary.state(mark.feature, mark.state) is None:
            found.append(f"'{mark.state}' is no state of '{feature.name}'.")
    if found:
        raise BadInput(" ".join(dict.fromkeys(found)))


def _needs_length(kind: MarkKind) -> bool:
    # A scale says so by itself; a pointer may stand with its label wherever there is room.
    return kind not in {MarkKind.POINTER, MarkKind.COLOUR, MarkKind.SCALE}


def _corners(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Top left and bottom right, however the box was drawn."""
    if len(points) != 2:
        return tuple(points)
    (x0, y0), (x1, y1) = points
    return (min(x0, x1), min(y0, y1)), (max(x0, x1), max(y0, y1))


def _words(text: str) -> str:
    return " ".join(text.split())


def _photo(work: UnitOfWork, photo_id: str) -> Photo:
    photo = work.photos.get(photo_id)
    if photo is None:
        raise BadInput("That picture is not in the catalogue any longer.")
    return photo


def _mark(work: UnitOfWork, mark_id: str) -> Mark:
    mark = work.marks.get(mark_id)
    if mark is None:
        raise BadInput("That mark is not there any longer.")
    return mark
