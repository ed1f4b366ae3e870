"""Draws states small where a word is not enough, cut out of the live drawing's own lines."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from PySide6.QtCore import QObject, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPixmap

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part, State, Vocabulary
from catalog_gui.domain.plane import Box
from catalog_gui.drawing.fruit_body import fruit_body
from catalog_gui.drawing.shapes import Drawing
from catalog_gui.lookalikes.reference import ABSENT
from catalog_gui.views import theme
from catalog_gui.views.widgets.drawing_painter import paint_drawing

SIZE = QSize(38, 30)

_BODY: dict[str, str | float] = {
    roles.CAP_SHAPE: "convex",
    roles.CAP_WIDTH: 60.0,
    roles.UNDERSIDE: "gills",
    roles.GILL_ATTACHMENT: "adnate",
    roles.GILLS_SPACING: "close",
    roles.STEM_SHAPE: "equal",
    roles.STEM_LENGTH: 70.0,
    roles.STEM_WIDTH: 12.0,
    roles.STEM_SURFACE: "smooth",
    roles.STEM_CORE: "solid",
    roles.BASE_SHAPE: "equal",
    roles.VOLVA: "absent",
    roles.RING: "absent",
    roles.CAP_PATCHES: "absent",
    roles.CORTINA: "absent",
}
_WITH: dict[str, dict[str, str | float]] = {
    roles.RING_POSITION: {roles.RING: "hanging"},
    roles.RING_UPPER_FACE: {roles.RING: "hanging"},
    roles.GILLS_SPACING: {roles.GILL_ATTACHMENT: "free"},
    roles.VOLVA: {roles.BASE_SHAPE: "round-bulb"},
    roles.GILLS_FOLDS_DEPTH: {roles.UNDERSIDE: "folds", roles.GILL_ATTACHMENT: "decurrent"},
    roles.STEM_NET: {roles.UNDERSIDE: "pores"},
}
_FORMS = {roles.STEM_NET: "bolete", roles.GILLS_FOLDS_DEPTH: "fold-bearing"}
_WHOLE = frozenset(
    {roles.FORM, roles.CAP_HEAD_KIND, roles.CAP_HEAD_JOINED, roles.FLESH_INSIDE, roles.STEM_SHAPE}
)
_NOT_DRAWN = frozenset({Part.MICRO})
_UNSHOWN = frozenset(
    {roles.GROWTH, roles.GILLS_SHORT, roles.GILLS_FORKING, roles.RING_UPPER_FACE, roles.CAP_CENTRE}
)


_Key = tuple[str, str, bool, float]


def has_figure(state: State, part: Part) -> bool:
    """Whether a drawing of this state tells it from its neighbours."""
    return bool(state.figure) and part not in _NOT_DRAWN and state.feature not in _UNSHOWN


class Figures(QObject):
    """Draws one figure each time the window has nothing else to do, and keeps it."""

    drawn = Signal()

    def __init__(self, vocabulary: Vocabulary, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._vocabulary = vocabulary
        self._kept: dict[_Key, QPixmap] = {}
        self._wanted: dict[_Key, State] = {}
        self._idle = QTimer(self)
        self._idle.setInterval(0)
        self._idle.timeout.connect(self._draw_one)

    def shows(self, state: State) -> bool:
        """Whether there is a figure of this state."""
        feature = self._vocabulary.feature(state.feature)
        return feature is not None and has_figure(state, feature.part)

    def pixmap(self, state: State, ratio: float = 1.0) -> QPixmap | None:
        """The small drawing of a state in the present theme; None for now, and `drawn` follows."""
        key = (state.feature, state.id, theme.tones().dark, ratio)
        found = self._kept.get(key)
        if found is None and self.shows(state):
            self._wanted[key] = state
            self._idle.start()
        return found

    def forget_wanted(self) -> None:
        """Another feature came into focus: what was not drawn yet is not needed now."""
        self._wanted.clear()

    def _draw_one(self) -> None:
        if not self._wanted:
            self._idle.stop()
            return
        key = next(iter(self._wanted))
        state = self._wanted.pop(key)
        feature = self._vocabulary.feature(state.feature)
        if feature is not None:
            self._kept[key] = self._draw(state, feature.part, feature.forms, key[3])
            self.drawn.emit()

    def _draw(self, state: State, part: Part, forms: tuple[str, ...], ratio: float) -> QPixmap:
        drawing = fruit_body(_rows(state, forms), self._vocabulary)
        drawing = replace(drawing, box=_crop(drawing, state.feature, part))
        pixmap = QPixmap(SIZE * ratio)
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        area = QRectF(0, 0, SIZE.width(), SIZE.height())
        paint_drawing(painter, drawing, area, ink=QColor(theme.tones().ink), words=False, finest=0.8)
        painter.end()
        return pixmap


def _rows(state: State, forms: tuple[str, ...]) -> list[Evidence]:
    form = _FORMS.get(state.feature, "agaric" if not forms or "agaric" in forms else forms[0])
    looks: dict[str, str | float] = {}
    if state.feature != roles.FORM:
        looks[roles.FORM] = form
        if form in {"agaric", "bolete", "fold-bearing"}:
            looks |= _BODY
    looks |= _WITH.get(state.feature, {})
    looks[state.feature] = state.id
    return [_row(feature, value) for feature, value in looks.items()]


def _row(feature: str, value: str | float) -> Evidence:
    if value == ABSENT:
        return Evidence(feature, "", feature, Standing.NOT_THERE)
    if isinstance(value, str):
        return Evidence(feature, "", feature, Standing.SEEN, (value,))
    return Evidence(feature, "", feature, Standing.SEEN, (), value, value, "mm")


def _crop(drawing: Drawing, feature: str, part: Part) -> Box:
    """The part of the drawing where the feature is to be seen."""
    whole = _around(drawing, {shape.part for shape in drawing.shapes}) or drawing.box
    left, top, right, bottom = whole
    high, wide = bottom - top, right - left
    if feature in _WHOLE or feature == roles.RING_POSITION:
        return _padded(whole, 0.02)
    if part is Part.CAP:
        return _padded(_around(drawing, {"cap"}) or drawing.box, 0.04)
    if feature == roles.GILL_ATTACHMENT:
        gills = _around(drawing, {"gills"}) or drawing.box
        middle = (left + right) / 2
        return middle - wide * 0.02, gills[1] - high * 0.06, middle + wide * 0.34, gills[3] + high * 0.1
    if part is Part.GILLS:
        return _padded(_around(drawing, {"gills"}) or drawing.box, 0.06)
    if part is Part.RING:
        ring = _around(drawing, {"ring"}) or drawing.box
        return _padded(ring, 0.5)
    if part is Part.BASE:
        base = _around(drawing, {"base"}) or drawing.box
        return _padded((base[0], min(base[1], base[3] - high * 0.28), base[2], base[3]), 0.08)
    middle = (left + right) / 2
    stem = _around(drawing, {"stem"}) or drawing.box
    return middle - high * 0.2, stem[1] + (stem[3] - stem[1]) * 0.3, middle + high * 0.2, stem[3]


def _around(drawing: Drawing, parts: Iterable[str]) -> Box | None:
    wanted = set(parts)
    points = [
        (float(command[at]), float(command[at + 1]))
        for shape in drawing.shapes
        if shape.part in wanted
        for command in shape.commands
        for at in range(1, len(command) - 1, 2)
    ]
    if not points:
        return None
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _padded(box: Box, share: float) -> Box:
    pad_x, pad_y = (box[2] - box[0]) * share, (box[3] - box[1]) * share
    return box[0] - pad_x, box[1] - pad_y, box[2] + pad_x, box[3] + pad_y
