"""Paints a picture on paper: the pixels, the marks over them, the bar that says how large it is."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from catalog_gui.annotation.labels import Label, place_labels
from catalog_gui.domain.page import Overlay, PictureBlock
from catalog_gui.drawing.shapes import Drawing
from catalog_gui.presenting.outputs.scale_bar import nice_length_mm
from catalog_gui.views import theme
from catalog_gui.views.outputs.lines import INK, for_paper
from catalog_gui.views.widgets.drawing_painter import paint_drawing
from catalog_gui.views.widgets.pictures import image_of

_LIGHT = QColor("#ffffff")
_DARK = QColor("#10110c")


PAPER_UNIT = 27.0
"""What marks and labels on paper are sized by, in hundredths of a millimetre: labels come to 6.5 points."""


def shown_height(box_width: float, most: float, picture: PictureBlock) -> float:
    """How tall a picture stands when it is at most `box_width` wide and `most` tall."""
    raster = picture.raster
    if raster.width <= 0 or raster.height <= 0:
        return 0.0
    return min(most, box_width * raster.height / raster.width)


def paint_panel(painter: QPainter, box: QRectF, picture: PictureBlock) -> None:
    """Paint the picture as large as it fits into `box`, in the middle of its width, standing at its top."""
    raster = picture.raster
    if raster.width <= 0 or raster.height <= 0:
        return
    scale = min(box.width() / raster.width, box.height() / raster.height)
    shown = QRectF(box.left(), box.top(), raster.width * scale, raster.height * scale)
    shown.moveLeft(box.left() + (box.width() - shown.width()) / 2)
    painter.drawImage(shown, image_of(raster))
    paint_overlays(painter, shown, picture.overlays, PAPER_UNIT)
    if picture.mm_per_width:
        paint_bar(painter, shown, picture.mm_per_width, PAPER_UNIT)


def paint_overlays(painter: QPainter, shown: QRectF, overlays: tuple[Overlay, ...], unit: float) -> None:
    """Marks in white with a dark core and their labels, which never cover what is pointed at.

    `unit` sizes them, in the painter's units: lines are 1.1, letters 8.5 of it.
    """
    painter.save()
    painter.setClipRect(shown)
    paths = [_path(overlay, shown, unit) for overlay in overlays]
    for colour, width in ((_LIGHT, 2.6), (_DARK, 1.1)):
        pen = QPen(colour, width * unit)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        for path in paths:
            painter.strokePath(path, pen)
    painter.restore()
    _paint_labels(painter, shown, overlays, unit)


def _at(shown: QRectF, point: tuple[float, float]) -> QPointF:
    return QPointF(shown.left() + point[0] * shown.width(), shown.top() + point[1] * shown.height())


def _path(overlay: Overlay, shown: QRectF, unit: float) -> QPainterPath:
    points = [_at(shown, point) for point in overlay.points]
    path = QPainterPath()
    if not points:
        return path
    if overlay.ellipse and len(points) == 2:
        path.addEllipse(QRectF(points[0], points[1]).normalized())
        return path
    path.addPolygon(QPolygonF(points))
    if overlay.closed:
        path.closeSubpath()
    if overlay.arrow and len(points) >= 2:
        tail, tip = points[-2], points[-1]
        along = tip - tail
        length = max(1e-6, (along.x() ** 2 + along.y() ** 2) ** 0.5)
        along /= length
        across = QPointF(-along.y(), along.x())
        for side in (1, -1):
            path.moveTo(tip)
            path.lineTo(tip - along * 7 * unit + across * (3.5 * unit * side))
    return path


def _paint_labels(painter: QPainter, shown: QRectF, overlays: tuple[Overlay, ...], unit: float) -> None:
    named = [(str(i), overlay) for i, overlay in enumerate(overlays) if overlay.label and overlay.points]
    if not named:
        return
    font = for_paper(QFont(theme.SANS))
    font.setPixelSize(max(1, round(8.5 * unit)))
    metrics = QFontMetricsF(font)
    labels = []
    texts = {}
    for key, overlay in named:
        text = metrics.elidedText(overlay.label, Qt.TextElideMode.ElideRight, shown.width() * 0.8)
        texts[key] = text
        spots = [_at(shown, p) for p in (overlay.points[-1:] if overlay.arrow else overlay.points)]
        xs, ys = [p.x() for p in spots], [p.y() for p in spots]
        wish = _at(shown, overlay.points[0]) if overlay.arrow else None
        labels.append(
            Label(
                key,
                metrics.horizontalAdvance(text) + 4 * unit,
                metrics.height() + 1.5 * unit,
                (min(xs), min(ys), max(xs), max(ys)),
                (wish.x(), wish.y()) if wish is not None else None,
            )
        )
    bounds = (shown.left(), shown.top(), shown.right(), shown.bottom())
    painter.setFont(font)
    for placed in place_labels(labels, bounds, keep_clear=3 * unit):
        left, top, right, bottom = placed.box
        if placed.outside:  # there is no room beside a panel: the label stands at its edge
            left, right = shown.right() - (right - left), shown.right()
            top, bottom = min(top, shown.bottom() - (bottom - top)), min(bottom, shown.bottom())
        ground = QRectF(QPointF(left, top), QPointF(right, bottom))
        if placed.leader is not None:
            for colour, width in ((_LIGHT, 2.2), (_DARK, 0.8)):
                painter.setPen(QPen(colour, width * unit))
                painter.drawLine(QPointF(*placed.leader[0]), QPointF(*placed.leader[1]))
        painter.fillRect(ground, _LIGHT)
        painter.setPen(QPen(_DARK, 0.5 * unit))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(ground)
        painter.drawText(ground, Qt.AlignmentFlag.AlignCenter, texts[placed.id])


def paint_bar(painter: QPainter, shown: QRectF, mm_per_width: float, unit: float) -> None:
    """A bar of a round length in the lower left corner."""
    length_mm = nice_length_mm(mm_per_width * 0.4)
    length = length_mm / mm_per_width * shown.width()
    words = f"{length_mm / 10:g} cm" if length_mm >= 10 else f"{length_mm:g} mm"
    font = for_paper(QFont(theme.SANS))
    font.setPixelSize(max(1, round(8.5 * unit)))
    metrics = QFontMetricsF(font)
    wide = max(length, metrics.horizontalAdvance(words)) + 8 * unit
    ground = QRectF(shown.left() + 3 * unit, shown.bottom() - 19 * unit, wide, 16 * unit)
    painter.fillRect(ground, _LIGHT)
    left, y = ground.left() + 4 * unit, ground.bottom() - 4 * unit
    pen = QPen(_DARK, 1.8 * unit)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.drawLine(QPointF(left, y), QPointF(left + length, y))
    painter.setFont(font)
    painter.drawText(QPointF(left, y - 3 * unit), words)


def paint_small_drawing(painter: QPainter, drawing: Drawing, box: QRectF) -> None:
    """A drawing as large as it fits into `box`, lines and letters sized for paper."""
    # The painter of drawings sizes its words in pixels: it works on a coarser grid.
    painter.translate(box.topLeft())
    painter.scale(20, 20)
    painter.setFont(for_paper(QFont(theme.SANS)))
    paint_drawing(painter, drawing, QRectF(0, 0, box.width() / 20, box.height() / 20), ink=INK, finest=0.6)
