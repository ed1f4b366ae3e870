"""Taxa of her own become rows of her own pack, which the reader accepts and the weighing follows."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from catalog_gui import assets
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.problem import BadInput
from catalog_gui.lookalikes import prepare, weigh
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference, Severity
from catalog_gui.packs.own import OwnPackFolder
from catalog_gui.workflows.own_taxa import (
    HazardDraft,
    TaxonDraft,
    cited,
    corrected_taxon,
    hazard_rows,
    her_rows,
    is_hers,
    new_taxon,
    pair_rows,
    size_rows,
    state_rows,
    taxon_key,
    without,
    without_taxon,
)

NOW = datetime(2025, 10, 18, 20, 0, tzinfo=UTC)
FLORA = "Mossop H 1988. An invented flora of Hobbin Shaw"


@pytest.fixture
def pack(tmp_path: Path) -> OwnPackFolder:
    return OwnPackFolder(assets.reference_pack(), tmp_path / "own-taxa")


@pytest.fixture
def ours(pack: OwnPackFolder) -> Reference:
    return pack.read()


def whole_taxon(pack: OwnPackFolder, ours: Reference) -> Reference:
    """An invented, poisonous Amanita with everything that can be said of it."""
    key, rows = new_taxon(
        ours,
        TaxonDraft("Amanita hobbinensis", "Mossop", "Hobbin cap", forms=("agaric",), source=FLORA),
    )
    now = pack.change("Added", rows, at=NOW)
    edits = [
        *state_rows(now, key, "cap.colour", "blue", Frequency.USUALLY, source=FLORA),
        *state_rows(now, key, "ring.kind", ABSENT, Frequency.USUALLY, source="memory"),
        *size_rows(now, key, "cap.width", 40, 90, highest=120, source=FLORA),
        *hazard_rows(
            now, key, HazardDraft(Severity.SERIOUS, FLORA, "1A", low=6, high=12, counts="first gut trouble")
        ),
        *pair_rows(now, key, "amanita-citrina", separates=("cap.colour",), source=""),
    ]
    return pack.change("Filled in", edits, at=NOW)


def test_a_taxon_with_everything_is_read_back_and_marked_as_hers(
    pack: OwnPackFolder, ours: Reference
) -> None:
    reference = whole_taxon(pack, ours)
    taxon = reference.named("Amanita hobbinensis Mossop")
    assert taxon is not None
    assert (taxon.id, taxon.english, taxon.genus) == ("amanita-hobbinensis", "Hobbin cap", "Amanita")
    assert is_hers(reference, taxon.pack)
    source = reference.source(taxon.source)
    assert source is not None
    assert source.citation == FLORA
    assert taxon.source == "mossop-1988"
    assert {row.state for row in reference.all_states_of(taxon.id)} == {"blue", ABSENT}
    assert reference.sizes_of(taxon.id)[0].extreme_high == 120
    assert reference.severity_of(taxon.id) is Severity.SERIOUS
    assert [c.taxon for c in reference.confusions_of("amanita-citrina") if c.lookalike == taxon.id] == [
        "amanita-citrina"
    ]
    assert len([s for s in reference.sources if s.citation == FLORA]) == 1


def test_the_weighing_follows(pack: OwnPackFolder, ours: Reference) -> None:
    blue = [
        Evidence("1", "f", "whole.form", Standing.SEEN, ("agaric",)),
        Evidence("2", "f", "cap.colour", Standing.SEEN, ("blue",)),
    ]
    prepared = prepare(whole_taxon(pack, ours))
    assert "amanita-hobbinensis" in {c.taxon.id for c in weigh(blue, prepared).candidates[:12]}
    assert "amanita-hobbinensis" in {h.taxon.id for h in weigh([], prepared).hazards}
    before = {h.taxon.id for h in weigh(blue, prepare(ours)).hazards}
    assert before <= {h.taxon.id for h in weigh(blue, prepared).hazards}


def test_everything_about_a_taxon_can_be_taken_out_again(pack: OwnPackFolder, ours: Reference) -> None:
    whole_taxon(pack, ours)
    tables = {table for table, _ in her_rows(pack, "amanita-hobbinensis")}
    assert tables == {"taxa", "taxon_states", "taxon_sizes", "hazards", "confusions"}
    reference = pack.change("Away", without_taxon(pack, "amanita-hobbinensis"), at=NOW)
    assert reference.taxon("amanita-hobbinensis") is None
    assert reference.confusions_of("amanita-citrina") == ours.confusions_of("amanita-citrina")
    pack.undo()
    assert pack.read().taxon("amanita-hobbinensis") is not None


def test_one_row_of_hers_goes_and_ours_is_back(pack: OwnPackFolder, ours: Reference) -> None:
    harmless = next(t.id for t in ours.taxa if ours.severity_of(t.id) is None and ours.all_states_of(t.id))
    row = next(r for r in ours.all_states_of(harmless) if r.source == "memory")
    edits = state_rows(ours, harmless, row.feature, row.state, Frequency.NEVER)
    changed = pack.change("Never", edits, at=NOW)
    assert [r.frequency for r in changed.states_of(harmless, row.feature) if r.state == row.state] == [
        Frequency.NEVER
    ]
    back = pack.change("Away", without(her_rows(pack, harmless)), at=NOW)
    assert back.states_of(harmless, row.feature) == ours.states_of(harmless, row.feature)


def test_what_makes_no_sense_is_refused_with_a_sentence(ours: Reference) -> None:
    with pytest.raises(BadInput, match="already as Amanita phalloides"):
        new_taxon(ours, TaxonDraft("amanita PHALLOIDES (Fr.) Link"))
    with pytest.raises(BadInput, match="needs a name"):
        new_taxon(ours, TaxonDraft("  "))
    with pytest.raises(BadInput, match="already"):
        corrected_taxon(ours, "amanita-virosa", TaxonDraft("Amanita phalloides"))
    with pytest.raises(BadInput, match="cannot be absent"):
        state_rows(ours, "amanita-virosa", "cap.colour", ABSENT, Frequency.ALWAYS)
    with pytest.raises(BadInput, match="Choose a state"):
        state_rows(ours, "amanita-virosa", "cap.colour", "tartan", Frequency.ALWAYS)
    with pytest.raises(BadInput, match="smallest to the largest"):
        size_rows(ours, "amanita-virosa", "cap.width", 90, 40)
    with pytest.raises(BadInput, match="two numbers"):
        size_rows(ours, "amanita-virosa", "cap.width", 90, None)
    with pytest.raises(BadInput, match="documented"):
        hazard_rows(ours, "amanita-virosa", HazardDraft(Severity.FATAL, "memory"))
    with pytest.raises(BadInput, match="its own lookalike"):
        pair_rows(ours, "amanita-virosa", "amanita-virosa")
    with pytest.raises(BadInput, match="either tells them apart"):
        pair_rows(
            ours, "amanita-virosa", "amanita-citrina", separates=("cap.colour",), shared=("cap.colour",)
        )


def test_a_milder_hazard_of_hers_stands_beside_ours(pack: OwnPackFolder, ours: Reference) -> None:
    edits = hazard_rows(ours, "amanita-phalloides", HazardDraft(Severity.UNPLEASANT, FLORA, "1A"))
    reference = pack.change("Milder", edits, at=NOW)
    assert reference.severity_of("amanita-phalloides") is Severity.FATAL
    assert len(reference.hazards_of("amanita-phalloides")) == len(ours.hazards_of("amanita-phalloides")) + 1


def test_sources_are_found_by_their_words_and_new_ones_get_an_id(ours: Reference) -> None:
    known = ours.sources[2]
    assert cited(ours, known.citation.upper()) == (known.id, ())
    assert cited(ours, "")[0] == "memory"
    key, rows = cited(ours, "Own observation, Hobbin Shaw, October 2019")
    assert key == "own-2019"
    assert rows[0].cells["citation"] == "Own observation, Hobbin Shaw, October 2019"


def test_ids_are_plain_words() -> None:
    assert taxon_key("Amanita phalloides var. alba Costantin & L.M. Dufour") == "amanita-phalloides-alba"
    assert taxon_key("Cortinarius  säfvensis Èt") == "cortinarius-safvensis"
    assert taxon_key("") == ""
