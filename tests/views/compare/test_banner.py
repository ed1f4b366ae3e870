"""The hazard banner: always there, everything in it, the field's own order of looking."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui.domain.caution import CAUTION, NO_NUMBERS, NOTHING_LEFT
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Determination
from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.presenting.compare.state import HazardLine
from catalog_gui.presenting.words import emergency_words
from catalog_gui.settings import Preferences
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.hazard_list import Fold, folds
from catalog_gui.views.compare.page import ComparePage

Show = Callable[[str], None]
ROLE = Qt.ItemDataRole.UserRole


def said(page: ComparePage, name: str) -> str:
    found = page.banner.findChild(QLabel, name)
    assert found is not None
    return found.text()


def names(page: ComparePage) -> set[str]:
    """Every taxon in the list, folded ones included."""
    entries = [index.data(ROLE) for index in page.banner.list.rows()]
    return {entry.taxon.name for entry in entries if isinstance(entry, HazardLine)}


def line_of(page: ComparePage, name: str) -> HazardLine:
    return next(hazard for hazard in page.comparison.hazards if hazard.taxon.name == name)


@pytest.mark.parametrize(
    "find", ["base-missing", "volva-seen", "brown-on-wood", "chanterelle-like", "nothing"]
)
def test_caution_stands_on_every_find(page: ComparePage, show: Show, find: str) -> None:
    show(find)
    caution = page.banner.findChild(QLabel, "hazard-caution")
    assert caution is not None
    assert caution.isVisible()
    assert caution.text() == CAUTION
    assert caution.heightForWidth(caution.width()) <= caution.height() + 2  # nothing of it is cut off


def test_banner_cannot_be_hidden_or_closed(page: ComparePage, show: Show) -> None:
    show("base-missing")
    page.banner.hide()
    page.banner.setVisible(False)
    assert page.banner.isVisible()
    for button in page.banner.findChildren(QAbstractButton):
        if button.objectName() != "hazard-set-numbers":  # that one opens the preferences
            button.click()
            assert page.banner.isVisible()
            assert page.banner.height() > 60
    QTest.keyClick(page.banner.list, Qt.Key.Key_Escape)
    assert page.banner.isVisible()


def test_banner_lies_outside_everything_that_scrolls(page: ComparePage, show: Show) -> None:
    show("base-missing")
    before = page.banner.mapTo(page, QPoint(0, 0))
    page.table.verticalScrollBar().setValue(page.table.verticalScrollBar().maximum())
    assert page.banner.mapTo(page, QPoint(0, 0)) == before
    assert page.banner.parentWidget() is page


def test_banner_leaves_the_page_readable_at_1366(page: ComparePage, show: Show) -> None:
    for find in ("base-missing", "volva-seen", "brown-on-wood", "nothing"):
        show(find)
        assert 140 <= page.banner.height() <= 195


@pytest.mark.parametrize(
    "find", ["base-missing", "volva-seen", "brown-on-wood", "chanterelle-like", "nothing"]
)
def test_names_that_can_kill_stand_outside_whatever_scrolls(page: ComparePage, show: Show, find: str) -> None:
    """ "Show all", wheel down, "Show fewer": the folded list stood at its end, with no deadly name in sight."""
    show(find)
    page.banner.set_opened(True)
    bar = page.banner.list.verticalScrollBar()
    bar.setValue(bar.maximum())
    page.banner.set_opened(False)
    listed = (*page.comparison.hazards, *page.comparison.minded)
    deadly = [line.taxon for line in listed if line.severity is Severity.FATAL]
    fixed = [
        words
        for words in page.banner.findChildren(QLabel)
        if words.isVisible() and not page.banner.list.isAncestorOf(words)
    ]
    in_sight = " ".join(words.text() for words in fixed)
    for taxon in deadly:
        short = f"{taxon.genus[0]}. {taxon.name.split(' ', 1)[1]}"
        assert taxon.name in in_sight or short in in_sight, taxon.name
    for words in fixed:
        if words.wordWrap():
            assert words.heightForWidth(words.width()) <= words.height() + 2, words.objectName()


def test_nothing_recorded_excludes_nothing(page: ComparePage, show: Show, reference: Reference) -> None:
    show("nothing")
    assert said(page, "hazard-headline").startswith("Nothing is recorded yet, so nothing is excluded.")
    assert names(page) == {t.name for t in reference.taxa if t.id in set(reference.dangerous)}
    assert page.side.candidates.count() == 0  # no order without evidence


def test_headline_counts_by_what_can_happen(page: ComparePage, show: Show) -> None:
    show("base-missing")
    hazards = page.comparison.hazards
    fatal = sum(1 for hazard in hazards if hazard.severity is Severity.FATAL)
    words = said(page, "hazard-headline")
    assert words.startswith(
        f"Your evidence does not exclude {len(hazards)} dangerous taxa: {fatal} that can kill"
    )
    assert "—" not in words
    assert "–" not in words


def test_missing_base_keeps_the_deadly_amanitas_and_says_so(page: ComparePage, show: Show) -> None:
    show("base-missing")
    for name in ("Amanita phalloides", "Amanita virosa", "Amanita verna"):
        line = line_of(page, name)
        assert line.severity is Severity.FATAL
        assert "volva damaged or gone" in line.why
        assert "nothing recorded speaks against it" in line.why or "counts little" in line.why
        assert "not looked at" in line.why
    first = page.banner.list.rows()[0].data(ROLE)
    assert isinstance(first, HazardLine)
    assert first.severity is Severity.FATAL
    assert page.banner._word.word == "DANGER"


def test_what_can_be_done_in_the_field_is_named_first(page: ComparePage, show: Show) -> None:
    show("nothing")
    why = line_of(page, "Amanita phalloides").why
    assert why.startswith("base, ring and gills not looked at")
    why = line_of(page, "Galerina marginata").why
    assert why.startswith("ring, gills and spore print not looked at")


def test_microscopy_stands_behind_what_the_eye_can_see(
    page: ComparePage, show: Show, reference: Reference
) -> None:
    show("volva-seen")
    ranks = {"microscope": 2, "reagent": 1}
    for hazard in page.comparison.hazards:
        told = hazard.why.split(" not looked at")[0].split("; ")[-1]
        parts = told.replace(" and ", ", ").split(", ")
        costs = {f.name: ranks.get(f.cost, 0) for f in reference.vocabulary.features if f.cost != "print"}
        known = [costs[part] for part in parts if part in costs]
        assert known == sorted(known), hazard.why


def test_seen_volva_speaks_against_no_deadly_amanita(page: ComparePage, show: Show) -> None:
    show("volva-seen")
    assert {"Amanita phalloides", "Amanita virosa", "Amanita verna"} <= names(page)
    assert line_of(page, "Amanita verna").why.startswith("named Amanita verna")


def test_brown_find_on_wood_keeps_the_funeral_bell(page: ComparePage, show: Show) -> None:
    show("brown-on-wood")
    line = line_of(page, "Galerina marginata")
    assert line.group == ""  # named in full, not folded
    assert "ring" in line.why
    assert "spore print" in line.why


def test_chanterelle_like_find_keeps_its_dangerous_doubles_in_sight(page: ComparePage, show: Show) -> None:
    """Webcaps and Omphalotus are taken for chanterelles; they stand there whatever the weighing says."""
    show("chanterelle-like")
    assert {"Omphalotus olearius", "Cortinarius orellanus", "Cortinarius rubellus"} <= names(page)
    doubles = {c.lookalike for c in page.bench.reference.confusions_of("cantharellus-cibarius")}
    for hazard in page.comparison.hazards:
        if hazard.taxon.id in doubles:
            assert hazard.group == ""  # named in full, never folded away
    if not page.comparison.hazards:
        assert NOTHING_LEFT in said(page, "hazard-headline")


def test_rest_is_folded_by_group_with_a_count_and_nothing_is_hidden(page: ComparePage, show: Show) -> None:
    show("base-missing")
    comparison = page.comparison
    rows = folds((*comparison.hazards, *comparison.minded))
    members = [m for row in rows for m in (row.members if isinstance(row, Fold) else (row,))]
    assert len(members) == len(comparison.hazards) + len(comparison.minded)
    assert any(isinstance(row, Fold) for row in rows)
    assert names(page) == {hazard.taxon.name for hazard in (*comparison.hazards, *comparison.minded)}
    for index in page.banner.list.rows():
        entry = index.data(ROLE)
        if isinstance(entry, Fold):
            assert index.data(Qt.ItemDataRole.DisplayRole).endswith(f": {len(entry.members)} taxa")
            assert len(entry.members) > 1
            assert page.banner.list.model().rowCount(index) == len(entry.members)


def first_fold(page: ComparePage) -> Fold:
    for index in page.banner.list.rows():
        entry = index.data(ROLE)
        if isinstance(entry, Fold):
            page.banner.list.setCurrentIndex(index)
            return entry
    raise AssertionError("no group is folded")


def test_group_unfolds_by_key_and_stays_so_over_reloads(
    page: ComparePage, show: Show, record: Callable[[Evidence], None]
) -> None:
    show("base-missing")
    group = first_fold(page).group
    view = page.banner.list
    QTest.keyClick(view, Qt.Key.Key_Right)
    assert view.unfolded == {group}
    assert view.isExpanded(view.currentIndex())
    record(Evidence("more", "base-missing", "cap.shape", Standing.SEEN, ("convex",)))
    still = next(i for i in view.rows() if isinstance(i.data(ROLE), Fold) and i.data(ROLE).group == group)
    assert view.isExpanded(still)
    assert view.currentIndex() == still
    QTest.keyClick(view, Qt.Key.Key_Return)
    assert view.unfolded == frozenset()


def test_group_unfolds_by_mouse(page: ComparePage, show: Show) -> None:
    show("base-missing")
    page.banner.set_opened(True)
    group = first_fold(page).group
    view = page.banner.list
    view.scrollTo(view.currentIndex())
    QTest.mouseClick(
        view.viewport(), Qt.MouseButton.LeftButton, pos=view.visualRect(view.currentIndex()).center()
    )
    assert view.unfolded == {group}


def test_whole_list_gets_room_and_the_page_stays(page: ComparePage, show: Show, qtbot: QtBot) -> None:
    show("base-missing")
    low = page.banner.height()
    button = page.banner.findChild(QPushButton, "hazard-open")
    assert button is not None
    assert str(len(page.comparison.hazards)) in button.text()
    button.click()
    assert page.banner.opened
    qtbot.waitUntil(lambda: low < page.banner.sizeHint().height() <= 0.6 * page.height())


def test_return_lays_a_hazard_beside_and_never_takes_it_away(
    page: ComparePage, show: Show, settle: Callable[[], None]
) -> None:
    show("brown-on-wood")
    view = page.banner.list
    wanted = next(i for i in view.rows() if isinstance(i.data(ROLE), HazardLine))
    view.setCurrentIndex(wanted)
    key = wanted.data(ROLE).taxon.id
    for _ in range(2):
        QTest.keyClick(view, Qt.Key.Key_Return)
        settle()
        assert key in {taxon.id for taxon in page.comparison.taxa}


def test_name_never_removes_a_hazard(
    page: ComparePage, show: Show, bench: Bench, settle: Callable[[], None]
) -> None:
    show("base-missing")
    before = names(page)
    name = Determination("d9", "base-missing", "Agaricus arvensis", "agaricus-arvensis")
    bench.do("Named", lambda work: work.determinations.put(name))
    settle()
    assert before <= names(page)


def test_emergency_words_come_from_her_and_say_so_when_there_are_none(
    page: ComparePage, show: Show, bench: Bench, qtbot: QtBot
) -> None:
    assert emergency_words(Preferences()) == NO_NUMBERS
    both = replace(Preferences(), emergency_number="000", poison_service="0000 000 000", country="Nowhere")
    assert emergency_words(both) == "Emergency: 000\nPoison service (Nowhere): 0000 000 000"
    assert "No poison service is set." in emergency_words(replace(both, poison_service=""))
    show("base-missing")
    assert said(page, "hazard-emergency") == NO_NUMBERS
    with qtbot.waitSignal(page.banner.preferences_wanted):
        button = page.banner.findChild(QPushButton, "hazard-set-numbers")
        assert button is not None
        button.click()


def test_onset_is_told_stage_by_stage_as_wide_as_any_source(page: ComparePage, show: Show) -> None:
    """Death cap: gut 6 to 24 h in one source, 6 to 12 h in others (resources/reference/hazards.csv)."""
    show("base-missing")
    told = line_of(page, "Amanita phalloides").onset
    assert told == "gut after 6 to 24 h, then a quiet spell; liver after 1 to 7 days"


def test_screen_readers_hear_signal_name_and_reason(page: ComparePage, show: Show) -> None:
    show("base-missing")
    spoken = page.banner.list.rows()[0].data(Qt.ItemDataRole.AccessibleTextRole)
    line = page.banner.list.rows()[0].data(ROLE)
    assert spoken.startswith(f"Danger. {line.taxon.name}")
    assert line.why[1:] in spoken
    assert CAUTION in page.banner.accessibleDescription()


def test_teaching_view_keeps_banner_and_caution(
    page: ComparePage, show: Show, settle: Callable[[], None]
) -> None:
    show("base-missing")
    page._teach.setChecked(True)
    settle()
    assert page.comparison.specimen is None
    assert page.comparison.taxa
    assert page.banner.isVisible()
    assert said(page, "hazard-caution") == CAUTION
    dangerous = sum(severity is not None for severity in page.comparison.severities)
    assert len(page.comparison.hazards) == dangerous > 0
    assert "dangerous" in said(page, "hazard-headline")
