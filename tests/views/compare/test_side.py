"""What to check next and the candidates: words, reasons, an order, and never a score."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.compare.check_lines import COST_WORDS, taking_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.page import ComparePage

Show = Callable[[str], None]


def test_each_check_says_what_it_takes_and_what_it_would_settle(page: ComparePage, show: Show) -> None:
    show("base-missing")
    checks = page.comparison.checks
    assert checks
    for row, check in enumerate(checks):
        first, second = page.side.checks.item(row).text().split("\n")
        assert first == f"{check.name}: {check.cost}"
        assert check.cost in COST_WORDS.values() or check.how.casefold().startswith(check.cost.casefold())
        assert second.endswith(".")
        assert "speak against" in second or "arts " in second or "narrows" in second
        assert check.answers
        assert len(check.answers) == len(check.in_full)


def test_what_looking_takes_is_said_in_the_words_of_the_feature(reference: Reference) -> None:
    """'stem bruising: cut it lengthwise' shows no bruise."""
    told = {f.id: taking_words(f.cost, f.how_to_look) for f in reference.vocabulary.features}
    assert told["stem.bruise"] == "rub and cut"
    assert told["gills.bruise"] == "press with a nail"
    assert told["stem.core"] == "cut lengthwise"
    assert told["print.colour"] == COST_WORDS["print"]


def test_answers_of_the_chosen_check_are_spelt_out(page: ComparePage, show: Show) -> None:
    show("base-missing")
    page.side.checks.setCurrentRow(1)
    check = page.comparison.checks[1]
    told = page.side.answers.text().split("\n")[0].rstrip("…")
    assert check.answers[0].startswith(told)
    assert page.side.answers.accessibleDescription() == "\n".join(check.in_full)
    assert re.search(r"against \d+|fits [A-Z]\. ", check.answers[0])


def test_return_on_a_check_goes_to_describe(
    page: ComparePage, show: Show, bench: Bench, qtbot: QtBot
) -> None:
    show("base-missing")
    page.side.checks.setCurrentRow(0)
    told: list[str] = []
    bench.page_wanted.connect(told.append)
    bench.feature_wanted.connect(told.append)
    QTest.keyClick(page.side.checks, Qt.Key.Key_Return)
    assert told == ["describe", page.comparison.checks[0].feature]


def test_what_was_answered_is_not_asked_again(
    page: ComparePage, show: Show, record: Callable[[Evidence], None]
) -> None:
    show("nothing")
    asked = page.comparison.checks[0].feature
    state = page.bench.vocabulary.states_of(asked)[0].id
    record(Evidence("x", "nothing", asked, Standing.SEEN, (state,)))
    assert asked not in {check.feature for check in page.comparison.checks}


def test_candidates_stand_in_order_with_reasons(page: ComparePage, show: Show) -> None:
    show("brown-on-wood")
    one = page.comparison.candidates[0]
    words = page.side.candidates.item(0).text()
    assert words.startswith(f"1. {one.taxon.name}")
    assert f"{len(one.speaks_for)} for it" in words
    assert "For: " in page.side.candidates.item(0).toolTip()


@pytest.mark.parametrize("find", ["base-unseen", "volva-seen", "red-bolete", "brown-ringed"])
def test_order_of_the_candidates_follows_from_what_stands_beside_them(
    page: ComparePage, show: Show, find: str
) -> None:
    """Two candidates with '6 for it, nothing against' stood one after the other without a word why."""
    show(find)
    lines = page.comparison.candidates
    assert len(lines) > 2
    for row, (before, one) in enumerate(itertools.pairwise(lines), 1):
        fewer_for = len(one.speaks_for) <= len(before.speaks_for)
        more_against = len(one.speaks_against) >= len(before.speaks_against)
        differs = (len(one.speaks_for), len(one.speaks_against)) != (
            len(before.speaks_for),
            len(before.speaks_against),
        )
        assert one.why_here or (fewer_for and more_against and differs), one.taxon.name
        words = page.side.candidates.item(row).text()
        assert one.why_here[1:] in words
    assert any(one.why_here for one in lines)


def test_return_on_a_candidate_lays_it_beside_and_takes_it_away(
    page: ComparePage, show: Show, settle: Callable[[], None]
) -> None:
    show("brown-on-wood")
    page.side.candidates.setCurrentRow(5)
    key = page.comparison.candidates[5].taxon.id
    before = key in {taxon.id for taxon in page.comparison.taxa}
    for wanted in (not before, before):
        QTest.keyClick(page.side.candidates, Qt.Key.Key_Return)
        settle()
        assert (key in {taxon.id for taxon in page.comparison.taxa}) is wanted


@pytest.mark.parametrize(
    "find", ["base-missing", "volva-seen", "brown-on-wood", "chanterelle-like", "nothing"]
)
def test_no_percentage_score_or_reassurance_anywhere(page: ComparePage, show: Show, find: str) -> None:
    show(find)
    words = [label.text() for label in page.findChildren(QLabel)]
    words += [widget.accessibleDescription() for widget in page.findChildren(QWidget)]
    for view in (page.side.checks, page.side.candidates):
        words += [view.item(row).text() + view.item(row).toolTip() for row in range(view.count())]
    words += [
        f"{index.data(Qt.ItemDataRole.DisplayRole)} {index.data(Qt.ItemDataRole.ToolTipRole)}"
        for index in page.overlay.list.rows()
    ]
    for text in words:
        bare = text.replace("is not a basis for eating", "").replace("not a statement", "")
        assert not re.search(
            r"%|\bscore|\bprobab|\bedib|\bsafe\b|\bharmless|\blikelihood|\beat", bare, re.IGNORECASE
        ), text


def test_keys_reach_every_part_of_the_page(page: ComparePage, show: Show) -> None:
    show("base-missing")
    page.activateWindow()
    named = {action.objectName(): action for action in page.actions()}
    for name, widget in (
        ("hazards", page.banner.lines.rows[0]),
        ("table", page.table),
        ("checks", page.side.checks),
        ("candidates", page.side.candidates),
        ("taxon", page._taxon),
    ):
        named[f"compare-go-{name}"].trigger()
        assert page.focusWidget() is widget


def test_print_goes_to_hand_on(page: ComparePage, show: Show, bench: Bench, qtbot: QtBot) -> None:
    show("base-missing")
    with qtbot.waitSignal(bench.paper_wanted) as caught:
        page._paper.click()
    beside = [taxon.name for taxon in page.comparison.taxa]
    assert beside
    assert caught.args == ["Lookalike handout", ["base-missing"], beside]


def test_emergency_page_is_one_key_away(page: ComparePage, show: Show, bench: Bench, qtbot: QtBot) -> None:
    show("base-missing")
    button = page.banner.findChild(QPushButton, "hazard-emergency-page")
    assert button is not None
    assert button.isVisible()
    assert button.shortcut().toString() == "Ctrl+Shift+E"
    with qtbot.waitSignal(bench.paper_wanted) as caught:
        button.click()
    assert caught.args == ["Emergency page", ["base-missing"], []]


def test_next_find_by_key(page: ComparePage, show: Show, settle: Callable[[], None]) -> None:
    show("base-missing")
    next(a for a in page.actions() if a.objectName() == "compare-go-next").trigger()
    settle()
    assert page.comparison.specimen is not None
    assert page.comparison.specimen.id == "volva-seen"
