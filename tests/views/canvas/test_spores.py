"""The spore dialog, against the published measurements of one specimen."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QGuiApplication

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.workflows import annotate
from tests.views.canvas.hands import Hands

# Check values D2.1 to D2.4: Ordynets et al. 2020, Mycological Progress 19:691-703, specimen ARAN_4160.
LENGTHS = (
    "17.09 16.97 17.06 15.77 16.78 16.83 16.44 17.13 15.60 16.15 16.00 17.35 16.72 16.07 16.46 17.94 18.43"
)
WIDTHS = "2.20 2.10 2.10 2.02 2.11 2.16 2.11 2.04 2.13 2.20 1.94 2.04 2.07 2.13 2.17 1.95 2.31"
PRINTED = (
    "[17/1/1] (15.6–) 15.7–18.0 (–18.4) × 1.9–2.2 (–2.3) µm, L′ = 16.8, W′ = 2.1, "
    "Q = 7.3–8.6 (–9.2), Q′ = 8.0"
)


def test_typed_spores_are_printed_as_the_trade_does_and_become_evidence(
    hands: Hands, canvas: CanvasView
) -> None:
    handed: list[tuple[str, str, float, float, str]] = []
    canvas.measured.connect(lambda *found: handed.append(found))
    hands.tool("Q")
    dialog = canvas.spore_dialog
    assert dialog is not None
    assert not dialog.note.isEnabled()
    dialog.typed.setPlainText(f"L = {LENGTHS}\nW = {WIDTHS}")
    dialog.count()
    assert dialog.result_words.text() == PRINTED
    assert "17 spores are few" in dialog.more.text()
    dialog.copy.click()
    assert QGuiApplication.clipboard().text() == PRINTED
    dialog.form.setCurrentIndex(1)
    assert "5th percentile, mean, 95th percentile" in dialog.result_words.text()
    dialog.note.click()
    assert handed == [
        ("", "micro.spore-length", 15.7, 18.0, "µm"),
        ("", "micro.spore-width", 1.9, 2.2, "µm"),
        ("", "micro.spore-q", 7.34, 8.64, "ratio"),
    ]
    assert canvas.spore_dialog is None


def test_what_cannot_be_read_is_said_and_nothing_is_printed(hands: Hands, canvas: CanvasView) -> None:
    canvas.open_spores()
    dialog = canvas.spore_dialog
    assert dialog is not None
    dialog.typed.setPlainText("9.5 x 6.2\nnine by six")
    dialog.count()
    assert "Line 2" in dialog.trouble.text()
    assert dialog.result_words.text() == "no spores yet"
    assert not dialog.note.isEnabled()
    dialog.reject()


def test_crossed_lines_on_a_micrograph_are_spores(hands: Hands, canvas: CanvasView) -> None:
    """A stage micrometer of 100 µm over 500 px: 0.2 µm a pixel."""
    marks = [Mark("sc", "p", MarkKind.SCALE, ((100, 550), (600, 550)), specimen_id="s", length_mm=0.1)]
    for n in range(4):
        x = 100 + 150 * n
        marks.append(Mark(f"l{n}", "p", MarkKind.LINE, ((x, 100), (x, 150 + n)), specimen_id="s"))
        marks.append(Mark(f"w{n}", "p", MarkKind.LINE, ((x - 16, 125), (x + 16, 125)), specimen_id="s"))
    marks.append(Mark("alone", "p", MarkKind.LINE, ((700, 400), (740, 400)), specimen_id="s"))
    canvas.bench.do("Spores", lambda work: [annotate.put_mark(work, mark) for mark in marks])
    hands.settle()
    canvas.open_spores()
    dialog = canvas.spore_dialog
    assert dialog is not None
    assert dialog.statistics is not None
    assert dialog.statistics.length.n == 4
    assert dialog.statistics.length.lowest == pytest.approx(10.0)
    assert dialog.statistics.length.highest == pytest.approx(10.6)
    assert dialog.statistics.width.mean == pytest.approx(6.4)
    assert "left out" in dialog.trouble.text()
    dialog.reject()


def test_without_a_scale_lines_are_no_spores(hands: Hands, canvas: CanvasView) -> None:
    hands.tool("L")
    hands.drag((100, 100), (200, 100))
    hands.marks()
    canvas.open_spores()
    dialog = canvas.spore_dialog
    assert dialog is not None
    assert "stage-micrometer" in dialog.trouble.text()
    dialog.reject()
