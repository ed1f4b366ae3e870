"""Orders the pictures of all cameras as they would follow each other if one clock were moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog_gui.presenting.sort.state import LaneFacts


@dataclass(frozen=True, slots=True)
class Beat:
    """One picture in the common time; `moved` ones belong to the clock that is being moved."""

    photo_id: str
    moment: float
    moved: bool


def interleaved(
    lanes: Sequence[LaneFacts], clock_id: str, seconds: float, moment: float, count: int
) -> tuple[Beat, ...]:
    """The `count` pictures nearest to a moment (UTC seconds) in true-time order, one clock moved by `seconds`."""
    near: list[Beat] = []
    for lane in lanes:
        moved = lane.clock.id == clock_id
        shift = seconds if moved else 0.0
        at = int(np.searchsorted(lane.seconds, moment - shift))
        near.extend(
            Beat(lane.photos[index], float(lane.seconds[index]) + shift, moved)
            for index in range(max(0, at - count), min(len(lane.seconds), at + count))
        )
    near.sort(key=lambda beat: abs(beat.moment - moment))
    return tuple(sorted(near[:count], key=lambda beat: beat.moment))
