"""Painting a drawing: on a picture, into a PDF, in a widget; and which part lies under the mouse."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPalette, QPdfWriter
from pytestqt.qtbot import QtBot

from catalog_gui.domain.evidence import Standing
from catalog_gui.drawing.fruit_body import draw_features
from catalog_gui.drawing.looks import Look
from catalog_gui.views.widgets.drawing_painter import DrawingView, fitted, paint_drawing

FEATURES = {
    "cap.shape": Look(Standing.SEEN, ("convex",)),
    "cap.colour": Look(Standing.SEEN, ("red",)),
    "cap.width": Look(Standing.SEEN, (), 80, 80),
    "stem.shape": Look(Standing.SEEN, ("equal",)),
    "stem.colour": Look(Standing.SEEN, ("blue",)),
}
COLOURS = {("cap.colour", "red"): "#c42b1f", ("stem.colour", "blue"): "#4f6f9e"}


def colour(feature: str, state: str) -> str:
    return COLOURS.get((feature, state), "")


DRAWING = draw_features(FEATURES, colour)


def painted(width: int, height: int) -> QImage:
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    paint_drawing(painter, DRAWING, QRectF(0, 0, width, height))
    painter.end()
    return image


def shade(image: QImage, x: float, y: float) -> QColor:
    return QColor(image.pixel(round(x), round(y)))


def test_colours_land_where_the_parts_are(qapp: object) -> None:
    image = painted(600, 700)
    reds = blues = 0
    for x in range(0, 600, 5):
        for y in range(0, 700, 5):
            seen = shade(image, x, y)
            reds += seen.red() > seen.blue() + 80
            blues += seen.blue() > seen.red() + 30
    assert reds > 100
    assert blues > 50
    assert shade(image, 2, 2) == QColor("white")


@pytest.mark.parametrize(("width", "height"), [(1, 1), (30, 400), (2000, 40)])
def test_any_rectangle_will_do(qapp: object, width: int, height: int) -> None:
    assert painted(width, height).width() == width


def test_the_box_fills_the_rectangle(qapp: object) -> None:
    area = QRectF(10, 20, 300, 500)
    box = DRAWING.box
    shown = fitted(box, area).mapRect(QRectF(box[0], box[1], box[2] - box[0], box[3] - box[1]))
    assert area.adjusted(-0.01, -0.01, 0.01, 0.01).contains(shown)
    assert shown.width() == pytest.approx(300) or shown.height() == pytest.approx(500)


def test_into_a_pdf(qapp: object, tmp_path: Path) -> None:
    path = tmp_path / "drawing.pdf"
    writer = QPdfWriter(str(path))
    painter = QPainter(writer)
    paint_drawing(painter, DRAWING, QRectF(0, 0, writer.width(), writer.height()))
    painter.end()
    assert path.read_bytes().startswith(b"%PDF")
    assert path.stat().st_size > 3000


@pytest.mark.window
def test_widget_tells_the_part(qtbot: QtBot) -> None:
    view = DrawingView()
    qtbot.addWidget(view)
    view.resize(400, 500)
    assert view.part_at(QPointF(200, 100)) == ""
    view.set_drawing(DRAWING)
    view.show()
    found = {view.part_at(QPointF(x, y)) for x in range(0, 400, 16) for y in range(0, 500, 16)}
    assert {"cap", "stem", "gills", "flesh", ""} <= found
    where = next(
        QPointF(x, y)
        for y in range(0, 500, 10)
        for x in range(0, 400, 10)
        if view.part_at(QPointF(x, y)) == "cap"
    )
    with qtbot.waitSignal(view.part_chosen) as chosen:
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=where.toPoint())
    assert chosen.args == ["cap"]
    assert view.accessibleName()
    assert not view.grab().isNull()


@pytest.mark.window
def test_on_a_dark_page_it_lies_on_paper(qtbot: QtBot) -> None:
    view = DrawingView()
    qtbot.addWidget(view)
    palette = view.palette()
    palette.setColor(QPalette.ColorRole.Window, QColor("#23271f"))
    palette.setColor(QPalette.ColorRole.WindowText, QColor("#ece9dd"))
    view.setPalette(palette)
    view.resize(300, 400)
    view.set_drawing(DRAWING)
    image = view.grab().toImage()
    assert shade(image, image.width() / 2, 4).lightness() > 180
