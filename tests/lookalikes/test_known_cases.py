"""Finds that people know, against our own pack; and published facts with their sources.

Ids F and H are rows of the check values: F after White et al. 2019, Olson, Graeme 2014, Wennig et al. 2020
and the MSD manual; H after Phillips 2006, Gilbertson & Ryvarden, de Kok & Vellinga 1998, Romagnesi 1967.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Determination, Qualifier
from catalog_gui.lookalikes import Reference, Weighing
from catalog_gui.lookalikes.reasons import Verdict
from catalog_gui.lookalikes.reference import Severity, name_key
from tests.lookalikes.ready import weigh

Note = Callable[..., Evidence]
WHITE_AMANITAS = {"amanita-virosa", "amanita-verna", "amanita-phalloides-alba"}


def hazards(weighing: Weighing) -> list[str]:
    return [hazard.taxon.id for hazard in weighing.hazards]


def white_agaric(note: Note) -> list[Evidence]:
    return [
        note("whole.form", "agaric"),
        note("cap.colour", "white"),
        note("gills.colour", "white"),
        note("gills.attachment", "free"),
        note("stem.colour", "white"),
    ]


def test_a_white_amanita_whose_base_nobody_saw(ours: Reference, note: Note) -> None:
    """The banner names the white deadly ones first, and a missing ring clears none of them."""
    evidence = [*white_agaric(note), note("ring.kind"), note("base.volva", standing=Standing.NOT_LOOKED_AT)]
    weighing = weigh(evidence, ours)
    worst = [h for h in weighing.close if h.severity is Severity.FATAL]
    assert {h.taxon.id for h in worst} >= WHITE_AMANITAS
    assert list(weighing.close[: len(worst)]) == worst
    assert "amanita-phalloides" in hazards(weighing)


def test_a_missing_ring_counts_little_and_says_so(ours: Reference, note: Note) -> None:
    weighing = weigh([*white_agaric(note), note("ring.kind")], ours)
    virosa = next(h for h in weighing.hazards if h.taxon.id == "amanita-virosa")
    for reason in virosa.why.speaks_against:
        if reason.feature.id == "ring.kind":
            assert reason.verdict is Verdict.WEAKLY_AGAINST
            assert "rain" in reason.little


def test_the_volva_seen_brings_them_forward(ours: Reference, note: Note) -> None:
    without = weigh(white_agaric(note), ours)
    volva = [s.state for s in ours.states_of("amanita-virosa", "base.volva") if s.state != "absent"]
    seen = weigh([*white_agaric(note), note("base.volva", volva[0])], ours)
    assert seen.candidates[0].taxon.genus in {"Amanita", "Volvopluteus"}
    assert {c.taxon.id for c in seen.candidates[:6]} & WHITE_AMANITAS
    gain = {c.taxon.id: c.score for c in seen.candidates}["amanita-virosa"]
    assert gain > {c.taxon.id: c.score for c in without.candidates}["amanita-virosa"]


def test_a_small_brown_wood_dweller(ours: Reference, note: Note) -> None:
    """Galerina marginata stays beside Kuehneromyces, whatever grows on wood."""
    evidence = [
        note("whole.form", "agaric"),
        note("cap.colour", "brown"),
        note("print.colour", "rust"),
        note("whole.growth", "tuft"),
        note("cap.width", low=30.0, high=40.0, unit="mm"),
    ]
    weighing = weigh(evidence, ours)
    assert "galerina-marginata" in [h.taxon.id for h in weighing.close]
    named = weigh(evidence, ours, determinations=[Determination("d", "s", "Kuehneromyces mutabilis")])
    galerina = next(h for h in named.hazards if h.taxon.id == "galerina-marginata")
    assert "Kuehneromyces mutabilis" in galerina.because_named


def test_a_bolete_can_clear_the_death_cap(ours: Reference, note: Note) -> None:
    """The rule is strict but not idle: pores, an olive print, a net and large elliptic spores suffice."""
    bolete = [
        note("whole.form", "bolete"),
        note("gills.kind", "pores"),
        note("print.colour", "olive"),
        note("stem.net", *[s.state for s in ours.states_of("boletus-edulis", "stem.net")][:1]),
        note("micro.spore-length", low=14.0, high=17.0, unit="µm"),
        note("micro.spore-q", low=2.8, high=3.4, unit="ratio"),
        note("cap.colour", "brown"),
        note("flesh.change"),
        note("micro.amyloid", *[s.state for s in ours.states_of("boletus-edulis", "micro.amyloid")][:1]),
    ]
    weighing = weigh(bolete, ours)
    assert weighing.candidates[0].taxon.genus in {"Boletus", "Leccinum", "Imleria", "Suillus", "Tylopilus"}
    assert "amanita-phalloides" in weighing.excluded
    assert "amanita-phalloides" in hazards(weigh(bolete[:1], ours))


@pytest.mark.parametrize("qualifier", list(Qualifier))
def test_a_name_never_removes_and_its_deadly_relatives_stay(
    ours: Reference, note: Note, qualifier: Qualifier
) -> None:
    """Section G2: a find named cf. or aff. a dangerous species keeps its banner; so does a bare genus."""
    bolete = [note("whole.form", "bolete"), note("gills.kind", "pores"), note("print.colour", "olive")]
    given = Determination("d", "s", "Amanita citrina", "amanita-citrina", qualifier)
    named = weigh(bolete, ours, determinations=[given])
    assert {"amanita-phalloides", "amanita-virosa", "amanita-verna"} <= set(hazards(named))
    genus = weigh(bolete, ours, determinations=[Determination("d", "s", "Amanita sp.")])
    assert {"amanita-phalloides", "amanita-virosa"} <= set(hazards(genus))


def test_a_name_that_nobody_knows_does_no_harm(ours: Reference) -> None:
    weighing = weigh(
        [], ours, determinations=[Determination("d", "s", ""), Determination("e", "s", "Quux q.")]
    )
    assert set(hazards(weighing)) == set(ours.dangerous)


def test_season_and_place_only_move_the_ranking(ours: Reference, note: Note) -> None:
    evidence = white_agaric(note)
    january = weigh(evidence, ours, date=datetime.date(2024, 1, 10), region="south")
    assert hazards(january) != []
    assert set(hazards(january)) == set(hazards(weigh(evidence, ours)))
    spring = {c.taxon.id: c.score for c in weigh(evidence, ours, date=datetime.date(2024, 4, 20)).candidates}
    autumn = {c.taxon.id: c.score for c in weigh(evidence, ours, date=datetime.date(2024, 10, 20)).candidates}
    assert spring["calocybe-gambosa"] > autumn["calocybe-gambosa"]  # the spring mushroom (common knowledge)


def test_tasting_is_never_offered(ours: Reference) -> None:
    offered = {check.feature for check in weigh([], ours, checks=200).next_checks}
    assert offered
    assert not {f for f in offered if f.startswith("taste")}


def test_what_makes_no_sense_is_not_offered(ours: Reference, note: Note) -> None:
    """No ring: its position is not asked for. A bolete: its milk is not asked for."""
    without_ring = weigh([note("ring.kind")], ours, checks=200)
    assert not {"ring.position", "ring.movable"} & {c.feature for c in without_ring.next_checks}
    bolete = weigh([note("whole.form", "bolete")], ours, checks=200)
    assert not {"gills.milk", "gills.spacing"} & {c.feature for c in bolete.next_checks}


def test_potash_on_the_white_amanitas(ours: Reference, note: Note) -> None:
    """H8: golden yellow for A. virosa (Phillips 2006), never for A. phalloides; for A. verna texts disagree,
    so that yellow counts against phalloides and neither result settles verna."""
    yellow = {c.taxon.id: c for c in weigh([note("reaction.koh-cap", "yellow")], ours).candidates}
    assert yellow["amanita-virosa"].score > yellow["amanita-verna"].score > yellow["amanita-phalloides"].score
    assert yellow["amanita-virosa"].speaks_for
    assert yellow["amanita-phalloides"].speaks_against
    none = {c.taxon.id: c for c in weigh([note("reaction.koh-cap")], ours).candidates}
    assert none["amanita-verna"].score > none["amanita-virosa"].score
    assert not [r for r in none["amanita-verna"].speaks_against if r.verdict is Verdict.AGAINST]


def test_potash_alone_does_not_part_the_yellow_stainers(ours: Reference, note: Note) -> None:
    """H5, H6: both go yellow; the crossed test parts them (positive in A. arvensis, negative in A. xanthodermus)."""
    both = {c.taxon.id: c for c in weigh([note("reaction.koh-cap", "yellow")], ours).candidates}
    assert both["agaricus-xanthodermus"].speaks_for
    assert both["agaricus-arvensis"].speaks_for
    crossed = {c.taxon.id: c for c in weigh([note("reaction.schaeffer")], ours).candidates}
    assert crossed["agaricus-xanthodermus"].score > crossed["agaricus-arvensis"].score


def test_violet_with_potash(ours: Reference, note: Note) -> None:
    """H1: Hapalopilus rutilans goes violet with potash (Gilbertson & Ryvarden)."""
    weighing = weigh([note("reaction.koh-flesh", "violet")], ours)
    assert "hapalopilus-rutilans" in {c.taxon.id for c in weighing.candidates[:2]}


def test_amyloid_spores(ours: Reference, note: Note) -> None:
    """H9: spores of A. phalloides are amyloid, 8–11 × 7–9 µm; those of A. muscaria are not."""
    evidence = [
        note("micro.amyloid", "amyloid"),
        note("micro.spore-length", low=8.0, high=11.0, unit="µm"),
        note("micro.spore-width", low=7.0, high=9.0, unit="µm"),
    ]
    scores = {c.taxon.id: c.score for c in weigh(evidence, ours).candidates}
    assert scores["amanita-phalloides"] > scores["amanita-muscaria"]


def test_syndromes_and_severities(ours: Reference) -> None:
    """Section F: who makes which syndrome; onset windows of 1A and 1C as printed, all of them kept."""
    expected = {
        "amanita-phalloides": "1A",
        "galerina-marginata": "1A",
        "lepiota-brunneoincarnata": "1A",
        "cortinarius-rubellus": "1C",
        "cortinarius-orellanus": "1C",
        "amanita-muscaria": "2C",
        "amanita-pantherina": "2C",
        "gyromitra-esculenta": "4A",
        "coprinopsis-atramentaria": "4B",
        "hapalopilus-rutilans": "4C",
        "paxillus-involutus": "6C",
        "agaricus-xanthodermus": "5",
    }
    for taxon, syndrome in expected.items():
        assert syndrome in {h.syndrome for h in ours.hazards_of(taxon)}, taxon
    windows = {(h.onset_low, h.onset_high, h.onset_unit) for h in ours.hazards_of("amanita-phalloides")}
    assert {(6.0, 24.0, "h"), (6.0, 12.0, "h")} <= windows
    for deadly in ("amanita-phalloides", "amanita-virosa", "galerina-marginata", "cortinarius-orellanus"):
        assert ours.severity_of(deadly) is Severity.FATAL


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("Amanita phalloides (Vaill. ex Fr.) Link", "amanita phalloides"),
        ("Amanita cf. phalloides", "amanita phalloides"),
        ("Amanita phalloides agg.", "amanita phalloides"),
        ("AMANITA PHALLOIDES", "amanita phalloides"),
        ("Amanita phalloides var. alba Costantin & L.M. Dufour", "amanita phalloides alba"),
        ("Amanita sp.", "amanita"),
        ("Amanita Pers.", "amanita"),
        ("Lepiota? sp.", "lepiota"),
        ("", ""),
    ],
)
def test_names_are_found_without_authors_and_doubt(written: str, key: str) -> None:
    """Section G1, G2: authors after the epithets, open nomenclature anywhere."""
    assert name_key(written) == key


def test_synonyms_lead_home(ours: Reference) -> None:
    for synonym in ours.synonyms:
        found = ours.named(synonym.name)
        assert found is not None, synonym.name
