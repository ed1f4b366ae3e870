"""Names as a history: nothing is overwritten. Qualifiers: Sigovini, Keppel and Tagliapietra 2016 (cf., aff., sp.)."""

from __future__ import annotations

from datetime import date

import pytest

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.specimen import Determination, Qualifier, Specimen
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows.determine import determine, history, present, present_by_specimen, split_name
from catalog_gui.workflows.ports import Surroundings

REFERENCE = read_packs(assets.reference_pack())


@pytest.fixture(autouse=True)
def _find(records: Catalogue) -> None:
    with records.step("Find") as work:
        work.specimens.put(Specimen("find", "2025-001"))


def name_it(records: Catalogue, surroundings: Surroundings, name: str, **rest: object) -> Determination:
    with records.step("Name") as work:
        return determine(work, "find", name, reference=REFERENCE, surroundings=surroundings, **rest)  # type: ignore[arg-type]


def test_a_new_name_replaces_and_keeps_the_old_one(records: Catalogue, surroundings: Surroundings) -> None:
    first = name_it(records, surroundings, "Amanita citrina", by="Hedda Moss", basis="pictures only")
    second = name_it(records, surroundings, "Amanita cf. phalloides", by="Wilma Thorn")
    with records.read() as work:
        given = history(work, "find")
    assert given == (first, second)
    assert second.replaces == first.id
    assert present(given) == second
    assert present_by_specimen(given) == {"find": second}
    assert second.display_name == "Amanita cf. phalloides"
    assert second.taxon == "amanita-phalloides"


def test_taking_back_brings_the_old_name_to_the_front(records: Catalogue, surroundings: Surroundings) -> None:
    first = name_it(records, surroundings, "Amanita citrina")
    name_it(records, surroundings, "Amanita phalloides")
    records.undo()
    with records.read() as work:
        assert present(history(work, "find")) == first


@pytest.mark.parametrize(
    ("typed", "plain", "qualifier"),
    [
        ("Amanita cf. phalloides", "Amanita phalloides", Qualifier.CF),
        ("amanita cf phalloides", "Amanita phalloides", Qualifier.CF),
        ("Inocybe aff. geophylla", "Inocybe geophylla", Qualifier.AFF),
        ("Cortinarius sp.", "Cortinarius", Qualifier.SP),
        ("Armillaria mellea agg.", "Armillaria mellea", Qualifier.AGG),
        ("Boletus edulis", "Boletus edulis", Qualifier.NONE),
        ("  ", "", Qualifier.NONE),
    ],
)
def test_a_typed_qualifier_is_understood(typed: str, plain: str, qualifier: Qualifier) -> None:
    assert split_name(typed) == (plain, qualifier)


def test_a_synonym_keeps_its_spelling_and_finds_the_taxon(
    records: Catalogue, surroundings: Surroundings
) -> None:
    synonym = REFERENCE.synonyms[0]
    made = name_it(records, surroundings, synonym.name)
    assert made.taxon == synonym.taxon
    assert made.name == synonym.name


def test_a_genus_alone_is_no_taxon_of_the_reference(records: Catalogue, surroundings: Surroundings) -> None:
    assert name_it(records, surroundings, "Cortinarius sp.").taxon == ""
    assert name_it(records, surroundings, "Wunderpilz").taxon == ""


def test_no_name_no_specimen_and_no_future(records: Catalogue, surroundings: Surroundings) -> None:
    for name in ("", "  ", "sp."):
        with pytest.raises(BadInput):
            name_it(records, surroundings, name)
    with pytest.raises(BadInput):
        name_it(records, surroundings, "Amanita citrina", on=date(2031, 1, 1))
    with pytest.raises(BadInput), records.step("Name") as work:
        determine(work, "nobody", "Amanita citrina", reference=REFERENCE, surroundings=surroundings)
