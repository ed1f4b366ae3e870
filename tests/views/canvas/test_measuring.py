"""Scales, figures with their uncertainty, ratios without a scale, colours, and sizes that become evidence."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu

from catalog_gui.annotation.colour import lab
from catalog_gui.annotation.marks import MarkKind
from catalog_gui.annotation.measure import NO_SCALE
from catalog_gui.domain.problem import BadInput
from catalog_gui.views.bench import Bench
from catalog_gui.views.canvas.scale import ScaleDialog
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.workflows import annotate
from tests.views.canvas.conftest import BROWN
from tests.views.canvas.hands import Hands

K = MarkKind
Measured = list[tuple[str, str, float, float, str]]


@pytest.fixture
def measured(canvas: CanvasView, bench: Bench) -> Measured:
    """What the canvas handed over; each is written down as the page does."""
    found: Measured = []

    def note(mark_id: str, feature: str, low: float, high: float, unit: str) -> None:
        found.append((mark_id, feature, low, high, unit))
        bench.do(
            "Note a measured size",
            lambda work: annotate.measured_to_evidence(
                work,
                "s",
                feature,
                low,
                high,
                unit,
                reference=bench.reference,
                surroundings=bench.surroundings,
                mark_id=mark_id,
                by="Wilma Thorn",
            ),
        )

    canvas.measured.connect(note)
    return found


def test_a_scale_is_drawn_and_lengths_follow(hands: Hands, canvas: CanvasView) -> None:
    assert NO_SCALE in canvas.side.scale.text()
    before = hands.everything()
    hands.scale((100, 500), (400, 500), "30 mm")
    (mark,) = hands.marks()
    assert (mark.kind, mark.length_mm, mark.length_u_mm) == (K.SCALE, 30.0, 0.25)
    assert mark.part == ""
    hands.tool("L")
    hands.drag((100, 100), (500, 100))
    line = next(one for one in hands.marks() if one.kind is K.LINE)
    figure = canvas.readings.found[line.id].real
    assert figure is not None
    assert figure.value == pytest.approx(40, abs=0.4)
    assert figure.u > 0
    assert figure.text() in next(n for n in hands.surface.sketch_now().notes if n.mark_id == line.id).lines
    assert "Lens distortion stays in." in canvas.side.scale.text()
    canvas.side.tilt.setValue(20)  # check value E3.1: 20 degrees, -6.03 %
    assert "up to 6.0 % short" in canvas.side.scale.text()
    hands.undo()
    hands.undo()
    hands.undo()
    assert hands.everything() == before


def test_without_a_scale_there_are_ratios_and_a_sentence(hands: Hands, canvas: CanvasView) -> None:
    hands.tool("L")
    hands.drag((100, 100), (500, 100))
    hands.drag((100, 200), (300, 200))
    first, second = (mark.id for mark in hands.marks())
    figure = canvas.readings.figure(second)
    assert figure.startswith("(0.50")
    notes = {note.mark_id: note.lines for note in hands.surface.sketch_now().notes}
    assert notes[first] == ("line 1",)
    assert notes[second] == (f"{figure} × line 1",)
    hands.surface.choose((first, second))
    assert "Length 1 : 2 = (2.0" in canvas.side.figure.text()
    assert NO_SCALE in canvas.side.scale.text()


def test_a_known_coin_brings_its_length_and_says_where_to_click(hands: Hands, canvas: CanvasView) -> None:
    hands.tool("S")
    hands.drag((100, 500), (400, 500))
    dialog = canvas.scale_dialog
    assert dialog is not None
    dialog.known.setCurrentIndex(dialog.known.findData("eur-200"))
    assert "opposite edges" in dialog.hint.text()
    dialog.accept()
    (mark,) = hands.marks()
    assert (mark.length_mm, mark.length_u_mm, mark.label) == (25.75, 0.03, "2 euro")


def test_a_scale_given_up_leaves_nothing(hands: Hands, canvas: CanvasView) -> None:
    hands.tool("S")
    hands.drag((100, 500), (400, 500))
    assert canvas.scale_dialog is not None
    canvas.scale_dialog.reject()
    assert hands.marks() == ()
    assert canvas.scale_dialog is None


@pytest.mark.parametrize("typed", ["", "long", "0", "-3", "3-4 mm", "5 x 6 mm", "4 pounds"])
def test_a_length_that_is_none_keeps_the_dialog_open(qtbot: object, canvas: CanvasView, typed: str) -> None:
    dialog = ScaleDialog(canvas)
    dialog.length.setText(typed)
    dialog.accept()
    assert dialog.result() == 0
    assert dialog.trouble.text()
    with pytest.raises(BadInput):
        dialog.result_scale()


def test_a_scale_of_zero_length_is_refused_and_the_canvas_shows_what_is_kept(
    hands: Hands, told: list[str]
) -> None:
    hands.tool("S")
    hands.key(Qt.Key.Key_Left)
    hands.key(Qt.Key.Key_Return)
    hands.key(Qt.Key.Key_Return)
    dialog = hands.canvas.scale_dialog
    assert dialog is not None
    dialog.length.setText("50 mm")
    dialog.accept()
    assert hands.marks() == ()
    assert hands.surface.marks() == ()
    assert any("zero length" in words for words in told)


def test_e_notes_a_measure_as_evidence(hands: Hands, canvas: CanvasView, measured: Measured) -> None:
    hands.scale((100, 500), (400, 500), "30 mm")
    canvas.side.feature_chosen.emit("cap.width")
    hands.tool("L")
    hands.drag((100, 100), (500, 100))
    line = next(one for one in hands.marks() if one.kind is K.LINE)
    assert line.feature == "cap.width"
    hands.tool("E")
    hands.settle()
    assert [one[:2] for one in measured] == [(line.id, "cap.width")]
    with hands.read() as work:
        (row,) = work.evidence.all()
    assert (row.feature, row.unit, row.mark_id, row.photo_id) == ("cap.width", "mm", line.id, "p")
    assert row.low == pytest.approx(40, abs=0.5)


def test_several_fruit_bodies_give_a_range(hands: Hands, canvas: CanvasView, measured: Measured) -> None:
    hands.scale((100, 500), (400, 500), "30 mm")
    hands.tool("L")
    hands.drag((100, 100), (500, 100))
    hands.drag((100, 200), (350, 200))
    hands.drag((100, 300), (400, 300))
    lines = tuple(one.id for one in hands.marks() if one.kind is K.LINE)
    hands.surface.choose(lines)
    hands.tool("E")
    menu = canvas.findChild(QMenu, "canvas-feature-menu")
    assert menu is not None
    assert menu.actions()[0].text() == "cap width"  # new marks show the cap
    menu.actions()[0].trigger()
    hands.settle()
    ((_, feature, low, high, unit),) = measured
    assert (feature, unit) == ("cap.width", "mm")
    assert low == pytest.approx(25, abs=0.5)
    assert high == pytest.approx(40, abs=0.5)
    assert {one.feature for one in hands.marks() if one.kind is K.LINE} == {"cap.width"}


def test_e_without_a_scale_says_what_is_missing(hands: Hands, measured: Measured, told: list[str]) -> None:
    hands.tool("E")
    assert "Measure something first" in told[-1]
    hands.tool("L")
    hands.drag((100, 100), (500, 100))
    hands.tool("E")
    hands.settle()
    assert any(NO_SCALE in words for words in told)
    assert measured == []


def test_a_colour_spot_without_a_card_is_only_a_hint(hands: Hands, canvas: CanvasView) -> None:
    hands.tool("C")
    hands.drag((100, 100), (160, 150))
    lightness, a, b = lab(tuple(float(c) for c in BROWN))  # type: ignore[arg-type]
    # Check value G3.4: sRGB 139, 69, 19 is L* 37.467, a* 26.448, b* 40.989.
    assert (lightness, a, b) == pytest.approx((37.467, 26.448, 40.989), abs=0.05)
    assert "L* 37.5, a* 26.4, b* 41.0" in canvas.side.figure.text()
    assert "only a hint" in canvas.side.figure.text()
    assert not canvas.side.swatch.isHidden()


def test_a_grey_card_corrects_the_spots(hands: Hands, canvas: CanvasView) -> None:
    hands.tool("G")
    hands.drag((300, 100), (360, 150))
    assert "grey card" in canvas.side.figure.text()
    hands.tool("C")
    hands.click(120, 120)
    text = canvas.side.figure.text()
    # Card and patch are of one colour here, so corrected the patch is 18 % grey: L* 49.5 and neutral.
    assert "L* 49.5, a* 0.0, b* 0.0" in text
    assert "only a hint" not in text


def test_the_tilt_is_kept_with_the_scale(hands: Hands, canvas: CanvasView) -> None:
    hands.scale((100, 500), (400, 500), "30 mm")
    canvas.side.tilt.setValue(15)
    (mark,) = hands.marks()
    assert mark.note == "tilt up to 15°"
    canvas.turn_page(1)
    hands.settle()
    assert canvas.side.tilt.value() == 0
    canvas.turn_page(-1)
    hands.settle()
    assert canvas.side.tilt.value() == 15
    assert "up to 3.4 % short" in canvas.side.scale.text()  # check value E3.1
    hands.undo()
    assert canvas.side.tilt.value() == 0


def test_return_on_a_scale_asks_for_its_length_again(hands: Hands, canvas: CanvasView) -> None:
    hands.scale((100, 500), (400, 500), "30 mm")
    (mark,) = hands.marks()
    hands.tool("M")
    hands.key(Qt.Key.Key_Return)
    assert canvas.scale_dialog is not None
    assert canvas.scale_dialog.length.text() == "30 mm"
    canvas.scale_dialog.length.setText("60 mm")
    canvas.scale_dialog.accept()
    (again,) = hands.marks()
    assert (again.id, again.length_mm) == (mark.id, 60.0)
    hands.undo()
    assert hands.marks() == (mark,)


def test_another_specimen_closes_the_canvas(hands: Hands, canvas: CanvasView, bench: Bench) -> None:
    left: list[bool] = []
    canvas.closed.connect(lambda: left.append(True))
    bench.choose_specimen("s")
    assert not left
    bench.choose_specimen("other")
    assert left == [True]
