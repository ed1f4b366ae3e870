"""The sheet about a taxon: everything with its source, disagreements shown, her notes kept."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QUrl
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from catalog_gui.domain.caution import CAUTION, CAUTION_NO_BANNER
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.compare.taxon_words import LINK, taxon_page
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.page import ComparePage
from catalog_gui.views.compare.taxon_page import TaxonSheet, dress
from catalog_gui.workflows.taxon_notes import note_of

PATIENCE = 30_000


def words_of(reference: Reference, taxon_id: str) -> str:
    taxon = reference.taxon(taxon_id)
    assert taxon is not None
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", taxon_page(reference, taxon, dress()))).replace(
        "&#x27;", "'"
    )


@pytest.fixture
def sheet(page: ComparePage, bench: Bench, qtbot: QtBot) -> TaxonSheet:
    page.show_about("amanita-phalloides")
    assert page.sheet is not None
    qtbot.waitUntil(
        lambda: page.sheet is not None and "Death cap" in page.sheet.words.toPlainText(), timeout=PATIENCE
    )
    return page.sheet


def test_every_row_of_every_taxon_is_there_with_its_source(reference: Reference, qapp: object) -> None:
    for taxon in reference.taxa:
        words = words_of(reference, taxon.id)
        for hazard in reference.hazards_of(taxon.id):
            syndrome = reference.syndrome(hazard.syndrome)
            assert syndrome is None or syndrome.name in words.replace("&amp;", "&")
        for synonym in reference.synonyms_of(taxon.id):
            assert synonym.name in words
            assert synonym.note.replace("'", "") in words.replace("'", "")
        cited = {row.source for row in reference.all_states_of(taxon.id)}
        cited |= {row.source for row in reference.sizes_of(taxon.id)}
        cited |= {row.source for row in reference.hazards_of(taxon.id)}
        listed = words.split("Sources", 1)[1]
        assert len(re.findall(r"\[\d+\] ", listed)) >= len(cited - {""})


def test_caution_stands_on_the_sheet_without_scrolling(sheet: TaxonSheet) -> None:
    caution = sheet.findChild(QLabel, "taxon-caution")
    assert caution is not None
    assert caution.isVisible()
    assert caution.text() == CAUTION


def test_onset_windows_that_differ_are_shown_with_their_sources(reference: Reference, qapp: object) -> None:
    words = words_of(reference, "amanita-phalloides")
    assert re.search(r"First gut trouble after the meal: \d+ to \d+ h \[\d+\] ; \d+ to \d+ h", words)
    assert "The sources differ." in words
    assert "What misleads: Often 8 to 12 h without trouble" in words


def test_confusions_are_shown_from_both_sides(reference: Reference, qapp: object) -> None:
    for pair in reference.confusions[:120]:
        one, other = reference.taxon(pair.taxon), reference.taxon(pair.lookalike)
        assert one is not None
        assert other is not None
        assert f"{LINK}{other.id}" in taxon_page(reference, one, dress())
        assert f"{LINK}{one.id}" in taxon_page(reference, other, dress())


def test_taxon_without_hazard_row_is_not_called_anything(reference: Reference, qapp: object) -> None:
    plain = next(taxon for taxon in reference.taxa if reference.severity_of(taxon.id) is None)
    words = words_of(reference, plain.id)
    assert CAUTION_NO_BANNER in words
    assert not re.search(r"\bedible|\bsafe\b|\bharmless", words, re.IGNORECASE)


def test_own_pack_is_named_where_it_speaks(reference: Reference, qapp: object) -> None:
    taxon = reference.taxon("amanita-phalloides")
    assert taxon is not None
    mine = replace(taxon, pack="my-own")
    changed = replace(reference, taxa=tuple(mine if t.id == mine.id else t for t in reference.taxa))
    assert "From your own pack" in taxon_page(changed, mine, dress())
    assert "From your own pack" not in taxon_page(reference, taxon, dress())


def test_note_is_saved_and_can_be_taken_back(sheet: TaxonSheet, bench: Bench, qtbot: QtBot) -> None:
    sheet.note.setPlainText("Found under oak at the shaw.")
    kept: list[str] = []

    def read() -> bool:
        bench.read(lambda work: n.text if (n := note_of(work, "amanita-phalloides")) else "", kept.append)
        return bool(kept) and kept[-1] == "Found under oak at the shaw."

    qtbot.waitUntil(read, timeout=PATIENCE)
    bench.undo()
    qtbot.waitUntil(lambda: sheet.note.toPlainText() == "", timeout=PATIENCE)
    bench.redo()
    qtbot.waitUntil(lambda: sheet.note.toPlainText() == "Found under oak at the shaw.", timeout=PATIENCE)


def test_note_goes_with_its_taxon(sheet: TaxonSheet, bench: Bench, qtbot: QtBot) -> None:
    sheet.note.setPlainText("About the death cap.")
    sheet.show_taxon("amanita-virosa")  # at once, before the pause is over
    qtbot.waitUntil(lambda: "Amanita virosa" in sheet.words.toPlainText().split("\n")[0], timeout=PATIENCE)
    qtbot.waitUntil(lambda: sheet.note.toPlainText() == "", timeout=PATIENCE)
    sheet.go_back()
    qtbot.waitUntil(lambda: sheet.note.toPlainText() == "About the death cap.", timeout=PATIENCE)


def test_closing_saves(sheet: TaxonSheet, bench: Bench, qtbot: QtBot) -> None:
    sheet.note.setPlainText("Last words.")
    sheet.close()
    kept: list[bool] = []
    bench.read(lambda work: note_of(work, "amanita-phalloides") is not None, kept.append)
    qtbot.waitUntil(lambda: bool(kept), timeout=PATIENCE)
    assert kept == [True]


def test_links_lead_on_and_back_leads_back(sheet: TaxonSheet, qtbot: QtBot) -> None:
    sheet._on_link(QUrl(f"{LINK}amanita-citrina"))
    assert sheet.taxon_id == "amanita-citrina"
    sheet.go_back()
    assert sheet.taxon_id == "amanita-phalloides"
    qtbot.waitUntil(lambda: "Death cap" in sheet.words.toPlainText(), timeout=PATIENCE)


def test_it_can_be_laid_beside_from_here(
    sheet: TaxonSheet, page: ComparePage, settle: Callable[[], None]
) -> None:
    sheet.show_taxon("pleurocybella-porrigens")
    sheet.lay_beside_wanted.emit(sheet.taxon_id)
    settle()
    assert "pleurocybella-porrigens" in {taxon.id for taxon in page.comparison.taxa}


def test_own_pack_folder_goes_to_the_preferences(sheet: TaxonSheet, bench: Bench, qtbot: QtBot) -> None:
    with qtbot.waitSignal(bench.preferences_changed):
        sheet.choose_pack("/home/moss/my-pack")
    assert bench.preferences.own_pack == "/home/moss/my-pack"
    assert "/home/moss/my-pack" in sheet._pack.text()


def test_private_places_have_a_box_of_their_own(sheet: TaxonSheet, bench: Bench, qtbot: QtBot) -> None:
    def kept() -> tuple[str, bool] | None:
        found: list[tuple[str, bool] | None] = []
        bench.read(
            lambda work: (n.text, n.private_places) if (n := note_of(work, "amanita-phalloides")) else None,
            found.append,
        )
        qtbot.waitUntil(lambda: bool(found), timeout=PATIENCE)
        return found[0]

    sheet.note.setPlainText("Not sensitive.")
    sheet.private.click()  # while the words are still being typed
    qtbot.waitUntil(lambda: kept() == ("Not sensitive.", True), timeout=PATIENCE)
    assert sheet.private.isChecked()
    bench.undo()
    qtbot.waitUntil(lambda: not sheet.private.isChecked(), timeout=PATIENCE)
    assert kept() == ("Not sensitive.", False)
