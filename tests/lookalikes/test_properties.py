"""What must hold for any evidence and any reference."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Determination, Qualifier
from catalog_gui.lookalikes import Reference, Weighing
from catalog_gui.lookalikes.reasons import Verdict
from catalog_gui.lookalikes.reference import Severity
from tests.lookalikes.ready import weigh
from tests.simulated.finds import STRESSES, USUAL, Simulator
from tests.simulated.made_up import SHAPES, made_up


@cache
def reference_of(shape_number: int) -> Reference:
    return made_up(SHAPES[shape_number], 4)


@st.composite
def finds(draw: st.DrawFn) -> tuple[Reference, list[Evidence]]:
    """A find of any taxon of a made-up table, with any trouble."""
    reference = reference_of(draw(st.sampled_from([0, 3, 5])))
    simulator = Simulator(reference, draw(st.integers(0, 10_000)))
    taxon = draw(st.sampled_from([t.id for t in reference.taxa]))
    trouble = draw(st.sampled_from([USUAL, *STRESSES]))
    return reference, simulator.find(taxon, draw(st.integers(0, 40)), trouble)


def hazards(weighing: Weighing) -> set[str]:
    return {hazard.taxon.id for hazard in weighing.hazards}


def outcome(weighing: Weighing) -> object:
    """Everything a page could show."""
    return (
        [(c.taxon.id, c.score, [r.text for r in c.speaks_for], c.unknown) for c in weighing.candidates[:5]],
        [(h.taxon.id, h.close, h.why_not_excluded) for h in weighing.hazards],
        [(n.feature, n.gain, n.settles) for n in weighing.next_checks],
    )


@given(finds(), st.data())
def test_not_looked_at_changes_nothing(find: tuple[Reference, list[Evidence]], data: st.DataObject) -> None:
    reference, evidence = find
    recorded = {e.feature for e in evidence}
    others = [f.id for f in reference.vocabulary.features if f.id not in recorded]
    unseen = [
        Evidence(f"u{f}", "", f, Standing.NOT_LOOKED_AT)
        for f in data.draw(st.lists(st.sampled_from(others or ["none"]), unique=True))
    ]
    assert outcome(weigh([*evidence, *unseen], reference)) == outcome(weigh(evidence, reference))


@given(finds(), st.data())
def test_damaged_or_gone_carries_no_weight(
    find: tuple[Reference, list[Evidence]], data: st.DataObject
) -> None:
    reference, evidence = find
    recorded = {e.feature for e in evidence}
    others = [f.id for f in reference.vocabulary.features if f.id not in recorded]
    gone = [
        Evidence(f"g{f}", "", f, Standing.GONE)
        for f in data.draw(st.lists(st.sampled_from(others or ["none"]), unique=True))
    ]
    with_gone, without = weigh([*evidence, *gone], reference), weigh(evidence, reference)
    assert hazards(with_gone) == hazards(without)
    assert [c.score for c in with_gone.candidates] == [c.score for c in without.candidates]


@given(finds(), st.randoms(use_true_random=False))
def test_the_order_of_evidence_does_not_matter(
    find: tuple[Reference, list[Evidence]], random: object
) -> None:
    reference, evidence = find
    shuffled = list(evidence)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert outcome(weigh(shuffled, reference)) == outcome(weigh(evidence, reference))


@given(finds(), st.data())
def test_taking_evidence_away_never_takes_a_hazard_away(
    find: tuple[Reference, list[Evidence]], data: st.DataObject
) -> None:
    """What was struck out is known as such, and no hazard goes with it, one step or several."""
    reference, evidence = find
    before = hazards(weigh(evidence, reference))
    struck: list[Evidence] = []
    left = list(evidence)
    for _ in range(data.draw(st.integers(1, 4))):
        if not left:
            break
        struck.append(left.pop(data.draw(st.integers(0, len(left) - 1))))
        after = hazards(weigh(left, reference, struck_out=struck))
        assert before <= after
        before = after


@given(finds(), st.data())
def test_taking_away_one_of_two_contradictions_brings_a_hazard_back(
    find: tuple[Reference, list[Evidence]], data: st.DataObject
) -> None:
    """Even where nobody remembers what was struck out."""
    reference, evidence = find
    for taxon in weigh(evidence, reference).excluded:
        against = next(c for c in weigh(evidence, reference).candidates if c.taxon.id == taxon).speaks_against
        strong = [r.feature.id for r in against if r.verdict is Verdict.AGAINST]
        kept = data.draw(st.sampled_from(strong))
        left = [e for e in evidence if e.feature == kept or e.feature not in strong]
        assert taxon in hazards(weigh(left, reference))


@given(finds(), st.data())
def test_one_record_never_clears_a_dangerous_taxon(
    find: tuple[Reference, list[Evidence]], data: st.DataObject
) -> None:
    """Whatever agrees: if a single firm record contradicts it, it stays."""
    reference, evidence = find
    taxon = data.draw(st.sampled_from(reference.dangerous))
    agreeing = Simulator(reference, 1).find(taxon, 60, replace(USUAL, wrong=0.0, missed=0.0))
    odd = data.draw(st.sampled_from(evidence)) if evidence else None
    mixed = [e for e in agreeing if odd is None or e.feature != odd.feature]
    assert taxon in hazards(weigh([*mixed, *([odd] if odd else [])], reference))
    if odd:
        assert hazards(weigh([odd], reference)) == set(reference.dangerous)


@given(finds())
def test_doubtful_records_exclude_nothing(find: tuple[Reference, list[Evidence]]) -> None:
    reference, evidence = find
    doubtful = [replace(e, sure=False) for e in evidence]
    assert hazards(weigh(doubtful, reference)) == set(reference.dangerous)


@given(finds(), st.data())
def test_a_determination_never_removes_a_hazard(
    find: tuple[Reference, list[Evidence]], data: st.DataObject
) -> None:
    reference, evidence = find
    taxon = data.draw(st.sampled_from(reference.taxa))
    qualifier = data.draw(st.sampled_from(list(Qualifier)))
    named = Determination("d", "find", taxon.name, taxon.id, qualifier)
    before, after = weigh(evidence, reference), weigh(evidence, reference, determinations=[named])
    assert hazards(before) <= hazards(after)
    for other in reference.taxa:
        if other.genus == taxon.genus and reference.severity_of(other.id) is Severity.FATAL:
            assert other.id in hazards(after)


@settings(max_examples=50)
@given(finds(), st.data())
def test_one_fruit_body_clears_only_itself(
    find: tuple[Reference, list[Evidence]], data: st.DataObject
) -> None:
    reference, evidence = find
    split = data.draw(st.integers(0, len(evidence)))
    common, of_one = evidence[:split], [replace(e, fruit_body="A") for e in evidence[split:]]
    whole = hazards(weigh([*common, *of_one], reference))
    assert whole == hazards(weigh(common, reference))
    assert hazards(weigh([*common, *of_one], reference, fruit_body="A")) == hazards(
        weigh(evidence, reference)
    )
    assert hazards(weigh([*common, *of_one], reference, fruit_body="B")) == whole


def test_nothing_recorded_excludes_nothing(ours: Reference) -> None:
    weighing = weigh([], ours)
    assert hazards(weighing) == set(ours.dangerous)
    assert all("nothing recorded yet" in hazard.why_not_excluded for hazard in weighing.hazards)
    assert weighing.next_checks
    assert len(weighing.close) + sum(len(m) for _, m in weighing.folded) == len(weighing.hazards)
