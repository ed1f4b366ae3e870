"""What to check next: what costs little first where it settles as much; words that read well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.lookalikes import Reference
from catalog_gui.lookalikes.next_checks import WORTH
from catalog_gui.lookalikes.reasons import seen_words
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.lookalikes.why_line import COSTS
from tests.lookalikes.ready import weigh

WHITE = (
    ("whole.form", "agaric"),
    ("cap.colour", "white"),
    ("gills.colour", "white"),
    ("gills.attachment", "free"),
    ("stem.colour", "white"),
)


def find(*rows: tuple[str, str]) -> list[Evidence]:
    return [Evidence(f, "f", f, Standing.SEEN, (s,)) for f, s in rows]


def test_every_cost_has_its_worth_and_a_dearer_look_is_never_worth_more() -> None:
    assert set(WORTH) == set(COSTS)
    worth = [WORTH[cost] for cost in ("picture", "dig", "cut", "print", "reagent", "microscope")]
    assert worth == sorted(worth, reverse=True)


@pytest.mark.parametrize("count", range(len(WHITE) + 1))
def test_a_white_amanita_is_not_sent_to_the_microscope_first(ours: Reference, count: int) -> None:
    first = weigh(find(*WHITE[:count]), ours).next_checks[0]
    assert first.cost not in {"microscope", "reagent"}


def test_of_two_features_that_tell_the_same_the_cheaper_comes_first(ours: Reference) -> None:
    """A copy of our pack in which looking at the stem takes a reagent: it moves behind its equals."""
    features = tuple(
        replace(f, cost="reagent") if f.id == "stem.surface" else f for f in ours.vocabulary.features
    )
    dear = replace(ours, vocabulary=type(ours.vocabulary)(features, ours.vocabulary.states))
    here = [check.feature for check in weigh(find(*WHITE), ours, checks=60).next_checks]
    there = [check.feature for check in weigh(find(*WHITE), dear, checks=60).next_checks]
    assert here.index("stem.surface") < there.index("stem.surface")
    assert [f for f in here if f != "stem.surface"][:20] == [f for f in there if f != "stem.surface"][:20]


def test_base_underside_ring_and_print_come_first_while_a_deadly_taxon_stands(ours: Reference) -> None:
    def parts(*rows: tuple[str, str]) -> list[Part]:
        weighed = weigh(find(*rows), ours)
        assert any(hazard.severity is Severity.FATAL for hazard in weighed.hazards)
        found = [ours.vocabulary.feature(check.feature) for check in weighed.next_checks]
        return [feature.part for feature in found if feature is not None]

    assert parts()[:4] == [Part.BASE, Part.GILLS, Part.RING, Part.PRINT]
    assert parts(*WHITE)[:3] == [Part.BASE, Part.RING, Part.PRINT]  # the gills were looked at
    assert parts(*WHITE, ("base.volva", "sac"))[:2] == [Part.RING, Part.PRINT]


def test_damaged_base_is_no_open_question(ours: Reference) -> None:
    gone = Evidence("g", "f", "base.volva", Standing.GONE)
    asked = [check.feature for check in weigh([*find(*WHITE), gone], ours).next_checks]
    assert asked[0] == "ring.kind"
    assert "base.volva" not in asked


def test_microscope_comes_last_and_the_rest_by_gain_for_cost(ours: Reference) -> None:
    checks = weigh(find(*WHITE), ours, checks=80).next_checks
    instruments = [check.cost == "microscope" for check in checks]
    assert any(instruments)
    assert instruments == sorted(instruments)
    gains = [check.gain for check in checks if check.cost != "microscope"][3:]
    assert gains == sorted(gains, reverse=True)


def test_why_not_excluded_names_two_features_that_can_be_seen_in_the_field(ours: Reference) -> None:
    """Spore reactions and cystidia used to stand first of three."""
    home = {f.id for f in ours.vocabulary.features if f.cost in {"print", "reagent", "microscope"}}
    brown = find(
        ("whole.form", "agaric"),
        ("cap.colour", "brown"),
        ("gills.colour", "brown"),
        ("ring.kind", "narrow"),
        ("print.colour", "brown"),
    )
    for rows in ([], find(*WHITE), brown):
        for hazard in weigh(rows, ours).hazards:
            first = hazard.why.not_looked_at[:2]
            assert not home & set(first), hazard.why_not_excluded
            told = hazard.why_not_excluded.split(" not looked at")[0].split("; ")[-1]
            assert len(told.replace(" and ", ", ").split(", ")) <= 3  # a name may hold a comma


def test_seen_is_said_once(ours: Reference) -> None:
    feature = ours.vocabulary.feature("whole.egg-stage")
    assert feature is not None
    words = seen_words(find(("whole.egg-stage", "present"))[0], feature, ours)
    assert words == "egg stage seen"
    for one in ours.vocabulary.features:
        for state in ours.vocabulary.states_of(one.id):
            told = seen_words(Evidence("1", "f", one.id, Standing.SEEN, (state.id,)), one, ours)
            assert "seen seen" not in told


def test_what_can_be_looked_at_now_is_named_before_instruments(ours: Reference) -> None:
    rank = {cost: place for place, cost in enumerate(COSTS)}
    for hazard in weigh(find(*WHITE), ours).hazards:
        found = [ours.vocabulary.feature(key) for key in hazard.why.not_looked_at]
        costs = [rank[f.cost] for f in found if f is not None]
        instruments = [cost for cost in costs if cost >= rank["reagent"]]
        assert costs[len(costs) - len(instruments) :] == instruments, hazard.why_not_excluded
