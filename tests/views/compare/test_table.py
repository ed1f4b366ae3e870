"""The table by part: verdicts in words and shapes, pictures, what parts the taxa, and the keys."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester, QTest
from PySide6.QtWidgets import QAbstractButton, QListView, QToolButton
from pytestqt.qtbot import QtBot

from catalog_gui.domain.caution import NO_ENTRY
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.domain.specimen import Determination
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference
from catalog_gui.presenting.compare.rows import PARTS_THEM, READS_ALIKE, PartRow
from catalog_gui.presenting.compare.state import MOST_TAXA, Line, Says
from catalog_gui.presenting.part_titles import FULL_TITLES
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.page import ComparePage
from catalog_gui.views.compare.sketches import DRAWN, images_of, taxon_drawing

PATIENCE = 30_000
Show = Callable[[str], None]
Settle = Callable[[], None]


def lay(page: ComparePage, settle: Settle, *taxa: str) -> None:
    """Put exactly these taxa on the table."""
    for taxon in list(page.comparison.taxa):
        page.take_away(taxon.id)
        settle()
    for taxon_id in taxa:
        page.show_beside(taxon_id)
        settle()
    assert [taxon.id for taxon in page.comparison.taxa] == list(taxa)


def line(page: ComparePage, feature: str) -> Line:
    return next(one for one in page.comparison.lines if one.feature.id == feature)


def row_of(page: ComparePage, feature: str) -> int:
    return next(
        row
        for row, entry in enumerate(page.table.rows.rows)
        if isinstance(entry, Line) and entry.feature.id == feature
    )


def test_model_keeps_the_rules_of_qt(page: ComparePage, show: Show) -> None:
    show("base-missing")
    tester = QAbstractItemModelTester(page.table.rows, QAbstractItemModelTester.FailureReportingMode.Fatal)
    show("chanterelle-like")
    assert tester.model() is page.table.rows


def test_parts_stand_in_the_order_of_a_description(page: ComparePage, show: Show) -> None:
    show("base-missing")
    parts = [entry.part for entry in page.table.rows.rows if isinstance(entry, PartRow)]
    assert parts == sorted(parts, key=list(Part).index)
    assert Part.CAP in parts
    assert Part.BASE in parts


def test_verdicts_are_words(page: ComparePage, show: Show, settle: Settle, reference: Reference) -> None:
    show("base-missing")
    ringed = next(
        taxon.id
        for taxon in reference.taxa
        if (rows := reference.states_of(taxon.id, "ring.kind")) and ABSENT not in {r.state for r in rows}
    )
    lay(page, settle, "amanita-phalloides", "galerina-marginata", ringed)
    agrees, against, _ = line(page, "gills.attachment").cells
    assert agrees.says is Says.AGREES
    assert agrees.words.startswith("agrees: ")
    assert against.says is Says.AGAINST
    assert against.words.startswith("speaks against: ")
    little = line(page, "ring.kind").cells[2]
    assert little.says is Says.LITTLE
    assert "goes with rain, age or handling" in little.words


def test_not_looked_at_is_said_once_and_not_in_every_column(
    page: ComparePage, show: Show, settle: Settle
) -> None:
    show("base-missing")
    lay(page, settle, "amanita-phalloides", "galerina-marginata")
    row = row_of(page, "print.colour")
    words = [page.table.rows.words_at(row, column) for column in range(page.table.rows.columnCount())]
    assert words[1] == "not looked at"
    assert "not looked at" not in words[2] + words[3]
    assert "white" in words[2]
    assert "brown" in words[3]
    spoken = page.table.rows.index(row, 2).data(Qt.ItemDataRole.AccessibleTextRole)
    assert "not looked at" in spoken  # who hears the table is told in every cell


def test_damaged_is_no_absence(page: ComparePage, show: Show, settle: Settle) -> None:
    show("base-missing")
    lay(page, settle, "amanita-phalloides", "agaricus-xanthodermus")
    base = line(page, "base.volva")
    assert base.seen == "damaged or gone"
    assert {cell.says for cell in base.cells} <= {Says.GONE, Says.NOTHING_WRITTEN}


def test_does_not_separate_only_where_the_taxa_read_alike(
    page: ComparePage, show: Show, settle: Settle, reference: Reference
) -> None:
    show("nothing")
    lay(page, settle, "amanita-phalloides", "amanita-virosa")
    common = {Frequency.ALWAYS, Frequency.USUALLY, Frequency.SOMETIMES}
    alike = 0
    for one in page.comparison.lines:
        verdicts = {cell.says for cell in one.cells}
        if Says.DOES_NOT_SEPARATE not in verdicts:
            continue
        assert verdicts == {Says.DOES_NOT_SEPARATE}
        if one.feature.kind == "states":
            states = [
                {r.state for r in reference.states_of(taxon.id, one.feature.id) if r.frequency in common}
                for taxon in page.comparison.taxa
            ]
            assert states[0] == states[1] != set()
            alike += 1
    assert alike
    assert line(page, "print.colour").alike  # both white: documented as not telling them apart
    assert not line(page, "cap.colour").alike


def test_contradiction_of_all_is_not_softened(page: ComparePage, show: Show, settle: Settle) -> None:
    """Both taxa are white-capped: they do not part by it, but a brown find speaks against both."""
    show("brown-on-wood")
    lay(page, settle, "amanita-virosa", "amanita-verna")
    cap = line(page, "cap.colour")
    assert cap.alike
    assert {cell.says for cell in cap.cells} == {Says.AGAINST}


def test_one_taxon_alone_has_nothing_to_be_separated_from(
    page: ComparePage, show: Show, settle: Settle
) -> None:
    show("nothing")
    lay(page, settle, "amanita-phalloides")
    says = {cell.says for one in page.comparison.lines for cell in one.cells}
    assert says == {Says.NOT_LOOKED_AT}


def test_documented_confusion_separates(
    page: ComparePage, show: Show, settle: Settle, reference: Reference
) -> None:
    """The pack's own pair: death cap and false death cap part by the volva, not by the print."""
    show("nothing")
    lay(page, settle, "amanita-phalloides", "amanita-citrina")
    pair = next(c for c in reference.confusions_of("amanita-phalloides") if c.lookalike == "amanita-citrina")
    assert "base.volva" in pair.separates
    assert "print.colour" in pair.does_not_separate
    assert line(page, "base.volva").separates
    assert not line(page, "print.colour").separates


def test_filters_and_order(page: ComparePage, show: Show, settle: Settle) -> None:
    show("base-missing")
    lay(page, settle, "amanita-phalloides", "galerina-marginata")
    page._only.setCurrentIndex(page._only.findData("recorded"))
    page._only.activated.emit(1)
    lines = [entry for entry in page.table.rows.rows if isinstance(entry, Line)]
    assert len(lines) == page.comparison.recorded
    page._only.setCurrentIndex(page._only.findData("separates"))
    page._only.activated.emit(2)
    lines = [entry for entry in page.table.rows.rows if isinstance(entry, Line)]
    assert lines
    assert all(entry.separates for entry in lines)
    page._only.setCurrentIndex(0)
    page._only.activated.emit(0)
    page._first.setChecked(True)
    entries = page.table.rows.rows
    parted = [entry.separates for entry in entries if isinstance(entry, Line)]
    assert len(parted) == len(page.comparison.lines)
    assert parted == sorted(parted, reverse=True)  # over the whole table, not within each part
    titles = [entry.words for entry in entries if isinstance(entry, PartRow)]
    assert titles.index(PARTS_THEM) < titles.index(READS_ALIKE)
    assert len(titles) == len(set(titles))


def test_three_taxa_at_most(page: ComparePage, show: Show, settle: Settle) -> None:
    show("nothing")
    lay(page, settle, "amanita-phalloides", "amanita-virosa", "amanita-verna")
    page.show_beside("galerina-marginata")
    settle()
    assert len(page.comparison.taxa) == MOST_TAXA
    assert page.comparison.taxa[-1].id == "galerina-marginata"


def test_her_pictures_and_the_drawings_fill_in(
    page: ComparePage, show: Show, settle: Settle, qtbot: QtBot
) -> None:
    show("base-missing")
    lay(page, settle, "amanita-phalloides")
    assert page.comparison.crops[Part.CAP].box is not None
    assert page.comparison.crops[Part.WHOLE].box is None
    taxon = page.comparison.taxa[0]

    def drawn(part: Part) -> bool:
        return page.table.sketches.of_taxon(taxon, part) is not None

    for part in DRAWN:
        qtbot.waitUntil(partial(drawn, part), timeout=PATIENCE)
    qtbot.waitUntil(lambda: page.table.sketches.of_find(Part.CAP) is not None, timeout=PATIENCE)
    qtbot.waitUntil(
        lambda: page.table.crop(page.comparison.crops[Part.CAP], 100, 80) is not None, timeout=PATIENCE
    )


def test_part_drawings_differ_from_the_whole(reference: Reference, qapp: object) -> None:
    taxon = reference.taxon("amanita-phalloides")
    assert taxon is not None
    images = images_of(taxon_drawing(reference, taxon), dark=False)
    assert set(images) == set(DRAWN)
    kept = [images[part] for part in DRAWN]
    assert all(a != b for place, a in enumerate(kept) for b in kept[place + 1 :])


def test_nothing_recorded_draws_no_find(page: ComparePage, show: Show) -> None:
    show("nothing")
    assert page.table.sketches.of_find(Part.WHOLE) is None


def test_own_earlier_finds_stand_as_pictures(page: ComparePage, show: Show, settle: Settle) -> None:
    show("base-missing")
    lay(page, settle, "amanita-verna")
    (find,) = page.comparison.earlier["amanita-verna"]
    assert find.specimen_id == "volva-seen"
    assert Part.WHOLE in find.crops
    show("volva-seen")  # the find itself is not its own example
    assert "amanita-verna" not in page.comparison.earlier


def test_replaced_name_gives_no_example(page: ComparePage, show: Show, settle: Settle, bench: Bench) -> None:
    show("base-missing")
    lay(page, settle, "amanita-verna")
    now = Determination("d2", "volva-seen", "Amanita virosa", "amanita-virosa", replaces="d1")
    bench.do("Named", lambda work: work.determinations.put(now))
    settle()
    assert page.comparison.earlier == {}


def test_sources_of_the_chosen_row_can_be_read(page: ComparePage, show: Show, settle: Settle) -> None:
    show("base-missing")
    lay(page, settle, "amanita-phalloides")
    page.table.setCurrentIndex(page.table.rows.index(row_of(page, "cap.width"), 2))
    assert page._sources.toolTip().startswith("cap width: ")
    reference = page.bench.reference
    cited = {row.source for row in reference.sizes_of("amanita-phalloides", "cap.width")}
    sources = [source.citation for key in cited if (source := reference.source(key)) is not None]
    assert sources
    assert all(citation in page._sources.toolTip() for citation in sources)
    assert page._sources.text()
    assert "Source" in page.table.rows.index(row_of(page, "cap.width"), 2).data(Qt.ItemDataRole.ToolTipRole)


def test_return_goes_to_the_feature_on_describe(page: ComparePage, show: Show, bench: Bench) -> None:
    show("base-missing")
    page.table.setCurrentIndex(page.table.rows.index(row_of(page, "base.volva"), 1))
    told: list[str] = []
    bench.page_wanted.connect(told.append)
    bench.feature_wanted.connect(told.append)
    QTest.keyClick(page.table, Qt.Key.Key_Return)
    assert told == ["describe", "base.volva"]


def test_column_keys(page: ComparePage, show: Show, settle: Settle) -> None:
    show("nothing")
    lay(page, settle, "amanita-phalloides", "amanita-virosa")
    page.table.setCurrentIndex(page.table.rows.index(1, 3))
    QTest.keyClick(page.table, Qt.Key.Key_I, Qt.KeyboardModifier.ControlModifier)
    assert page.sheet is not None
    assert page.sheet.taxon_id == "amanita-virosa"
    page.sheet.close()
    QTest.keyClick(page.table, Qt.Key.Key_Delete)
    settle()
    assert [taxon.id for taxon in page.comparison.taxa] == ["amanita-phalloides"]


def test_heads_name_the_taxa_and_their_danger(page: ComparePage, show: Show, settle: Settle) -> None:
    show("nothing")
    lay(page, settle, "amanita-phalloides", "cantharellus-cibarius")
    heads = [head for head in page.table.heads._heads if head.isVisible()]
    assert len(heads) == 2
    assert heads[0]._signal.text() == "DANGER"
    assert heads[1]._signal.isVisible()  # a blank beside DANGER would read as a clearance
    assert heads[1]._signal.text().replace("\n", " ") == NO_ENTRY
    button = heads[1].findChild(QToolButton, "taxon-remove-1")
    assert button is not None
    assert button.accessibleName() == "Take Cantharellus cibarius away"
    button.click()
    settle()
    assert [taxon.id for taxon in page.comparison.taxa] == ["amanita-phalloides"]


def test_new_evidence_keeps_place_and_choice(
    page: ComparePage, show: Show, settle: Settle, record: Callable[[Evidence], None], qtbot: QtBot
) -> None:
    show("base-missing")
    lay(page, settle, "amanita-phalloides", "amanita-virosa")
    qtbot.waitUntil(lambda: not page.table._unmeasured, timeout=PATIENCE)
    page.table.setCurrentIndex(page.table.rows.index(row_of(page, "stem.colour"), 2))
    page.table.verticalScrollBar().setValue(300)
    record(Evidence("new", "base-missing", "print.colour", Standing.SEEN, ("white",)))
    assert page.table.verticalScrollBar().value() == 300
    assert page.table.currentIndex().row() == row_of(page, "stem.colour")
    assert page.table.currentIndex().column() == 2
    assert line(page, "print.colour").seen == "white"


def test_fruit_bodies_of_a_mixed_collection_are_weighed_one_by_one(
    page: ComparePage, show: Show, settle: Settle, bench: Bench
) -> None:
    rows = (
        Evidence("a", "nothing", "gills.colour", Standing.SEEN, ("white",), fruit_body="A"),
        Evidence("b", "nothing", "gills.colour", Standing.SEEN, ("brown",), fruit_body="B"),
    )
    show("nothing")
    bench.do("Recorded", lambda work: work.evidence.put(*rows))
    settle()
    assert page._bodies.isVisible()
    assert page._bodies.count() == 3
    assert line(page, "gills.colour").seen == "A: white; B: brown"
    page._on_body(2)
    settle()
    assert page.comparison.body == "B"
    assert line(page, "gills.colour").seen == "B: brown"
    show("base-missing")
    assert page.comparison.body == ""
    assert not page._bodies.isVisible()


def test_teaching_view_stands_taxa_side_by_side(page: ComparePage, show: Show, settle: Settle) -> None:
    show("nothing")
    lay(page, settle, "amanita-phalloides", "amanita-citrina")
    page._teach.setChecked(True)
    settle()
    assert page.table.rows.columnCount() == 3
    assert not page.side.isVisible()
    says = {cell.says for one in page.comparison.lines for cell in one.cells}
    assert says <= {Says.WRITTEN, Says.DOES_NOT_SEPARATE, Says.NOTHING_WRITTEN}
    for taxon in list(page.comparison.taxa):
        page.take_away(taxon.id)
        settle()
    assert page._nothing.isVisible()
    assert not page.table.isVisible()
    assert page.banner.isVisible()


def test_teaching_view_is_set_for_a_room_in_few_rows(page: ComparePage, show: Show, settle: Settle) -> None:
    """Ring, base, volva, gills and print stand there; leaving puts type and rows back."""
    show("nothing")
    lay(page, settle, "amanita-phalloides", "amanita-citrina", "amanita-verna")
    usual, every = page.table.font().pointSizeF(), page.table.rowCount()
    page._teach.setChecked(True)
    settle()
    assert page.table.font().pointSizeF() >= 1.7 * usual
    shown = [row for row in page.table.rows.rows if isinstance(row, Line)]
    assert 0 < len(shown) <= 9
    assert {"base.volva", "base.shape", "ring.kind", "print.colour"} <= {row.feature.id for row in shown}
    page._only.setCurrentIndex(page._only.findData("all"))
    page._show_table()
    assert sum(isinstance(row, Line) for row in page.table.rows.rows) > 20
    page._teach.setChecked(False)
    settle()
    assert page.table.font().pointSizeF() == usual
    assert page._only.currentData() == "all"
    assert page.table.rowCount() == every


@pytest.mark.parametrize(
    "typed", ["Amanita verna", "amanita verna (Spring destroying angel)", "Agaricus vernus"]
)
def test_a_name_or_an_older_name_can_be_typed(
    page: ComparePage, show: Show, settle: Settle, typed: str
) -> None:
    show("nothing")
    lay(page, settle)
    page._taxon.setFocus()
    page._taxon.setText(typed)
    QTest.keyClick(page._taxon, Qt.Key.Key_Return)
    settle()
    assert [taxon.id for taxon in page.comparison.taxa] == ["amanita-verna"]


def test_what_is_typed_offers_the_name_itself_first(
    page: ComparePage, show: Show, settle: Settle, qtbot: QtBot
) -> None:
    """ "death cap", Down, Return used to lay the false death cap here."""
    show("nothing")
    lay(page, settle)
    page._taxon.setFocus()
    QTest.keyClicks(page._taxon, "death cap")
    popup = page.bar.findChild(QListView, "compare-offers") or page.bar._popup
    qtbot.waitUntil(popup.isVisible, timeout=PATIENCE)
    words = [popup.model().index(row, 0).data() for row in range(popup.model().rowCount())]
    assert words[0] == "Amanita phalloides (Death cap)"
    assert any(word.startswith("Amanita citrina (False death cap)") for word in words)
    longest = max(popup.fontMetrics().horizontalAdvance(word) for word in words)
    assert popup.width() > longest  # no name is cut off
    QTest.keyClick(popup, Qt.Key.Key_Down)
    QTest.keyClick(popup, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: page._taxon.text() == "", timeout=PATIENCE)
    settle()
    assert [taxon.id for taxon in page.comparison.taxa] == ["amanita-phalloides"]


@pytest.mark.parametrize(("typed", "meant"), [("death cap", "amanita-phalloides"), ("citrina var", "")])
def test_return_takes_a_name_only_when_it_is_beyond_doubt(
    page: ComparePage, show: Show, settle: Settle, bench: Bench, typed: str, meant: str
) -> None:
    show("nothing")
    lay(page, settle)
    said: list[str] = []
    bench.said.connect(said.append)
    page._add_named(typed if meant else "amanita")
    settle()
    assert [taxon.id for taxon in page.comparison.taxa] == ([meant] if meant else [])
    assert bool(said) is not bool(meant)
    if said:
        assert "choose one in the list" in said[0]


def test_a_fourth_taxon_says_what_it_takes_the_place_of(
    page: ComparePage, show: Show, settle: Settle, bench: Bench
) -> None:
    show("nothing")
    lay(page, settle, "amanita-phalloides", "amanita-virosa", "amanita-verna")
    said: list[str] = []
    bench.said.connect(said.append)
    page.show_beside("galerina-marginata")
    settle()
    assert said == ["Galerina marginata lies here now, in place of Amanita verna."]


def test_keys_of_the_page_are_no_keys_of_the_window(page: ComparePage) -> None:
    """Alt and a number goes to a page of the window; the same key here made both of them dead."""
    keys = [action.shortcut().toString() for action in page.actions()]
    keys += [one.shortcut().toString() for one in page.findChildren(QAbstractButton)]
    keys = [key for key in keys if key]
    assert len(keys) == len(set(keys))
    assert not [key for key in keys if key.startswith("Alt+")]


def test_small_rows_keep_the_chosen_one_whole(
    page: ComparePage, show: Show, settle: Settle, qtbot: QtBot
) -> None:
    show("base-missing")
    lay(page, settle, "amanita-phalloides", "galerina-marginata", "amanita-citrina")
    table = page.table
    table.set_large(False)
    row = next(r for r in range(table.rowCount()) if table._height_of(r) == 22 and table.opened(r) is False)

    def heights() -> set[int]:
        return {table.rowHeight(r) for r in range(table.rowCount()) if r != table.currentIndex().row()}

    qtbot.waitUntil(lambda: max(heights()) <= 24, timeout=PATIENCE)  # rows are measured a few at a time
    tall = next(r for r, e in enumerate(table.rows.rows) if isinstance(e, PartRow) and e.pictures)
    table.setCurrentIndex(table.rows.index(tall, 1))
    assert table.rowHeight(tall) == 102
    table.setCurrentIndex(table.rows.index(row, 1))
    assert table.rowHeight(tall) == 24
    table.set_large(True)
    qtbot.waitUntil(lambda: table.rowHeight(tall) == 102, timeout=PATIENCE)
    assert page.bar.large.isChecked()


def test_every_control_has_its_names(page: ComparePage, show: Show) -> None:
    show("base-missing")
    for widget in (page._specimens, page._only, page._first, page._taxon, page._teach, page._paper):
        assert widget.objectName()
        assert widget.accessibleName()
        assert widget.toolTip()
    for view in (page.table, page.overlay.list, page.side.checks, page.side.candidates):
        assert view.objectName()
        assert view.accessibleName()
        assert view.focusPolicy() & Qt.FocusPolicy.TabFocus
    assert set(FULL_TITLES) == set(Part)
    assert ABSENT not in {cell.written for one in page.comparison.lines for cell in one.cells}
