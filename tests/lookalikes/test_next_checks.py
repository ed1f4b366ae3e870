"""What to check next: what costs little first where it settles as much; words that read well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes import Reference
from catalog_gui.lookalikes.next_checks import WORTH
from catalog_gui.lookalikes.reasons import seen_words
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
    """A copy of our pack in which looking at the cap costs a microscope: it moves behind its equals."""
    features = tuple(
        replace(f, cost="microscope") if f.id == "base.volva" else f for f in ours.vocabulary.features
    )
    dear = replace(ours, vocabulary=type(ours.vocabulary)(features, ours.vocabulary.states))
    here = [check.feature for check in weigh(find(*WHITE), ours, checks=60).next_checks]
    there = [check.feature for check in weigh(find(*WHITE), dear, checks=60).next_checks]
    assert here.index("base.volva") < there.index("base.volva")
    assert [f for f in here if f != "base.volva"][:20] == [f for f in there if f != "base.volva"][:20]


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
