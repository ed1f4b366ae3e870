"""The dangerous taxa in a few lines: each in exactly one, numbers that add up, those that can kill by name."""

import re
from collections import Counter

import pytest

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Determination
from catalog_gui.lookalikes import NotExcluded, Reference, weigh
from catalog_gui.lookalikes.hazard_groups import MOST_LINES, HazardGroup, hazard_groups, short_names
from catalog_gui.lookalikes.implied_form import implied_forms, of_other_form
from catalog_gui.lookalikes.prepared import PreparedReference, prepare
from catalog_gui.lookalikes.reference import Severity

Seen = tuple[str, ...]

FINDS: dict[str, tuple[Seen, ...]] = {
    "nothing recorded": (),
    "white Amanita, base not looked at": (
        ("whole.form", "agaric"),
        ("gills.kind", "gills"),
        ("cap.colour", "white"),
        ("gills.colour", "white"),
        ("gills.attachment", "free"),
        ("ring.kind", "hanging"),
    ),
    "white Amanita, volva seen": (
        ("whole.form", "agaric"),
        ("gills.kind", "gills"),
        ("cap.colour", "white"),
        ("gills.colour", "white"),
        ("gills.attachment", "free"),
        ("ring.kind", "hanging"),
        ("base.volva", "sac"),
    ),
    "fold-bearing": (("whole.form", "fold-bearing"), ("gills.kind", "folds"), ("cap.colour", "yellow")),
    "bolete": (("whole.form", "bolete"), ("gills.kind", "pores"), ("flesh.change", "blue")),
    "brown-spored, ringed": (
        ("whole.form", "agaric"),
        ("gills.kind", "gills"),
        ("ring.kind", "hanging"),
        ("print.colour", "rust"),
    ),
}


@pytest.fixture(scope="session")
def ready(ours: Reference) -> PreparedReference:
    """Our pack, made ready for weighing."""
    return prepare(ours)


def records(*seen: Seen, sure: bool = True) -> list[Evidence]:
    return [
        Evidence(
            f"e{n}", "find", one[0], Standing.SEEN if one[1:] else Standing.NOT_THERE, one[1:], sure=sure
        )
        for n, one in enumerate(seen)
    ]


def groups_of(
    ready: PreparedReference, *seen: Seen
) -> tuple[tuple[NotExcluded, ...], tuple[HazardGroup, ...]]:
    evidence = records(*seen)
    hazards = weigh(evidence, ready).hazards
    return hazards, hazard_groups(hazards, ready.reference, evidence=evidence)


@pytest.mark.parametrize("find", FINDS)
def test_every_taxon_stands_in_exactly_one_of_at_most_eight_lines(
    ours: Reference, ready: PreparedReference, find: str
) -> None:
    for seen in FINDS[find]:
        assert ours.vocabulary.state(*seen), seen
    hazards, groups = groups_of(ready, *FINDS[find])
    told = Counter(one.taxon.id for group in groups for one in group.members)
    assert told == Counter(one.taxon.id for one in hazards)
    assert 0 < len(groups) <= MOST_LINES
    assert sum(count for group in groups for _, count in group.counts) == len(hazards)


@pytest.mark.parametrize("find", FINDS)
def test_the_numbers_of_a_line_add_up(ready: PreparedReference, find: str) -> None:
    _, groups = groups_of(ready, *FINDS[find])
    for group in groups:
        for part in group.parts:
            names = part.names()
            shown = len(re.split(r", |; ", names.shown))
            assert shown + names.more == len(part.members), part.title
            assert names.words in part.words()
        if not group.other_forms:
            assert all(part.names().words in group.words() for part in group.parts)


@pytest.mark.parametrize("find", FINDS)
def test_whatever_can_kill_is_named_unless_it_is_of_another_form(ready: PreparedReference, find: str) -> None:
    _, groups = groups_of(ready, *FINDS[find])
    for group in groups:
        for one in group.members:
            if one.severity is Severity.FATAL and not group.other_forms:
                epithet = one.taxon.name.removeprefix(f"{one.taxon.genus} ")
                assert epithet in group.words(1), one.taxon.name


def test_the_worst_line_comes_first_and_other_forms_last(ready: PreparedReference) -> None:
    for seen in FINDS.values():
        _, groups = groups_of(ready, *seen)
        mine = [group.severity.order for group in groups if not group.other_forms]
        assert mine == sorted(mine)
        assert [group.other_forms for group in groups] == sorted(group.other_forms for group in groups)


def test_a_line_says_organ_first_trouble_and_later_stage(ready: PreparedReference) -> None:
    _, groups = groups_of(ready)
    first = groups[0]
    assert first.title == "Amatoxins, liver"
    assert first.first == "gut after 4 to 48 h"
    assert first.later == "then a quiet spell; liver after 1 to 3 days"
    assert first.words().startswith(
        "Amatoxins, liver; gut after 4 to 48 h, then a quiet spell; liver after 1 to 3 days: Amanita phalloides,"
    )
    assert first.parts[0].harm == "can kill: liver failure, often with the kidneys"


@pytest.mark.parametrize("most", [4, 5, 6, 8, 12, 40])
def test_fewer_lines_put_together_within_a_grade_and_lose_nobody(
    ours: Reference, ready: PreparedReference, most: int
) -> None:
    hazards = weigh((), ready).hazards
    groups = hazard_groups(hazards, ours, most_lines=most)
    assert len(groups) <= most
    assert sorted(o.taxon.id for g in groups for o in g.members) == sorted(h.taxon.id for h in hazards)
    for group in groups:
        assert {part.severity for part in group.parts} == {group.severity}


def test_a_brown_spored_ringed_agaric_lists_no_cup_earthball_or_coral(ready: PreparedReference) -> None:
    _, groups = groups_of(ready, *FINDS["brown-spored, ringed"])
    words = " ".join(group.words(200) for group in groups)
    for name in ("Sarcosphaera", "Scleroderma", "Ramaria", "Rubroboletus", "Hapalopilus"):
        assert name not in words
    aside = groups[-1]
    assert aside.other_forms
    assert aside.title == f"{len(aside.members)} of other forms, only if the form was misread"
    assert sum(count for _, count in aside.counts) == len(aside.members)


def test_free_white_gills_say_agaric_though_the_form_was_not_entered(
    ours: Reference, ready: PreparedReference
) -> None:
    seen = records(("gills.colour", "white"), ("gills.attachment", "free"))
    forms = implied_forms(seen, ours)
    assert "agaric" in forms
    assert not forms & {"bolete", "bracket", "coral", "cup", "ball", "saddle", "honeycomb"}
    groups = hazard_groups(weigh(seen, ready).hazards, ours, evidence=seen)
    words = " ".join(group.words(200) for group in groups)
    assert "Rubroboletus" not in words
    assert "phalloides" in words


def test_one_record_alone_or_a_doubted_form_folds_nothing(ours: Reference) -> None:
    assert implied_forms(records(("gills.colour", "white")), ours) == frozenset()
    assert implied_forms(records(("whole.form", "agaric")), ours) == frozenset()
    assert implied_forms(records(("cap.shape", "convex"), ("stem.surface", "smooth")), ours) == frozenset()
    sure = records(("gills.kind", "gills"), ("gills.attachment", "free"))
    doubted = [*sure, *records(("whole.form", "agaric"), sure=False)]
    assert "agaric" in implied_forms(sure, ours)
    assert implied_forms(doubted, ours) == frozenset()
    gone = Evidence("g", "find", "gills.kind", Standing.GONE)
    assert implied_forms([*records(("whole.form", "agaric"), ("gills.colour", "white")), gone], ours) == set()


def test_not_looked_at_is_no_doubt_and_no_knowledge(ours: Reference) -> None:
    open_one = Evidence("o", "find", "whole.form", Standing.NOT_LOOKED_AT)
    seen = records(("gills.kind", "gills"), ("gills.attachment", "free"))
    assert implied_forms([open_one, *seen], ours) == implied_forms(seen, ours) != frozenset()
    assert implied_forms([open_one], ours) == frozenset()


def test_records_that_no_form_fits_fold_nothing(ours: Reference) -> None:
    assert implied_forms(records(("whole.form", "cup"), ("gills.kind", "gills")), ours) == frozenset()


def test_a_form_that_was_struck_out_keeps_its_taxa_in_sight(ours: Reference) -> None:
    seen = records(("whole.form", "agaric"), ("gills.kind", "gills"))
    gone = records(("whole.form", "saddle"))
    assert "saddle" in implied_forms(seen, ours, struck_out=gone)
    morel = ours.taxon("gyromitra-esculenta")
    assert morel is not None
    assert of_other_form(morel, implied_forms(seen, ours), ours)
    assert not of_other_form(morel, implied_forms(seen, ours, struck_out=gone), ours)


def test_one_fruit_body_implies_nothing_for_the_next(ours: Reference) -> None:
    one = [
        Evidence("a", "find", "whole.form", Standing.SEEN, ("agaric",), fruit_body="A"),
        Evidence("b", "find", "gills.kind", Standing.SEEN, ("gills",), fruit_body="A"),
    ]
    assert implied_forms(one, ours) == frozenset()
    assert "agaric" in implied_forms(one, ours, fruit_body="A")
    assert implied_forms(one, ours, fruit_body="B") == frozenset()


def test_a_ball_keeps_the_eggs_of_the_deadly_and_a_fold_bearer_the_agarics(ours: Reference) -> None:
    ball = implied_forms(records(("whole.form", "ball"), ("gills.kind",)), ours)
    folds = implied_forms(records(("whole.form", "fold-bearing"), ("gills.kind", "folds")), ours)
    for key in ("amanita-phalloides", "amanita-virosa", "amanita-verna"):
        taxon = ours.taxon(key)
        assert taxon is not None
        assert not of_other_form(taxon, ball, ours), key
        assert not of_other_form(taxon, folds, ours), key


def test_what_is_known_to_be_mistaken_for_the_form_stays_by_name(ours: Reference) -> None:
    bolete = implied_forms(records(("whole.form", "bolete"), ("gills.kind", "pores")), ours)
    paxillus, amanita = ours.taxon("paxillus-involutus"), ours.taxon("amanita-phalloides")
    assert paxillus is not None
    assert amanita is not None
    assert not of_other_form(paxillus, bolete, ours)
    assert of_other_form(amanita, bolete, ours)


def test_a_name_given_keeps_its_taxon_by_name_whatever_the_form(
    ours: Reference, ready: PreparedReference
) -> None:
    seen = records(("whole.form", "agaric"), ("gills.kind", "gills"))
    given = Determination("d", "find", "Gyromitra esculenta", taxon="gyromitra-esculenta")
    hazards = weigh(seen, ready, determinations=[given]).hazards
    groups = hazard_groups(hazards, ours, evidence=seen)
    here = [g for g in groups if any(o.taxon.id == "gyromitra-esculenta" for o in g.members)]
    assert len(here) == 1
    assert not here[0].other_forms


def test_short_names_write_the_genus_where_it_changes(ours: Reference) -> None:
    keys = ("amanita-phalloides", "amanita-phalloides-alba", "amanita-verna", "galerina-marginata")
    taxa = [taxon for key in keys if (taxon := ours.taxon(key)) is not None]
    assert short_names(taxa) == "Amanita phalloides, phalloides var. alba, verna; Galerina marginata"


def test_no_hazard_no_line(ours: Reference) -> None:
    assert hazard_groups((), ours) == ()
