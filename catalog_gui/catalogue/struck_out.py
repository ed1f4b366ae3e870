"""Evidence that was struck out, found in the before-images of the journal.

The journal is read once, then only what was added to it or taken back since: a question after that costs a
look at its end. Only what it says of evidence is kept in memory, by record.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from catalog_gui.catalogue import journal as images
from catalog_gui.catalogue.repository import mapper_of
from catalog_gui.catalogue.rows import Cell, Row
from catalog_gui.catalogue.tables import RECORD_TABLES, journal
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.struck_out import StruckOut, says_something, still_said

_TABLE = RECORD_TABLES["evidence"]
Cells = dict[str, Cell]


@dataclass(frozen=True, slots=True)
class _Event:
    """What one step did to one record: the whole row it made or took away, or the cells it changed (old, new)."""

    at: str
    label: str
    made: Cells | None = None
    gone: Cells | None = None
    changed: dict[str, tuple[Cell, Cell]] | None = None


class EvidenceHistory:
    """What the journal says of evidence. For one connection at a time, like the catalogue that keeps it."""

    def __init__(self) -> None:
        self._read_to = 0
        self._undone: frozenset[int] = frozenset()
        self._events: dict[str, dict[int, _Event]] = {}  # record id: step: what it did
        self._records: dict[str, set[str]] = {}  # specimen id: records that ever were its
        self._touched: dict[int, set[str]] = {}  # step: records
        self._seen = 0  # how many steps there are up to the one read last

    def struck_out(self, connection: Connection, specimen_id: str) -> tuple[StruckOut, ...]:
        """What was struck out of a specimen's evidence, oldest first; each record as often as it changed."""
        self._catch_up(connection)
        found: list[StruckOut] = []
        for record in self._records.get(specimen_id, ()):
            found.extend(one for one in self._of_record(record) if one.evidence.specimen_id == specimen_id)
        return tuple(sorted(found, key=lambda one: (one.at, one.evidence.id)))

    def _of_record(self, record: str) -> list[StruckOut]:
        row: Cells | None = None
        found = []
        for step, event in sorted(self._events[record].items()):
            if step in self._undone:
                continue
            before = row
            if event.made is not None:
                row = event.made
            elif event.gone is not None:
                before, row = event.gone, None
            elif event.changed is not None and row is not None:
                row = {**row, **{name: new for name, (_, new) in event.changed.items()}}
            if before is not None and row is not before:
                old, new = _evidence(before), _evidence(row) if row is not None else None
                if says_something(old) and (new is None or not still_said(old, new)):
                    found.append(StruckOut(old, images.step_at(step, event.label, event.at), event.label))
        return found

    def _catch_up(self, connection: Connection) -> None:
        undone = frozenset(
            connection.scalars(select(journal.c.id).where(journal.c.undoable, journal.c.undone))
        )
        upto = journal.c.id <= self._read_to
        there = connection.scalar(select(func.count()).where(upto)) or 0
        if there != self._seen:  # a branch of steps taken back has ended meanwhile
            for step in set(self._touched) - set(connection.scalars(select(journal.c.id).where(upto))):
                self._forget(step)
        # What was taken back or done again meanwhile was written anew.
        for step in self._undone ^ undone:
            if step <= self._read_to:
                self._forget(step)
                self._read(connection, journal.c.id == step)
        self._undone = undone
        self._seen = there + self._read(connection, journal.c.id > self._read_to)

    def _read(self, connection: Connection, wanted: object) -> int:
        query = select(journal.c.id, journal.c.at, journal.c.label, journal.c.images).order_by(journal.c.id)
        steps = 0
        for step, at, label, blob in connection.execute(query.where(wanted)):  # type: ignore[arg-type]
            if step not in self._touched and _speaks_of_evidence(blob):
                self._keep(step, at, str(label), images.step_images(step, label, blob).get("evidence"))
            # Only now: a step that cannot be read is asked for again, and never passed over in silence.
            steps += 1
            self._read_to = max(self._read_to, step)
        return steps

    def _keep(self, step: int, at: str, label: str, part: images.TableImages | None) -> None:
        if part is None:
            return
        for row in part.made:
            self._put(step, _Event(at, label, made=dict(zip(part.columns, row, strict=True))))
        for row in part.gone:
            self._put(step, _Event(at, label, gone=dict(zip(part.columns, row, strict=True))))
        for record, cells in part.changed.items():
            self._put(step, _Event(at, label, changed=cells), record)

    def _put(self, step: int, event: _Event, record: str = "") -> None:
        row = event.made or event.gone or {}
        key = record or str(row["id"])
        self._events.setdefault(key, {})[step] = event
        self._touched.setdefault(step, set()).add(key)
        moved = event.changed.get("specimen_id", ()) if event.changed else (row.get("specimen_id"),)
        for specimen in moved:
            if specimen:
                self._records.setdefault(str(specimen), set()).add(key)

    def _forget(self, step: int) -> None:
        for record in self._touched.pop(step, ()):
            self._events[record].pop(step, None)


def _speaks_of_evidence(blob: object) -> bool:
    """Whether a step may have changed evidence; one that cannot be unpacked may have."""
    try:
        text = zlib.decompress(blob)  # type: ignore[arg-type]
    except (zlib.error, TypeError):
        return True
    return b'"evidence":{' in text or not (text.startswith(b"{") and text.endswith(b"}"))


def _evidence(cells: Cells) -> Evidence:
    shape = mapper_of("evidence")
    row: Row = tuple(
        cells[name] if name in cells else images.default_of(_TABLE, name) for name in shape.columns
    )
    value: Evidence = shape.value(row)
    return value
