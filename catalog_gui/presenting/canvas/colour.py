"""Tells the colour under a mark: corrected by the grey card, named, and held against the vocabulary."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from catalog_gui.annotation.colour import PatchColour, mean_colour, nearest, patch_colour
from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.feature import Vocabulary
from catalog_gui.domain.problem import BadInput
from catalog_gui.workflows.annotate import is_grey_card

_SPOT = 6.0  # half the side of the patch around a clicked spot, in picture pixels


class Samples(Protocol):
    """A decoded picture whose pixels can be taken: sRGB, 0 to 255, few enough to be quick."""

    @property
    def whole(self) -> object | None:
        """The whole picture, None while only a preview is there."""

    def patch(self, box: tuple[float, float, float, float]) -> list[tuple[float, float, float]]:
        """The pixels inside left, top, right, bottom of the picture."""


def read_colour(
    mark: Mark, marks: Iterable[Mark], picture: Samples, vocabulary: Vocabulary
) -> tuple[PatchColour | None, str]:
    """Tell the colour of a patch, None where it cannot be told, and the sentences that go with it."""
    try:
        patch = _pixels(mark, picture)
        card = next((one for one in marks if is_grey_card(one)), None)
        if card is not None and card.id == mark.id:
            return None, "The grey card: colour spots on this picture are corrected by it."
        found = patch_colour(patch, _pixels(card, picture) if card is not None else None)
    except BadInput as problem:
        return None, problem.reason
    return found, " ".join([f"{found.text()}.", *_nearest_state(mark, found, vocabulary), *found.warnings])


def _nearest_state(mark: Mark, found: PatchColour, vocabulary: Vocabulary) -> list[str]:
    """Which of the colours in the vocabulary comes nearest."""
    feature = vocabulary.feature(mark.feature) or vocabulary.feature(f"{mark.part}.colour")
    if feature is None:
        return []
    palette = {state.name: state.colour for state in vocabulary.states_of(feature.id) if state.colour}
    if not palette:
        return []
    name, distance = nearest(found.lab, palette)
    return [f"Nearest {feature.name}: {name} (ΔE00 {distance:.1f})."]


def _pixels(mark: Mark, picture: Samples) -> tuple[float, float, float]:
    if picture.whole is None:
        raise BadInput("The colour can be read when the whole picture is there.")
    xs, ys = [x for x, _ in mark.points], [y for _, y in mark.points]
    spread = _SPOT if len(mark.points) == 1 else 0.0
    box = (min(xs) - spread, min(ys) - spread, max(xs) + spread, max(ys) + spread)
    return mean_colour(picture.patch(box))
