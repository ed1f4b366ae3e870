"""Gathering for papers, the log, the check before sending, the season of a taxon."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from catalog_gui import assets
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group, Place
from catalog_gui.domain.ledger import TaxonNote
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.privacy import Reader
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.record import NameGiven, Record
from catalog_gui.domain.record_check import questions
from catalog_gui.domain.sheet import Precision
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.geo.position import Position
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.reader import read_packs
from catalog_gui.workflows.ports import Surroundings
from catalog_gui.workflows.publish.files import accepted_name, months_of
from catalog_gui.workflows.publish.gathered import gather, gather_many
from catalog_gui.workflows.publish.ledger import handed_on
from catalog_gui.workflows.publish.places import place_words, precision_of, radius_m
from catalog_gui.workflows.publish.words import moment_words

NOON = datetime(2025, 10, 18, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def reference() -> Reference:
    return read_packs(assets.reference_pack())


@pytest.fixture
def planted(records: Catalogue) -> Catalogue:
    with records.step("Plant") as work:
        work.forays.put(Foray("f", "A walk", time_zone="Europe/London"))
        for n in range(1, 6):
            work.photos.put(Photo(f"p{n}", f"/card/{n}.jpg", foray_id="f", group_id=f"g{n}"))
            work.groups.put(Group(f"g{n}", "f", (f"p{n}",), NOON, NOON, specimen_id=f"s{n}"))
            work.specimens.put(Specimen(f"s{n}", f"2025-{n:03d}", "f", NOON, private_place=False))
            work.determinations.put(Determination(f"d{n}", f"s{n}", "Amanita muscaria", "amanita-muscaria"))
            work.evidence.put(Evidence(f"e{n}", f"s{n}", "whole.form", Standing.SEEN, ("agaric",)))
    return records


def test_many_are_gathered_as_one_by_one(planted: Catalogue) -> None:
    with planted.read() as work:
        wanted = ("s3", "s1", "s5")
        assert gather_many(work, wanted) == tuple(gather(work, key) for key in wanted)
        with pytest.raises(BadInput):
            gather(work, "gone")


def test_a_taxon_with_private_places_is_coarse_by_default(planted: Catalogue) -> None:
    reader = Reader(Precision.ONE_KM)
    with planted.read() as work:
        assert precision_of(gather(work, "s1"), reader) is Precision.ONE_KM
    with planted.step("Note") as work:
        work.taxon_notes.put(TaxonNote("n", "amanita-muscaria", "Not sensitive; sensative."))
    with planted.read() as work:  # a word in a note decides nothing
        assert precision_of(gather(work, "s1"), reader) is Precision.ONE_KM
    with planted.step("Private") as work:
        work.taxon_notes.put(TaxonNote("n", "amanita-muscaria", "", private_places=True))
    with planted.read() as work:
        assert precision_of(gather(work, "s1"), reader) is Precision.TEN_KM
        deliberate = Reader(Precision.EXACT, deliberate=True)
        assert precision_of(gather(work, "s1"), deliberate) is Precision.EXACT


def test_what_went_out_is_noted(planted: Catalogue, surroundings: Surroundings) -> None:
    with planted.step("Handed on", undoable=False) as work:
        handed_on(
            work, surroundings, what="Specimen sheet", to_whom="the public", precision="10 km square",
            specimens=("s1",), target="/papers/x.pdf",
        )  # fmt: skip
    with planted.read() as work:
        (entry,) = work.handed_on.all()
    assert (entry.what, entry.to_whom, entry.precision, entry.specimens, entry.target) == (
        "Specimen sheet", "the public", "10 km square", ("s1",), "/papers/x.pdf",
    )  # fmt: skip
    assert entry.at == surroundings.now()


# check-values A2 and C2: squares by truncation, centre and half diagonal; the spot is TG 51409 13177.
@pytest.mark.parametrize(
    ("precision", "words", "note"),
    [
        (Precision.EXACT, "52.657", ""),
        (Precision.ONE_KM, "TG5113 (1 km square)", "1 km square"),
        (Precision.TEN_KM, "TG51 (10 km square)", "10 km square"),
        (Precision.HIDDEN, "", "withheld"),
    ],
)
def test_place_in_words(precision: Precision, words: str, note: str) -> None:
    find = Specimen("s", "1", place=Place(Position(52.657977, 1.716052), 5.0))
    place, why = place_words(find, precision)
    assert place.startswith(words) if words else place == ""
    assert note in why
    assert "51409" not in place + why


def test_radius_holds_the_place() -> None:
    """Errors of 68 % radius 10 m: 16.3 m hold 95 % (Rayleigh quantiles), rounded up."""
    assert radius_m(Place(Position(0.5, 0.5), 10.0)) == 17
    assert radius_m(Place(Position(0.5, 0.5), 0.0)) == 1  # C2.1: never 0


def test_midnight_stands_for_a_day() -> None:
    assert moment_words(datetime(2003, 10, 5, tzinfo=UTC), UTC) == "5 October 2003"
    assert moment_words(datetime(2003, 10, 5, 14, 7, tzinfo=UTC), UTC) == "5 October 2003, 14:07"


GOOD = Record(
    "s", "urn:uuid:0", "1", "Amanita muscaria", taxon="amanita-muscaria",
    names=(
        NameGiven(
            "d", "Amanita muscaria (L.) Lam.", "(L.) Lam.", "species", "Amanita", "muscaria", "", "",
            "Amanita muscaria", "Ursa Pell", "2025-10-18",
        ),
    ),
    recorder="Wim Thorn", event_date="2025-10-18", on=date(2025, 10, 18), latitude="52.6580", longitude="1.7161",
    uncertainty_m=12, site="Elm Holt", habitat="wood", substrate="soil", associated="Betula",
    views=("cap", "gills", "stem", "base"),
)  # fmt: skip
TODAY = date(2025, 10, 19)


def about(record: Record, reference: Reference) -> set[tuple[str, bool]]:
    asked = questions(
        [record],
        today=TODAY,
        foray_days=lambda _: (date(2025, 10, 18), date(2025, 10, 18)),
        months_of=lambda taxon: months_of(reference, taxon),
        accepted_name=lambda name: accepted_name(reference, name),
    )
    return {(one.about, one.must) for one in asked}


def test_a_good_record_raises_no_question(reference: Reference) -> None:
    assert about(GOOD, reference) == set()


def named(**changes: object) -> tuple[NameGiven, ...]:
    return (replace(GOOD.names[0], **changes),)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"recorder": ""}, ("recorder", True)),
        ({"names": ()}, ("name", True)),
        ({"names": named(by="")}, ("determiner", True)),
        ({"names": named(on="")}, ("determiner", False)),
        ({"names": named(genus="", epithet="")}, ("name", True)),
        ({"names": named(genus="Agaricus", epithet="muscarius")}, None),
        (
            {"names": named(genus="Inocybe", epithet="rimosa", scientific_name="Inocybe rimosa")},
            ("name", False),
        ),
        ({"on": None, "event_date": ""}, ("date", True)),
        ({"on": None, "event_date": "2025-10"}, ("date", False)),
        ({"on": date(2025, 10, 30)}, ("date", True)),
        ({"on": date(2025, 10, 17)}, ("date", False)),
        ({"latitude": "", "longitude": "", "site": ""}, ("place", True)),
        ({"latitude": "", "longitude": ""}, ("place", False)),
        ({"latitude": "0.0000", "longitude": "0.0000"}, ("place", True)),
        ({"uncertainty_m": None}, ("place", True)),
        ({"uncertainty_m": 0}, ("place", True)),
        ({"latitude": "52.6579770", "longitude": "1.7160520", "uncertainty_m": 500}, ("place", False)),
        ({"grid_reference": "TG5140913177"}, ("place", False)),
        ({"site": ""}, ("place", False)),
        ({"habitat": ""}, ("habitat", False)),
        ({"views": ("cap",)}, ("pictures", False)),
    ],
)
def test_what_a_verifier_sends_back(
    change: dict[str, object], expected: tuple[str, bool] | None, reference: Reference
) -> None:
    asked = about(replace(GOOD, **change), reference)  # type: ignore[arg-type]
    if expected is not None:
        assert expected in asked
        assert len(asked) == 1 or expected[0] in ("date", "place", "name")


def test_unlikely_month(reference: Reference) -> None:
    """The fly agaric is an autumn fungus (reference pack): March is asked about, October is not."""
    march = replace(GOOD, on=date(2025, 3, 18), event_date="2025-03-18")
    asked = questions([march], today=TODAY, months_of=lambda taxon: months_of(reference, taxon))
    assert any("unlikely month" in one.words for one in asked)
    months = months_of(reference, "amanita-muscaria")
    assert months is not None
    assert 10 in months
    assert months_of(reference, "no-such-taxon") is None


def test_duplicates_are_asked_about() -> None:
    twin = replace(GOOD, id="t", number="2")
    asked = questions([GOOD, twin], today=TODAY)
    assert [(one.number, one.about) for one in asked] == [("2", "duplicate")]
    coarse = [replace(one, generalised="made coarse") for one in (GOOD, twin)]
    assert questions(coarse, today=TODAY) == ()  # two finds of one square are no duplicates


def test_synonyms_are_pointed_out(reference: Reference) -> None:
    synonym = reference.synonyms[0]
    taxon = reference.taxon(synonym.taxon)
    assert taxon is not None
    assert accepted_name(reference, synonym.name) == taxon.name
    assert accepted_name(reference, taxon.name) == ""
    assert accepted_name(reference, "Nomen inventum") == ""


def test_checks_use_the_reference(planted: Catalogue, reference: Reference) -> None:
    """Every taxon of the pack with months: at least one month, all of them real."""
    with_months = [t for t in reference.taxa if months_of(reference, t.id) is not None]
    assert len(with_months) > 20
    look: Callable[[str], object] = lambda key: months_of(reference, key)  # noqa: E731
    assert all(look(taxon.id) for taxon in with_months)
