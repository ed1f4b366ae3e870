"""What pages say, how many of them, and how well a taxon is read."""

from __future__ import annotations

from catalog_gui.domain.feature import Feature, Part, State, Vocabulary
from catalog_gui.lookalikes.reasons import texts_words, written_words
from catalog_gui.lookalikes.reference import Frequency, Reference, SizeRange, StateFrequency, Taxon
from catalog_gui.lookalikes.well_read import reading_of, reading_of_all

RING = Feature("ring.kind", Part.RING, "ring")
WIDTH = Feature("cap.width", Part.CAP, "cap width", kind="number", unit="mm")
PACK = Reference(
    Vocabulary(
        (RING, WIDTH), (State("ring.kind", "hanging", "hanging"), State("ring.kind", "woolly", "woolly"))
    ),
    taxa=(Taxon("alba", "Testia alba"), Taxon("nigra", "Testia nigra")),
    states=(
        StateFrequency(
            "alba", "ring.kind", "hanging", Frequency.USUALLY, "one", texts="2/3", further=("two",)
        ),
        StateFrequency("alba", "ring.kind", "woolly", Frequency.NEVER, "three", texts="0/3"),
        StateFrequency("nigra", "ring.kind", "hanging", Frequency.USUALLY, "memory"),
    ),
    sizes=(SizeRange("alba", "cap.width", 20, 40, unit="mm", source="memory"),),
)


def test_texts_are_counted_state_by_state() -> None:
    assert texts_words(PACK, RING, PACK.states_of("alba", "ring.kind")) == (
        "hanging in 2 of 3 texts, woolly in 0 of 3"
    )
    assert texts_words(PACK, RING, PACK.states_of("nigra", "ring.kind")) == ""


def test_every_page_that_says_so_is_a_source() -> None:
    assert written_words(PACK, "alba", RING)[1] == ("one", "two", "three")


def test_how_well_a_taxon_is_read() -> None:
    assert reading_of(PACK, "alba").words == (
        "Read on 3 pages: 1 of 2 features have a page, 1 stands from memory."
    )
    assert reading_of(PACK, "nigra").words == "No page was read for this: everything stands from memory."
    assert round(reading_of_all(PACK).share_from_memory, 6) == 0.666667


def test_our_own_pack_counts_what_its_tables_hold(ours: Reference) -> None:
    whole = reading_of_all(ours)
    assert whole.pages > 500
    assert 0 < whole.share_from_memory < 1
    assert reading_of(ours, "amanita-phalloides").pages >= 3
