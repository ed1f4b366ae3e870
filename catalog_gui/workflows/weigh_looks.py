"""The look of the pictures, weighed in as soon as previews are at hand. The first proposal never waits for it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Problem
from catalog_gui.workflows.foray_memory import ForayMemory
from catalog_gui.workflows.ports import Pictures, Surroundings, UnitOfWork
from catalog_gui.workflows.regroup import propose_again

LABEL = "Weigh in how the pictures look"
_EDGE = 160


def see_pictures(pictures: Pictures, photos: Sequence[Photo], *, cancelled: Callable[[], bool]) -> int:
    """Have a first look at every picture that holds a small one of its own; returns how many were seen.

    No picture is decoded whole for it. What cannot be seen now is looked at when it is first shown.
    """
    seen = 0
    for photo in photos:
        if cancelled():
            break
        try:
            seen += pictures.first_look(photo, _EDGE) is not None
        except Problem:
            continue  # it says so where it is shown
    return seen


def weigh_looks(
    work: UnitOfWork,
    foray_id: str,
    since: object,
    surroundings: Surroundings,
    *,
    memory: ForayMemory | None = None,
) -> bool:
    """Propose the foray anew with the looks now at hand, if nothing was done since; whether anything changed.

    `since` is where the records stood when the pictures had been taken in. Once somebody has begun to sort, nothing
    moves under their hands: corrections bring the looks in, each for its own neighbourhood.
    """
    if surroundings.likeness is None or not is_untouched(work, since):
        return False
    propose_again(work, foray_id, surroundings, memory=memory)
    return not is_untouched(work, since)


def is_untouched(work: UnitOfWork, since: object) -> bool:
    """Whether nothing but fingerprints of pictures was written since that position of the records."""
    touched = work.changed_since(since)
    return touched is not None and not any(ids for kind, ids in touched.items() if kind != "photos")
