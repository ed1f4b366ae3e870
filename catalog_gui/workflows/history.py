"""Keeps the steps of the records and of the own pack in one order, so that undo takes back the newest of both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from catalog_gui.domain.ledger import Changed, Step
from catalog_gui.domain.pack_edit import PackStep
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.ports import OwnPack, Records

_LOOKED_AT = 1000

OWN_PACK_CHANGED: Mapping[str, frozenset[str]] = {"reference": frozenset({"own"})}
"""The ids of a `Changed` that is about the own pack."""


@dataclass(frozen=True, slots=True)
class HistoryMove:
    """What undo or redo did: nothing (`change` None), a step of the records, or of the pack.

    `reference` is the one to weigh with from now on where a step of the pack was moved, else None.
    """

    change: Changed | None = None
    reference: Reference | None = None


def undo(records: Records, pack: OwnPack | None, place: str) -> HistoryMove:
    """Take back the newest step, of the records or of the own pack."""
    if pack is not None and newest_of_both(records, pack, place)[1] is not None:
        moved = pack.undo()
        if moved is not None:
            return HistoryMove(Changed(moved[0].label, dict(OWN_PACK_CHANGED)), moved[1])
    return HistoryMove(records.undo())


def redo(records: Records, pack: OwnPack | None, place: str) -> HistoryMove:
    """Do again what was taken back last, of the records or of the own pack."""
    if pack is not None and oldest_undone_of_both(records, pack, place)[1] is not None:
        moved = pack.redo()
        if moved is not None:
            return HistoryMove(Changed(moved[0].label, dict(OWN_PACK_CHANGED)), moved[1])
    return HistoryMove(records.redo())


def newest_of_both(records: Records, pack: OwnPack | None, place: str) -> tuple[Step | None, PackStep | None]:
    """The newest step that stands: of the records, or of the pack where that one is newer (then both).

    `place` names the catalogue: steps of the pack made beside another catalogue are no part of this
    one's history.
    """
    step = next((one for one in records.steps(_LOOKED_AT) if not one.undone), None)
    done = next((one for one in _steps(pack) if not one.undone), None)
    mine = done is not None and done.place == place and (step is None or done.after >= step.id)
    return step, done if mine else None


def oldest_undone_of_both(
    records: Records, pack: OwnPack | None, place: str
) -> tuple[Step | None, PackStep | None]:
    """The step that was taken back last, likewise."""
    step = next((one for one in reversed(records.steps(_LOOKED_AT)) if one.undone), None)
    undone = next((one for one in reversed(_steps(pack)) if one.undone), None)
    mine = undone is not None and undone.place == place and (step is None or undone.after < step.id)
    return step, undone if mine else None


def all_steps(records: Records, pack: OwnPack | None, place: str, limit: int) -> tuple[Step, ...]:
    """The steps of both, newest first, as the list of what was done shows them."""
    found = [(one.id, 0, one) for one in records.steps(limit)]
    found += [
        (one.after, one.number, Step(-one.number, one.label, one.at, one.undone))
        for one in _steps(pack)
        if one.place == place
    ]
    found.sort(key=lambda entry: entry[:2], reverse=True)
    return tuple(step for _, _, step in found[:limit])


def _steps(pack: OwnPack | None) -> tuple[PackStep, ...]:
    return pack.steps() if pack is not None else ()
