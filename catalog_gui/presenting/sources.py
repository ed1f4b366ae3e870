"""Where the values of the reference come from: the pages that were read, and the share from memory."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

from catalog_gui.lookalikes.reference import MEMORY, Reference
from catalog_gui.lookalikes.well_read import reading_of_all


@dataclass(frozen=True, slots=True)
class SourceLine:
    """One source as it is printed; `uses` counts the states, sizes and hazards that name it."""

    id: str
    words: str
    uses: int
    own: bool

    @property
    def line(self) -> str:
        """The line in the list."""
        mine = "Yours: " if self.own else ""
        rows = "1 value" if self.uses == 1 else f"{self.uses} values"
        return f"{mine}{self.words} · {rows}"


def share_words(reference: Reference) -> str:
    """Say how much of the reference has a page behind it, counted now from its tables."""
    whole = reading_of_all(reference)
    return (
        f"{whole.words} That is {whole.share_from_memory:.0%} from memory, counted over the features of every "
        "taxon. Where texts differ, all of them stand, and the weighing takes the reading that is kinder to a "
        "danger."
    )


def source_lines(reference: Reference) -> tuple[SourceLine, ...]:
    """List every source but memory, the user's own first, then by its words."""
    uses: Counter[str] = Counter()
    for row in reference.states:
        uses.update(row.sources)
    for size in reference.sizes:
        uses[size.source] += 1
    for hazard in reference.hazards:
        uses.update((hazard.source, *hazard.further))
    ours = reference.packs[0] if reference.packs else ""
    lines = [
        SourceLine(
            source.id,
            source.printed,
            uses[source.id],
            bool(source.pack) and source.pack != ours,
        )
        for source in reference.sources
        if source.id != MEMORY
    ]
    return tuple(sorted(lines, key=lambda line: (not line.own, _title(line.words))))


def _title(words: str) -> str:
    """What a source is listed under: its words without a year that stands first."""
    return re.sub(r"^[^a-z]*", "", words.casefold())
