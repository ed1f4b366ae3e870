"""The emergency page: one side, numbers to call, what to do, nothing of place and people unless ticked."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog_gui.domain.caution import CAUTION
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.first_aid import DO, DO_NOT
from catalog_gui.domain.page import Beside, BlankLines, Block, HazardBlock, TableBlock, Text
from catalog_gui.domain.privacy import Audience
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.views.outputs.layout import lay_out
from catalog_gui.workflows.publish.emergency import emergency_facts
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.hazards import groups_of
from catalog_gui.workflows.publish.order import Kind, emergency_order, make_paper
from catalog_gui.workflows.publish.press import Press

FINDS: dict[str, tuple[tuple[str, str], ...]] = {
    "nothing": (),
    "white, base not looked at": (
        ("whole.form", "agaric"),
        ("gills.kind", "gills"),
        ("cap.colour", "white"),
        ("ring.kind", "hanging"),
    ),
    "white, volva seen": (("whole.form", "agaric"), ("cap.colour", "white"), ("base.volva", "sac")),
    "fold-bearing": (("whole.form", "fold-bearing"), ("gills.kind", "folds"), ("cap.colour", "yellow")),
    "bolete": (("whole.form", "bolete"), ("gills.kind", "pores"), ("gills.pore-colour", "red")),
    "brown-spored, ringed": (
        ("whole.form", "agaric"),
        ("gills.kind", "gills"),
        ("ring.kind", "zone"),
        ("print.colour", "rust"),
    ),
}


def words_in(blocks: tuple[Block, ...]) -> str:
    told: list[str] = []
    for block in blocks:
        match block:
            case Text():
                told.append(block.words)
            case TableBlock():
                told += [cell for row in block.rows for cell in row]
            case HazardBlock():
                told += [block.title, *(f"{row.head}: {row.words}" for row in block.rows)]
            case BlankLines():
                told += [words for row in block.rows for words in row]
            case Beside():
                told.append(words_in(block.left + block.right))
            case _:
                pass
    return "\n".join(told)


def of(found: Gathered, key: str) -> Gathered:
    rows = tuple(
        Evidence(f"x{n}", "s1", feature, Standing.SEEN, (state,))
        for n, (feature, state) in enumerate(FINDS[key])
    )
    return replace(found, names=(), evidence=rows, struck_out=())


@pytest.mark.parametrize("key", FINDS)
@pytest.mark.parametrize("letter", [False, True])
def test_it_stands_on_one_side(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker, fonts: object, key: str, letter: bool
) -> None:
    order = emergency_order("s1")
    for number in (press.emergency, ()):
        paper = make_paper(
            order, (of(found[0], key),), replace(press, letter=letter, emergency=number), makers
        )
        laid = lay_out(paper)
        assert len(laid.pages) == 1
        assert laid.shrink < 1.3


def test_sixty_records_still_stand_on_one_side(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker, fonts: object
) -> None:
    features = [f for f in press.reference.vocabulary.features if f.kind == "states"][:60]
    rows = tuple(
        Evidence(
            f"m{n}",
            "s1",
            f.id,
            Standing.SEEN,
            (press.reference.vocabulary.states_of(f.id)[0].id,),
            note="x" * 40,
        )
        for n, f in enumerate(features)
    )
    find = replace(found[0], evidence=rows)
    assert len(lay_out(make_paper(emergency_order("s1"), (find,), press, makers)).pages) == 1


def test_it_says_whom_to_call_what_to_do_and_what_is_not_excluded(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    find = of(found[0], "white, base not looked at")
    words = words_in(make_paper(emergency_order("s1"), (find,), press, makers).blocks)
    assert CAUTION in words
    assert "Emergency: 000 (invented)" in words
    for one in (*DO, *DO_NOT):
        assert one.words in words
        assert one.source in words
    for asked in ("What was eaten", "How much", "Raw or cooked", "When", "Who ate"):
        assert asked in words
    groups = groups_of(find, weighed(find, press.prepared), press.reference)
    for group in groups:
        assert f"{group.title}: " in words
        for part in () if group.other_forms else group.parts:
            assert all(stage.words[1:] in words for stage in part.onset.stages)
    assert "Not looked at: " in words
    assert "volva" in words.split("Not looked at: ")[1]
    assert "Nobody has named this find." in words


def test_112_is_named_where_no_emergency_number_is_set(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    for typed in ((), ("Poison information: 0000 (invented)",)):
        quiet = replace(press, emergency=typed)
        words = words_in(make_paper(emergency_order("s1"), found[:1], quiet, makers).blocks)
        assert "Emergency: 112" in words
        assert all(line in words for line in typed)
    words = words_in(make_paper(emergency_order("s1"), found[:1], press, makers).blocks)
    assert "112" not in words.split("Do\n")[0]


def test_place_and_people_stand_on_it_only_when_ticked(
    found: tuple[Gathered, ...], press: Press, makers: PaperMaker
) -> None:
    find = found[0]
    plain = emergency_order("s1")
    assert (plain.kind, plain.audience) == (Kind.EMERGENCY, Audience.HOSPITAL)
    facts = emergency_facts(find, plain.reader, press)
    labels = {label for label, _ in facts.fields}
    assert not labels & {"Region", "Place", "Site", "Collector", "Notes"}
    words = words_in(make_paper(plain, (find,), press, makers).blocks)
    for secret in (find.specimen.collector, find.specimen.site):
        assert secret
        assert secret not in words
    told = emergency_order("s1", place=True, people=True)
    words = words_in(make_paper(told, (find,), press, makers).blocks)
    assert find.specimen.collector in words
    assert find.specimen.site in words
    assert "(WGS 84)" in words
