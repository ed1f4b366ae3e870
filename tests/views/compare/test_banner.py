"""The hazard banner: always there, everything in it, the field's own order of looking."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QAbstractScrollArea, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui.domain.caution import CAUTION, NO_NUMBERS, NOTHING_LEFT
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.specimen import Determination
from catalog_gui.lookalikes import prepare
from catalog_gui.lookalikes.hazard_groups import MOST_LINES
from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.presenting.compare.state import BannerLine, HazardLine
from catalog_gui.presenting.words import emergency_words
from catalog_gui.settings import Preferences
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.hazard_rows import HazardRow, reasons_of
from catalog_gui.views.compare.page import ComparePage
from catalog_gui.workflows.weigh_find import weigh_find
from tests.views.compare.conftest import NOON, PATIENCE, SIX

Show = Callable[[str], None]
ROLE = Qt.ItemDataRole.UserRole


def said(page: ComparePage, name: str) -> str:
    found = page.banner.findChild(QLabel, name)
    assert found is not None
    return found.text()


def names(page: ComparePage) -> set[str]:
    """Every taxon in the list, folded ones included."""
    entries = [index.data(ROLE) for index in page.overlay.list.rows()]
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
        if button.objectName() not in {"hazard-set-numbers", "hazard-emergency-page"}:  # these lead elsewhere
            button.click()
            assert page.banner.isVisible()
            assert page.banner.height() > 60
    page.banner.lines.take_focus()
    QTest.keyClick(page.banner.lines.rows[0], Qt.Key.Key_Escape)
    assert page.banner.isVisible()


def test_banner_lies_outside_everything_that_scrolls(page: ComparePage, show: Show) -> None:
    show("base-missing")
    before = page.banner.mapTo(page, QPoint(0, 0))
    page.table.verticalScrollBar().setValue(page.table.verticalScrollBar().maximum())
    assert page.banner.mapTo(page, QPoint(0, 0)) == before
    assert page.banner.parentWidget() is page


@pytest.mark.parametrize("find", [*SIX, "base-missing", "brown-on-wood"])
def test_names_that_can_kill_stand_outside_whatever_scrolls(
    page: ComparePage, show: Show, qtbot: QtBot, find: str
) -> None:
    """The list open, wheel down, list closed: it stood at its end, with no deadly name in sight."""
    show(find)
    page.show_hazards()
    bar = page.overlay.list.verticalScrollBar()
    bar.setValue(bar.maximum())
    page.show_hazards(-1)
    assert not page.banner.findChildren(QAbstractScrollArea)
    in_sight = " ".join(row.words for row in page.banner.lines.rows)
    for line in (*page.comparison.hazards, *page.comparison.minded):
        if line.severity is Severity.FATAL:
            assert line.taxon.name.removeprefix(f"{line.taxon.genus} ") in in_sight, line.taxon.name
    for row in page.banner.lines.rows:  # and nothing of a line is cut off
        assert row.isVisible()
        assert row.height() >= row._text.height(row.words, len(row.line.title), row._room(), row.font())
    qtbot.waitUntil(lambda: all(in_banner(page, row) for row in page.banner.lines.rows), timeout=PATIENCE)


def in_banner(page: ComparePage, row: HazardRow) -> bool:
    return page.banner.rect().contains(row.geometry().translated(page.banner.lines.pos()))


@pytest.mark.parametrize("find", SIX)
def test_about_eight_lines_hold_every_taxon_exactly_once(page: ComparePage, show: Show, find: str) -> None:
    show(find)
    comparison = page.comparison
    lines = [row.line for row in page.banner.lines.rows]
    assert tuple(lines) == comparison.banner
    assert 1 <= len(lines) <= MOST_LINES
    counted = [member.taxon.id for line in lines if line.counted for member in line.members]
    weighed = weigh_find(comparison.evidence, prepare(page.bench.reference), determinations=given(find))
    assert sorted(counted) == sorted(hazard.taxon.id for hazard in weighed.weighing.hazards)
    assert len(counted) == len(set(counted)) == len(comparison.hazards)
    order = [line.severity.order for line in lines if line.counted and not line.title.startswith("Of other")]
    assert order == sorted(order)  # the worst first
    for line in lines:  # what a line does not name it counts
        for names in line.names:
            told = sum(member.taxon.name.split(" ", 1)[1] in names for member in line.members)
            more = sum(int(number) for number in re.findall(r"(\d+) (?:more|taxa)", names))
            more += sum(int(number) for number in re.findall(r"(\d+) (?:can|taxon)", names))
            more += sum(int(number) for number in re.findall(r"[a-z] (\d+)(?:,|$)", names))
            assert told + more >= len(line.members), names


def given(find: str) -> list[Determination]:
    """The name that the bench of these tests has for a find."""
    return (
        [Determination("d1", find, "Amanita verna", "amanita-verna", entered_at=NOON)]
        if find == "volva-seen"
        else []
    )


@pytest.mark.parametrize("find", SIX)
def test_lines_of_one_find_say_poison_organ_onset_and_course(
    page: ComparePage, show: Show, reference: Reference, find: str
) -> None:
    show(find)
    alone = [row for row in page.banner.lines.rows if row.line.onset]
    assert alone
    for row in alone:
        assert row.words.startswith(f"{row.line.title}; {row.line.onset}: ")
    for row in page.banner.lines.rows:
        if row.line.title == "Amatoxins, liver":
            assert re.search(r"gut after [\d a-z]+, then a quiet spell; liver after", row.words)


def test_seen_form_folds_the_taxa_of_other_forms_into_one_line(page: ComparePage, show: Show) -> None:
    show("brown-ringed")
    (folded,) = [line for line in page.comparison.banner if line.title.startswith("Of other forms")]
    forms = {form for member in folded.members for form in member.taxon.forms}
    assert "agaric" not in forms
    elsewhere = {
        member.taxon.genus for line in page.comparison.banner if line is not folded for member in line.members
    }
    assert not elsewhere & {"Morchella", "Helvella", "Scleroderma", "Ramaria", "Gyromitra"}
    show("base-unseen")  # free white gills say that there are gills, though only the form was entered
    assert any(line.title.startswith("Of other forms") for line in page.comparison.banner)
    show("nothing")
    assert not any(line.title.startswith("Of other forms") for line in page.comparison.banner)


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
        assert re.search("nothing recorded speaks against it|counts little|never enough", line.why)
        assert "not looked at" in line.why
    first = page.banner.lines.rows[0].line
    assert first.severity is Severity.FATAL
    assert first.title == "Amatoxins, liver"
    assert page.banner._word.word == "DANGER"


def test_what_can_be_done_in_the_field_is_named_first(page: ComparePage, show: Show) -> None:
    show("nothing")
    why = line_of(page, "Amanita phalloides").why
    assert why.startswith("base and ring not looked at")
    why = line_of(page, "Galerina marginata").why
    assert why.startswith("ring and gills not looked at")


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
    assert line.close
    assert "ring" in line.why


def test_chanterelle_like_find_keeps_its_dangerous_doubles_in_sight(page: ComparePage, show: Show) -> None:
    """Webcaps and Omphalotus are taken for chanterelles; they stand there whatever the weighing says."""
    show("chanterelle-like")
    assert {"Omphalotus olearius", "Cortinarius orellanus", "Cortinarius rubellus"} <= names(page)
    doubles = {c.lookalike for c in page.bench.reference.confusions_of("cantharellus-cibarius")}
    for hazard in page.comparison.hazards:
        if hazard.taxon.id in doubles:
            assert hazard.close
    if not page.comparison.hazards:
        assert NOTHING_LEFT in said(page, "hazard-headline")


def test_full_list_opens_and_closes_by_key_and_holds_everything(
    page: ComparePage, show: Show, settle: Callable[[], None], qtbot: QtBot
) -> None:
    show("base-missing")
    page.table.setFocus()
    button = page.banner.findChild(QPushButton, "hazard-open")
    assert button is not None
    assert button.shortcut().toString() == "Ctrl+H"
    assert str(len(page.comparison.hazards) + len(page.comparison.minded)) in button.text()
    button.click()
    assert page.overlay.isVisible()
    assert page.overlay.geometry().top() > page.banner.geometry().bottom()  # the banner stays in sight
    assert names(page) == {
        hazard.taxon.name for hazard in (*page.comparison.hazards, *page.comparison.minded)
    }
    entries = [index.data(ROLE) for index in page.overlay.list.rows()]
    heads = [entry for entry in entries if isinstance(entry, BannerLine)]
    assert tuple(heads) == page.comparison.banner
    assert len(entries) - len(heads) == sum(len(line.members) for line in heads)
    QTest.keyClick(page.overlay.list, Qt.Key.Key_Escape)
    assert not page.overlay.isVisible()
    assert page.focusWidget() is page.table
    assert not button.isChecked()


def test_chosen_line_says_why_and_lays_nothing_anywhere(
    page: ComparePage, show: Show, settle: Callable[[], None]
) -> None:
    """A click on a row used to put another taxon into the third column without a word."""
    show("base-missing")
    beside = [taxon.id for taxon in page.comparison.taxa]
    row = page.banner.lines.rows[0]
    before = row.height()
    assert not row.opened
    QTest.mouseClick(row, Qt.MouseButton.LeftButton)
    settle()
    assert row.opened
    assert row.height() > before
    assert row.line.members[0].reason in reasons_of(row.line)
    assert [taxon.id for taxon in page.comparison.taxa] == beside
    row.setFocus()
    QTest.keyClick(row, Qt.Key.Key_Down)
    assert not row.opened
    assert page.banner.lines.rows[1].opened
    QTest.keyClick(page.banner.lines.rows[1], Qt.Key.Key_Return)
    assert page.overlay.isVisible()
    chosen = page.overlay.list.currentIndex().data(ROLE)
    assert chosen == page.banner.lines.rows[1].line.members[0]
    page.show_hazards(-1)
    QTest.keyClick(page.banner.lines.rows[1], Qt.Key.Key_Escape)
    assert not page.banner.lines.rows[1].opened


def test_chosen_line_and_folds_stay_over_reloads(
    page: ComparePage, show: Show, record: Callable[[Evidence], None]
) -> None:
    show("base-missing")
    page.banner.lines.choose(0)
    title = page.banner.lines.rows[0].line.title
    view = page.overlay.list
    page.show_hazards()
    view.setCurrentIndex(view.model().index(1, 0))
    QTest.keyClick(view, Qt.Key.Key_Left)
    folded = view.folded
    assert len(folded) == 1
    record(Evidence("more", "base-missing", "cap.shape", Standing.SEEN, ("convex",)))
    assert [row.line.title for row in page.banner.lines.rows if row.opened] == [title]
    assert view.folded == folded
    assert view.isVisible()


def test_return_lays_a_hazard_beside_and_never_takes_it_away(
    page: ComparePage, show: Show, settle: Callable[[], None]
) -> None:
    show("brown-on-wood")
    view = page.overlay.list
    for _ in range(2):
        page.show_hazards()
        wanted = next(i for i in view.rows() if isinstance(i.data(ROLE), HazardLine))
        view.setCurrentIndex(wanted)
        key = wanted.data(ROLE).taxon.id
        QTest.keyClick(view, Qt.Key.Key_Return)
        settle()
        assert key in {taxon.id for taxon in page.comparison.taxa}
        assert not page.overlay.isVisible()


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
    """Death cap: the widest window over the pages read (resources/reference/stages.csv)."""
    show("base-missing")
    told = line_of(page, "Amanita phalloides").onset
    assert told == onset_words(page.bench.reference, "amanita-phalloides")
    assert re.match(r"gut after [\d a-z]+, then a quiet spell; liver after ", told)


def test_screen_readers_hear_signal_name_and_reason(page: ComparePage, show: Show) -> None:
    show("base-missing")
    row = page.banner.lines.rows[0]
    assert row.accessibleName().startswith(f"Danger, {len(row.line.members)} taxa. Amatoxins, liver")
    assert row.line.members[0].why[1:] in row.accessibleDescription()
    index = next(i for i in page.overlay.list.rows() if isinstance(i.data(ROLE), HazardLine))
    spoken = index.data(Qt.ItemDataRole.AccessibleTextRole)
    assert spoken.startswith(f"Danger. {index.data(ROLE).taxon.name}")
    assert index.data(ROLE).why[1:] in spoken
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
