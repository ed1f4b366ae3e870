"""The Catalogue page: finding, ordering, looking, and putting right."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QMenu, QPlainTextEdit, QWidget
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.caution import NO_ENTRY
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import FoundOrder
from catalog_gui.domain.specimen import Task
from catalog_gui.itemmodels.found_table import DAY, HAZARD, MATCHED, NAME, NUMBER, PAGE, SITE, FoundTable
from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.presenting.catalogue.searches import COMBINED, EXAMPLES
from catalog_gui.presenting.catalogue.words import due_words, hazard_words, severity_of
from catalog_gui.settings import Preferences, ScreenGrid, Units
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.found_list import rows_in_sight
from catalog_gui.views.catalogue.front import FORAYS, LIST, PICTURES, PLAN
from catalog_gui.views.catalogue.page import CataloguePage
from catalog_gui.views.catalogue.ways import fill_ways
from tests.views.catalogue.conftest import EVENING, MANY
from tests.views.plain import plain_bench

Settle = Callable[[CataloguePage], None]


def shown(page: CataloguePage, column: int) -> list[str]:
    """The words of a column, as far as its rows have come."""
    return [str(page.model.index(row, column).data() or "") for row in range(page.model.rowCount())]


def words(page: CataloguePage, name: str) -> str:
    found = page.findChild(QLabel, name)
    assert found is not None
    return found.text()


def field(page: CataloguePage, name: str) -> QLineEdit:
    found = page.findChild(QLineEdit, name)
    assert found is not None
    return found


def test_everything_newest_first(page: CataloguePage) -> None:
    assert page.model.rowCount() == MANY + 3
    assert shown(page, NUMBER)[:3] == ["25-002", "25-001", f"24-{99 + MANY}"]
    assert words(page, "catalogue-count") == "233 specimens"
    assert shown(page, DAY)[0] == "18 October 2025"


def test_the_model_is_a_sound_model(qtmodeltester: ModelTester, page: CataloguePage) -> None:
    qtmodeltester.check(page.model)


def test_only_what_is_in_sight_is_read_and_the_end_is_reached_at_once(
    page: CataloguePage, settle: Settle
) -> None:
    assert page.model.found(MANY) is None  # the last page is not read before she goes there
    page.table.setFocus()
    QTest.keyClick(page.table, Qt.Key.Key_End)
    settle(page)
    last = page.model.found(MANY + 2)
    assert last is not None
    assert last.number == "24-009"
    first, final = rows_in_sight(page.table)
    assert final == MANY + 2
    assert page.model.missing(first, final) == []


def test_a_search_as_she_types(page: CataloguePage, settle: Settle, qtbot: QtBot) -> None:
    QTest.keyClicks(page.search.field, "beech")
    qtbot.waitUntil(lambda: page.model.rowCount() == 1)
    settle(page)
    assert shown(page, NUMBER) == ["25-001"]
    assert "beech" in str(page.model.index(0, MATCHED).data())
    assert words(page, "catalogue-count") == "1 specimen found"
    assert words(page, "season-days") == "18 Oct, 2025"


def test_what_is_not_understood_is_said(page: CataloguePage, settle: Settle) -> None:
    page.search_for("wellies: red, date: someday")
    settle(page)
    assert "no field or part called 'wellies'" in words(page, "catalogue-notes")
    assert "'someday' is not a date" in words(page, "catalogue-notes")
    page.search_for("beech")
    settle(page)
    notes = page.findChild(QLabel, "catalogue-notes")
    assert notes is not None
    assert not notes.isVisible()


def test_nothing_found_offers_the_way_back(page: CataloguePage, settle: Settle) -> None:
    page.search_for("nothingofthiskind")
    settle(page)
    assert words(page, "catalogue-empty-words").startswith("Nothing matches")
    back = page.findChild(QAbstractButton, "catalogue-empty-act")
    assert back is not None
    assert back.isVisible()
    back.click()
    settle(page)
    assert page.model.rowCount() == MANY + 3
    assert page.table.isVisible()


def test_an_empty_catalogue_says_how_to_begin(
    tmp_path: Path, reference: Reference, qtbot: QtBot, qapp: object
) -> None:
    bench = plain_bench(
        open_catalogue(tmp_path / "new", now=lambda: EVENING), reference, EVENING, preferences=Preferences()
    )
    page = CataloguePage(bench)
    qtbot.addWidget(page)
    page.show()
    page.enter()
    qtbot.waitUntil(lambda: words(page, "catalogue-empty-words").startswith("No specimen is kept yet"))
    go = page.findChild(QAbstractButton, "catalogue-empty-act")
    assert go is not None
    with qtbot.waitSignal(bench.page_wanted) as wanted:
        go.click()
    assert wanted.args == ["sort"]
    bench.close()


@pytest.mark.parametrize(("_words", "text"), [*EXAMPLES, *COMBINED])
def test_every_example_is_understood(catalogue: Catalogue, _words: str, text: str) -> None:
    assert catalogue.search_notes(text) == ()
    catalogue.search(text)
    catalogue.close()


def test_examples_search_when_chosen(page: CataloguePage, settle: Settle) -> None:
    menu = QMenu(page)
    fill_ways(menu, page.search_for)
    chosen = next(action for action in menu.actions() if "undetermined, date" in action.text())
    chosen.trigger()
    settle(page)
    assert page.search.field.text() == "undetermined, date: october, -beech"
    assert page.model.rowCount() == 1 + MANY  # 25-002, and all of the long walk on 3 October


def test_heads_order_the_whole_result(page: CataloguePage, settle: Settle) -> None:
    head = page.table.horizontalHeader()
    for column, text, order in (
        (NUMBER, "24-009", FoundOrder.NUMBER),
        (NUMBER, "25-002", FoundOrder.NUMBER_DOWN),
        (NAME, "24-009", None),  # by first letter: Amanita cf. virosa is before Cantharellus
        (SITE, "25-002", FoundOrder.SITE),
        (DAY, "25-002", FoundOrder.NEWEST),
        (DAY, "24-009", FoundOrder.OLDEST),
    ):
        head.sectionClicked.emit(column)
        settle(page)
        if order is None:
            assert shown(page, NAME)[:3] == ["Amanita cf. virosa", "Cantharellus cibarius", "not named yet"]
        else:
            assert shown(page, NUMBER)[0] == text
            assert page.order.currentText() == order.value
        assert head.sortIndicatorSection() == column


def test_return_describes_and_the_foray_follows(
    page: CataloguePage, bench: Bench, qtbot: QtBot, settle: Settle
) -> None:
    page.search_for("24-009")
    settle(page)
    QTest.keyClick(page.search.field, Qt.Key.Key_Down)
    assert page.table.hasFocus()
    with qtbot.waitSignal(bench.page_wanted) as wanted:
        QTest.keyClick(page.table, Qt.Key.Key_Return)
    assert wanted.args == ["describe"]
    assert (bench.foray_id, bench.specimen_id) == ("old", "s3")


def test_ctrl_f_comes_to_the_search_and_escape_empties_it(page: CataloguePage, settle: Settle) -> None:
    page.search_for("beech")
    settle(page)
    page.table.setFocus()
    QTest.keyClick(page.table, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert page.search.field.hasFocus()
    assert page.search.field.selectedText() == "beech"
    QTest.keyClick(page.search.field, Qt.Key.Key_Escape)
    settle(page)
    assert page.model.rowCount() == MANY + 3


def test_hazards_have_sign_and_word_and_blank_promises_nothing(page: CataloguePage, settle: Settle) -> None:
    page.search_for("beech")
    settle(page)
    found = page.model.found(0)
    assert found is not None
    assert severity_of(found) is Severity.FATAL
    assert hazard_words(found) == "DANGER: Amanita cf. virosa can kill."
    tip = str(page.model.headerData(HAZARD, Qt.Orientation.Horizontal, Qt.ItemDataRole.ToolTipRole))
    assert "not that it is harmless" in tip
    table = FoundTable(lambda _: "")
    rows = (found, replace(found, hazard=""), replace(found, hazard="", name=""))
    table.begin(0, rows, len(rows))
    assert [table.index(row, HAZARD).data() for row in range(3)] == ["can kill", NO_ENTRY, "no name yet"]
    assert "not that it is harmless" in table.index(1, HAZARD).data(Qt.ItemDataRole.ToolTipRole)


def test_the_card_follows_her_grid_and_units(page: CataloguePage, bench: Bench, settle: Settle) -> None:
    page.search_for("25-001")
    settle(page)
    assert page.card.lines == (
        "18 October 2025, 13:00 · Hobbin Shaw · Wilma Thorn · beech wood",
        "51.81278, −2.57856 ± 9 m",
        "cap width 65–88 mm",
        "Not looked at: gills, stem, ring, base",
    )
    bench.set_preferences(
        replace(
            bench.preferences, grid=ScreenGrid("British"), units=Units("centimetre"), date_format="yyyy-MM-dd"
        )
    )
    page.mark_stale()
    settle(page)
    assert page.card.lines[:3] == (
        "2025-10-18, 13:00 · Hobbin Shaw · Wilma Thorn · beech wood",
        "SO602128 ± 9 m",
        "cap width 6.5–8.8 cm",
    )
    assert shown(page, DAY)[0] == "2025-10-18"


def test_a_change_keeps_place_selection_and_search(page: CataloguePage, bench: Bench, settle: Settle) -> None:
    QTest.keyClick(page.table, Qt.Key.Key_End)
    settle(page)
    page.table.setCurrentIndex(page.model.index(MANY - 20, 0))
    chosen = page.model.found(MANY - 20)
    assert chosen is not None
    at = page.table.verticalScrollBar().value()

    def rename(work: object) -> None:
        specimen = work.specimens.get(chosen.specimen_id)  # type: ignore[attr-defined]
        work.specimens.put(replace(specimen, habitat="alder carr"))  # type: ignore[attr-defined]

    bench.do("Habitat", rename)
    settle(page)
    assert page.table.verticalScrollBar().value() == at
    assert page.model.found(page.table.currentIndex().row()) == chosen
    assert "alder carr" in page.card.lines[0]


def test_as_pictures(page: CataloguePage, settle: Settle, qtbot: QtBot) -> None:
    page.show_view(PICTURES)
    settle(page)
    assert page.album.isVisible()
    assert page.album.currentIndex().row() == page.table.currentIndex().row() == 0
    qtbot.waitUntil(lambda: page.card.grab() is not None and not page.album.grab().isNull())
    page.search_for("24-009")
    settle(page)
    page.album.grab()
    qtbot.waitUntil(lambda: "gone" in page.bench.pictures.problem("p3"))
    first, last = rows_in_sight(page.album)
    assert (first, last) == (0, 0)


def test_on_the_plan(page: CataloguePage, settle: Settle, bench: Bench, qtbot: QtBot) -> None:
    page.show_view(PLAN)
    settle(page)
    assert sum(len(disc.rows) for disc in page.plan.discs()) == MANY + 2
    assert page.plan.notes() == "1 without a place"
    page.search_for("25-00")
    settle(page)
    page.plan.grab()
    # Two finds on one spot, known to 9 m and to 40 m: a click chooses one, another the other.
    (disc,) = page.plan.discs()
    spot = QPointF(disc.x, disc.y)
    page.plan.clicked(spot)
    first = page.plan.chosen_id
    page.plan.clicked(spot)
    assert {first, page.plan.chosen_id} == {"s1", "s2"}
    settle(page)
    assert page.chosen is not None
    assert page.chosen.specimen_id == page.plan.chosen_id
    with qtbot.waitSignal(bench.page_wanted):
        QTest.keyClick(page.plan, Qt.Key.Key_Return)
    assert bench.specimen_id == page.plan.chosen_id


def test_the_plan_is_to_scale(page: CataloguePage, settle: Settle) -> None:
    # Rows m0 and m229 lie 229 thousandths of a degree of latitude apart: 25.48 km of meridian at 52 N
    # (111.27 km a degree there, WGS 84; a hand calculation from the radius of curvature of the meridian).
    page.search_for("moss")
    page.show_view(PLAN)
    settle(page)
    spots = {one.specimen_id: n for n, one in enumerate(page.plan.found.places)}
    at = page.plan.frame.all_at(page.plan.spots())
    low, high = at[spots["m0"]], at[spots["m229"]]
    assert high[1] < low[1]  # north is up
    assert high[0] < low[0]  # and west is left
    metres = (low[1] - high[1]) / page.plan.frame.scale
    assert metres == pytest.approx(0.229 * 111_270, rel=0.002)


def test_season_of_the_search_and_of_the_name(page: CataloguePage, settle: Settle) -> None:
    assert words(page, "season-days") == "26 Apr to 18 Oct, 2024–2025"
    page.search_for("24-009")
    settle(page)
    of = page.findChild(QComboBox, "season-of")
    assert of is not None
    of.setCurrentIndex(1)
    of.activated.emit(1)
    settle(page)
    assert words(page, "season-days") == "26 Apr, 2024"
    page.search_for("undetermined, date: 2024")
    of.setCurrentIndex(0)
    of.activated.emit(0)
    settle(page)
    page.season.setFocus()
    QTest.keyClick(page.season, Qt.Key.Key_Right)
    QTest.keyClick(page.season, Qt.Key.Key_Return)
    settle(page)
    assert page.search.field.text() == "undetermined, date: 2024-10"


def test_tally_of_any_foray(page: CataloguePage, settle: Settle) -> None:
    assert page.tally.foray_id == "walk"
    lines = page.tally.lines
    assert [lines.topLevelItem(n).text(0) for n in range(2)] == ["Amanita cf. virosa", "not named yet"]
    page.tally.choice.activated.emit(
        [page.tally.choice.itemText(n) for n in range(3)].index("Spring walk, 26 April 2024")
    )
    settle(page)
    assert page.tally.foray_id == "old"
    assert lines.topLevelItem(0).text(0) == "Cantharellus cibarius"
    page.bench.do(
        "Nothing much",
        lambda work: work.forays.put(*(replace(f, note="x") for f in work.forays.where(id="many"))),
    )
    settle(page)
    assert page.tally.foray_id == "old"  # a change elsewhere leaves her choice alone
    lines.setCurrentItem(lines.topLevelItem(0))  # type: ignore[arg-type]  # it is there
    QTest.keyClick(lines, Qt.Key.Key_Return)
    settle(page)
    assert page.search.field.text() == 'taxon: Cantharellus cibarius, foray: "Spring walk"'
    assert shown(page, NUMBER) == ["24-009"]


def test_tasks_are_done_by_key_one_after_the_other_and_taken_back(
    page: CataloguePage, settle: Settle, bench: Bench
) -> None:
    dues = [page.tasks.topLevelItem(n).text(2) for n in range(3)]
    assert dues == ["1 h 40 min late", "in 60 min", "no time set"]
    assert words(page, "tasks-title") == "3 open tasks, 1 overdue"
    page.tasks.setFocus()
    page.tasks.setCurrentItem(page.tasks.topLevelItem(0))  # type: ignore[arg-type]  # it is there
    QTest.keyClick(page.tasks, Qt.Key.Key_Space)
    settle(page)
    assert page.tasks.topLevelItemCount() == 2
    chosen = page.tasks.chosen()
    assert chosen is not None
    assert chosen.id == "t2"
    bench.undo()
    settle(page)
    assert page.tasks.topLevelItemCount() == 3


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (-0.5, "30 min late"),
        (-50, "2 days late"),
        (0.5, "in 30 min"),
        (20, "Sun 14:00"),  # 17:00 UTC on Saturday 18 October 2025, and 20 hours, in British Summer Time
        (24 * 8, "26 October 2025, 17:00"),  # eight days on the clocks have gone back
    ],
)
def test_when_it_is_due(hours: float, words: str) -> None:
    task = Task("t", "s", "other", "Something", due=EVENING + timedelta(hours=hours))
    assert due_words(task, EVENING, Preferences(), "Europe/London") == words


def test_forays_are_listed_and_put_right_one_step_each(
    page: CataloguePage, settle: Settle, bench: Bench, catalogue: Catalogue
) -> None:
    page.show_view(FORAYS)
    settle(page)
    lines = page.forays.lines
    assert [lines.topLevelItem(n).text(0) for n in range(3)] == ["Autumn walk", "Long walk", "Spring walk"]
    assert [lines.topLevelItem(0).text(n) for n in range(1, 6)] == [
        "18 October 2025",
        "Hobbin Shaw",
        "1",
        "2",
        "1",
    ]
    assert words(page, "catalogue-count") == "3 forays"
    title, people = field(page, "foray-title"), field(page, "foray-people")
    note = page.findChild(QPlainTextEdit, "foray-note")
    assert note is not None
    title.setFocus()
    title.setText("Autumn walk with the club")
    people.setFocus()  # leaving the field saves it
    people.setText("Hedda Moss; Bram Ollerton,, ")
    note.setFocus()
    note.setPlainText("Rain from noon.\nכובע 🍄")
    lines.setFocus()
    settle(page)
    other = catalogue.another()
    with other.read() as work:
        kept = work.forays.get("walk")
    assert kept is not None
    assert kept.title == "Autumn walk with the club"
    assert kept.people == ("Hedda Moss", "Bram Ollerton")
    assert kept.note == "Rain from noon.\nכובע 🍄"
    assert kept.permission == "by word of the warden"
    assert [step.label for step in other.steps(3)] == ["Foray: note", "Foray: people", "Foray: title"]
    other.close()
    for _ in range(3):
        bench.undo()
    settle(page)
    assert (title.text(), people.text(), note.toPlainText()) == ("Autumn walk", "Hedda Moss", "")
    assert lines.topLevelItem(0).text(0) == "Autumn walk"


def test_what_is_typed_is_kept_while_it_is_typed(
    page: CataloguePage, settle: Settle, bench: Bench, catalogue: Catalogue, qtbot: QtBot
) -> None:
    """A kill loses nothing that stood there for a second; one undo takes all of it back."""

    def kept() -> Foray:
        with contextlib.closing(catalogue.another()) as other, other.read() as work:
            foray = work.forays.get("walk")
        assert foray is not None
        return foray

    page.show_view(FORAYS)
    settle(page)
    people, country = field(page, "foray-people"), field(page, "foray-country")
    people.setFocus()
    QTest.keyClick(people, Qt.Key.Key_End)
    QTest.keyClicks(people, ", Bram")
    qtbot.waitUntil(lambda: kept().people == ("Hedda Moss", "Bram"))
    settle(page)
    QTest.keyClicks(people, " Ollerton, ")
    qtbot.waitUntil(lambda: kept().people == ("Hedda Moss", "Bram Ollerton"))
    settle(page)
    assert people.text() == "Hedda Moss, Bram Ollerton, "  # nothing is put right under her fingers
    QTest.keyClicks(people, "Osric")
    country.setFocus()
    QTest.keyClicks(country, "united kingdom")
    qtbot.waitUntil(lambda: kept().country == "united kingdom")
    country.completer().popup().hide()
    page.forays.lines.setFocus()
    settle(page)
    assert (kept().people, kept().country, kept().country_code) == (
        ("Hedda Moss", "Bram Ollerton", "Osric"),
        "united kingdom",
        "GB",
    )
    bench.undo()
    settle(page)
    assert (kept().country, kept().country_code, country.text()) == ("", "", "")
    bench.undo()
    settle(page)
    assert (kept().people, people.text()) == (("Hedda Moss",), "Hedda Moss")


def test_a_line_of_a_foray_finds_its_specimens(page: CataloguePage, settle: Settle) -> None:
    page.show_view(FORAYS)
    page.forays.lines.setCurrentItem(page.forays.lines.topLevelItem(2))  # type: ignore[arg-type]  # it is there
    settle(page)
    assert page.tally.foray_id == "old"
    QTest.keyClick(page.forays.lines, Qt.Key.Key_Return)
    settle(page)
    assert shown(page, NUMBER) == ["24-009"]
    assert page.table.isVisible()


def test_searches_are_kept_found_again_and_dropped(page: CataloguePage, settle: Settle, bench: Bench) -> None:
    page.search_for("missing: base")
    dialog = page.search.kept.ask_name(page.search.field.text())
    assert dialog is not None
    dialog.setTextValue("Bases & all")
    dialog.accept()
    settle(page)
    menu = QMenu(page)
    page.search.kept.fill(menu)
    settle(page)
    page.search_for("")
    assert menu.actions()[0].text() == "Bases && all:   missing: base"
    menu.actions()[0].trigger()
    settle(page)
    assert page.search.field.text() == "missing: base"
    menus = [action.menu() for action in menu.actions() if action.menu() is not None]
    drop = menus[0]
    assert isinstance(drop, QMenu)
    drop.actions()[0].trigger()
    settle(page)
    page.search.kept.fill(menu)
    settle(page)
    assert menu.actions()[0].text() == "None is kept yet"
    assert page.search.kept.ask_name("") is None


def test_every_control_has_a_name_for_scripts_and_for_readers(page: CataloguePage) -> None:
    nameless = [
        child
        for child in page.findChildren(QWidget)
        if child.focusPolicy() != Qt.FocusPolicy.NoFocus
        and child.isVisibleTo(page)
        and not child.objectName().startswith("qt_")
        and not (child.objectName() and child.accessibleName())
        and child.parent() is not None
        and not child.parent().inherits("QComboBox")
        and not child.inherits("QSplitter")
    ]
    assert [type(child).__name__ + child.objectName() for child in nameless] == []


def test_rows_beyond_the_end_are_passed_over() -> None:
    model = FoundTable(lambda _: "")
    assert model.missing(0, 10) == []
    model.begin(0, (), 3)
    model.add(PAGE, ())
    assert model.found(5) is None
    assert model.index(0, 0).data() == "…"
    assert model.missing(-5, 500) == []


def test_views_change_by_key(page: CataloguePage, settle: Settle) -> None:
    page.table.setFocus()
    for number, view in ((2, page.album), (3, page.plan), (4, page.forays.lines), (1, page.table)):
        QTest.keyClick(page, Qt.Key(Qt.Key.Key_0.value + number), Qt.KeyboardModifier.ControlModifier)
        settle(page)
        assert view.isVisible()
        assert view.hasFocus()
    assert page.view == LIST
