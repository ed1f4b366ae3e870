"""The SVG of a drawing is well-formed and looks like what the painter paints (rendered by Qt's SVG module)."""

from __future__ import annotations

import pytest
from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from catalog_gui.domain.evidence import Standing
from catalog_gui.drawing.fruit_body import draw_features
from catalog_gui.drawing.looks import Look
from catalog_gui.drawing.svg import to_svg
from catalog_gui.views.widgets.drawing_painter import paint_drawing

FEATURES = {
    "cap.shape": Look(Standing.SEEN, ("convex",)),
    "cap.colour": Look(Standing.SEEN, ("red",)),
    "cap.width": Look(Standing.SEEN, (), 80, 80),
    "cap.patches": Look(Standing.SEEN, ("flakes",)),
    "stem.shape": Look(Standing.SEEN, ("equal",)),
}


def colour(feature: str, _state: str) -> str:
    return "#c42b1f" if feature == "cap.colour" else ""


DRAWING = draw_features(FEATURES, colour)


def test_it_is_well_formed_and_says_what_it_is() -> None:
    root = fromstring(to_svg(DRAWING, title='cap "80" < & mm', name="a"))
    assert root.get("aria-label") == 'cap "80" < & mm'
    space = "{http://www.w3.org/2000/svg}"
    paths = root.findall(f"{space}path")
    assert len(paths) == len(DRAWING.shapes) + 1  # and the bar
    clips = {clip.get("id") for clip in root.iter(f"{space}clipPath")}
    used = {path.get("clip-path", "")[5:-1] for path in paths if path.get("clip-path")}
    assert used == clips
    assert all(i is not None and i.startswith("a-") for i in clips)
    assert any(path.get("stroke-dasharray") for path in paths)
    text = root.find(f"{space}text")
    assert text is not None
    assert text.text == "2 cm"


def test_it_looks_like_the_painting(qapp: object) -> None:
    svg = pytest.importorskip("PySide6.QtSvg")
    size = 300
    images = []
    for kind in ("svg", "painter"):
        image = QImage(size, size, QImage.Format.Format_RGB32)
        image.fill(QColor("white"))
        painter = QPainter(image)
        if kind == "svg":
            renderer = svg.QSvgRenderer(to_svg(DRAWING).encode())
            assert renderer.isValid()
            left, top, right, bottom = DRAWING.box
            box = QRectF(left, top, right - left, bottom - top)
            renderer.setViewBox(box)
            scale = size / max(box.width(), box.height())
            area = QRectF(0, 0, box.width() * scale, box.height() * scale)
            area.moveCenter(QRectF(0, 0, size, size).center())
            renderer.render(painter, area)
        else:
            paint_drawing(painter, DRAWING, QRectF(0, 0, size, size), words=False)
        painter.end()
        images.append(image)
    different = 0
    for x in range(0, size, 5):
        for y in range(0, size, 5):
            a, b = (QColor(image.pixel(x, y)) for image in images)
            apart = abs(a.red() - b.red()) + abs(a.green() - b.green()) + abs(a.blue() - b.blue())
            different += apart > 90
    assert different < 0.04 * (size / 5) ** 2
