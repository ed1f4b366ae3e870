"""One order for the steps of the records and of her own pack, so that 'take back' takes back the newest of both."""

from __future__ import annotations

from catalog_gui.domain.ledger import Step
from catalog_gui.domain.pack_edit import PackStep
from catalog_gui.workflows.ports import OwnPack, Records

_LOOKED_AT = 1000


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
