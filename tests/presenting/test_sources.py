"""Where the values come from: counted from the tables, never typed."""

from __future__ import annotations

from catalog_gui.domain.feature import Feature, Part, State, Vocabulary
from catalog_gui.lookalikes.reference import Frequency, Reference, SizeRange, Source, StateFrequency, Taxon
from catalog_gui.presenting.sources import share_words, source_lines


def pack() -> Reference:
    return Reference(
        Vocabulary((Feature("ring.kind", Part.RING, "ring"),), (State("ring.kind", "hanging", "hanging"),)),
        taxa=(Taxon("alba", "Testia alba"),),
        states=(
            StateFrequency("alba", "ring.kind", "hanging", Frequency.USUALLY, "zeta", further=("mine",)),
        ),
        sizes=(SizeRange("alba", "cap.width", 1, 2, unit="mm", source="memory"),),
        sources=(
            Source("memory", "From memory, source not seen", "memory", "", "no", "ours"),
            Source("zeta", "Zeta 2001. Fungi", "handbook", "2001", "abstract", "ours"),
            Source("mine", "My own book", "book", "1999", "yes", "hers"),
        ),
        packs=("ours", "hers"),
    )


def test_own_sources_come_first_and_every_use_is_counted() -> None:
    lines = source_lines(pack())
    assert [line.line for line in lines] == [
        "Yours: My own book · 1 value",
        "Zeta 2001. Fungi (abstract read only) · 1 value",
    ]


def test_the_share_from_memory_is_reckoned() -> None:
    assert "50% from memory" in share_words(pack())
    assert "1 of 2 features have a page" in share_words(pack())
