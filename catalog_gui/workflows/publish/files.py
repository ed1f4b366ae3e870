"""Records and pictures as files: archive, spreadsheet, clean copies."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.day_words import SHORT_MONTHS
from catalog_gui.domain.page import Paper, PictureBlock
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import BadInput, Cancelled, Problem
from catalog_gui.domain.record import Record
from catalog_gui.domain.record_check import Question, questions
from catalog_gui.lookalikes.reference import Frequency, Reference
from catalog_gui.workflows.ports import Papers
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.last_look import last_look
from catalog_gui.workflows.publish.order import Kind, Order
from catalog_gui.workflows.publish.pictures import PANEL_EDGE, marked_picture
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.records import record_of
from catalog_gui.workflows.publish.secrets import secrets_of

SHOWN = 40
WHOLE_EDGE = 8000
ARCHIVE_EDGE = 1600

DrawMarks = Callable[[PictureBlock], Raster]
"""Burns the marks of a picture into its pixels."""


def checked(records: Sequence[Record], found: Sequence[Gathered], press: Press) -> tuple[Question, ...]:
    """What a verifier would ask about these records."""
    by_record = {record.id: one for record, one in zip(records, found, strict=True)}
    reference = press.reference

    def days(record: Record) -> tuple[date, date] | None:
        one = by_record[record.id]
        if one.foray is None or one.foray.started is None or one.foray.ended is None:
            return None
        zone = zone_of(one, press)
        return one.foray.started.astimezone(zone).date(), one.foray.ended.astimezone(zone).date()

    return questions(
        records,
        today=press.surroundings.now().date(),
        foray_days=days,
        months_of=lambda taxon: months_of(reference, taxon),
        accepted_name=lambda name: accepted_name(reference, name),
    )


def months_of(reference: Reference, taxon: str) -> frozenset[int] | None:
    """The months in which a taxon is written to appear (1 to 12); None where nothing is written."""
    rows = reference.states_of(taxon, roles.MONTH)
    found = {row.state for row in rows if row.frequency is not Frequency.NEVER}
    return (
        frozenset(SHORT_MONTHS.index(state) + 1 for state in found if state in SHORT_MONTHS) if rows else None
    )


def accepted_name(reference: Reference, name: str) -> str:
    """The name that a synonym of the reference stands for; '' for an accepted or unknown one."""
    taxon = reference.named(name) if name else None
    return taxon.name if taxon is not None and taxon.name.casefold() != name.casefold() else ""


def file_preview(order: Order, found: Sequence[Gathered], press: Press, makers: Papers) -> Paper:
    """What goes into the files, on paper: for looking before anything is written."""
    if not found:
        raise BadInput("Choose at least one find.")
    if order.kind is not Kind.PICTURES:
        records = tuple(record_of(one, order.reader, press, facts=False) for one in found)
        return makers.records_paper(records, checked(records, found, press), letter=press.letter)
    shown: list[PictureBlock | str] = []
    total = sum(len(one.photos) for one in found)
    for name, photo, one in _named(found):
        if len(shown) == SHOWN:
            shown.append(f"and {total - SHOWN} more")
            break
        try:
            shown.append(_picture(photo, one, order, press, PANEL_EDGE, name))
        except Problem as problem:
            shown.append(f"{name}: {problem.reason}")
    terms = [word for word in (order.author, order.licence) if word]
    words = [
        f"{total} picture{'' if total == 1 else 's'} as new files, "
        + (f"at most {order.edge} px long" if order.edge else "full size")
        + (", with marks." if order.marks else ", without marks."),
        "No place, date, camera, serial number, owner or maker's note goes with them.",
        f"Written into them: {', '.join(terms)}."
        if terms
        else "Neither author nor licence is written into them.",
    ]
    return makers.pictures_paper(shown, words, letter=press.letter)


def write_files(
    order: Order,
    found: Sequence[Gathered],
    press: Press,
    makers: Papers,
    target: Path,
    *,
    draw: DrawMarks,
    replace: bool = False,
    left_in: frozenset[str] = frozenset(),
    progress: Callable[[int], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> int:
    """Write an archive, a spreadsheet or a folder of pictures; returns how many records or pictures went.

    Whole or not at all. Raises BadInput and Cancelled, and PlacesLeft for files with no place in which words
    still look like one and are not among `left_in`.
    """
    if not found:
        raise BadInput("Choose at least one find.")
    look = last_look(order, press, left_in)
    if order.kind is Kind.PICTURES:
        copies = (
            (name, makers.clean_copy(raster, order.author, order.licence, edge=order.edge))
            for name, raster in _rasters(order, found, press, draw, cancelled, order.edge or WHOLE_EDGE)
        )
        return makers.write_pictures(copies, target, look=look, progress=progress, cancelled=cancelled)
    records = tuple(record_of(one, order.reader, press) for one in found)
    if order.kind is Kind.TABLE:
        return makers.write_table(records, target, replace=replace, look=look)
    of_name = {name: one.specimen.id for name, _, one in _named(found)}
    occurrences = {record.id: record.occurrence_id for record in records}
    images = (
        (
            occurrences[of_name[name]],
            name,
            makers.clean_copy(raster, order.author, order.licence, edge=ARCHIVE_EDGE),
        )
        for name, raster in _rasters(order, found, press, draw, cancelled, ARCHIVE_EDGE)
    )
    return makers.write_archive(
        records,
        images if order.with_pictures else (),
        target,
        author=order.author,
        licence=order.licence,
        made_on=press.surroundings.now().date(),
        identifier=f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_OID, ' '.join(order.specimens))}",
        status=order.status,
        replace=replace,
        look=look,
        progress=progress,
        cancelled=cancelled,
    )


def _named(found: Sequence[Gathered]) -> Iterator[tuple[str, Photo, Gathered]]:
    """Every picture with a name for its copy: the find's number and a count, nothing of the old name."""
    for one in found:
        number = "".join(c if c.isalnum() or c in "-_" else "-" for c in one.specimen.number) or "find"
        for count, photo in enumerate(one.photos, 1):
            yield f"{number}-{count:02d}.jpg", photo, one


def _rasters(
    order: Order,
    found: Sequence[Gathered],
    press: Press,
    draw: DrawMarks,
    cancelled: Callable[[], bool],
    edge: int,
) -> Iterator[tuple[str, Raster]]:
    """Pixels of every picture, marks burnt in if wanted. A picture that cannot be read stops the export."""
    for name, photo, one in _named(found):
        if cancelled():
            raise Cancelled
        try:
            block = _picture(photo, one, order, press, edge, "")
        except Problem as problem:
            # The sentence names the file for the user; nothing of it goes out.
            raise BadInput(f"{problem.reason} Nothing was written.", path=photo.path) from problem
        yield name, draw(block) if order.marks else block.raster


def _picture(
    photo: Photo, one: Gathered, order: Order, press: Press, edge: int, caption: str
) -> PictureBlock:
    kept = secrets_of(one, order.reader, press.person)
    block = marked_picture(photo, None, one.marks, press.pictures, caption, kept, edge)
    return block if order.marks else PictureBlock(block.raster, caption)
