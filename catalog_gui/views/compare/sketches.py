"""Drawings of finds and taxa, whole and part by part, made and painted off the GUI thread and kept."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import replace

from PySide6.QtCore import QObject, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QPixmap

from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.feature import Part
from catalog_gui.domain.plane import Box
from catalog_gui.drawing.fruit_body import fruit_body, usual_fruit_body
from catalog_gui.drawing.shapes import Drawing, box_around
from catalog_gui.jobs.worker_queue import Ticket
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.views import theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.drawing_painter import paint_drawing

DRAWN = (Part.WHOLE, Part.CAP, Part.GILLS, Part.STEM, Part.RING, Part.BASE)
WIDTH, HEIGHT = 118, 92
_RATIO = 2.0
_KEEP = 60
_PAPER = "#efe9dc"

Images = dict[Part, QImage]


def taxon_drawing(reference: Reference, taxon: Taxon) -> Drawing:
    """A taxon as it usually looks."""
    return usual_fruit_body(
        ((row.feature, row.state, row.frequency.value) for row in reference.all_states_of(taxon.id)),
        ((row.feature, row.low, row.high) for row in reference.sizes_of(taxon.id)),
        reference.vocabulary,
        form=taxon.forms[0] if taxon.forms else "",
    )


def images_of(drawing: Drawing, *, dark: bool) -> Images:
    """The drawing whole, and cut out for each part that it shows. Safe in any thread: no words are painted."""
    images = {Part.WHOLE: _painted(drawing, dark=dark)}
    for part in DRAWN[1:]:
        shapes = tuple(shape for shape in drawing.shapes if shape.part == part.value)
        if shapes:
            box = _with_room(box_around(shapes), drawing.box)
            images[part] = _painted(replace(drawing, box=box, bar=None), dark=dark)
    return images


def _with_room(box: Box, whole: Box) -> Box:
    """A little of what lies around, in the shape of the picture, and never a tiny detail alone."""
    least = 0.3 * max(whole[2] - whole[0], whole[3] - whole[1])
    width, height = max(box[2] - box[0], least) * 1.25, max(box[3] - box[1], least * HEIGHT / WIDTH) * 1.25
    width, height = max(width, height * WIDTH / HEIGHT), max(height, width * HEIGHT / WIDTH)
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def _painted(drawing: Drawing, *, dark: bool) -> QImage:
    image = QImage(round(WIDTH * _RATIO), round(HEIGHT * _RATIO), QImage.Format.Format_ARGB32_Premultiplied)
    image.setDevicePixelRatio(_RATIO)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    area = QRectF(0, 0, WIDTH, HEIGHT)
    if dark:  # outlines are made for paper, so paper is laid under them
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(_PAPER))
        painter.drawRoundedRect(area, 4, 4)
    paint_drawing(painter, drawing, area.adjusted(3, 3, -3, -3), words=False)
    painter.end()
    return image


class Sketches(QObject):
    """`pixmap` gives what is there and asks for the rest; `ready` follows when something came."""

    ready = Signal()

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._kept: OrderedDict[tuple[str, bool], Images] = OrderedDict()
        self._asked: dict[tuple[str, bool], Ticket[Images]] = {}
        self._pixmaps: dict[int, QPixmap] = {}
        asked = self._asked

        def drop_all() -> None:
            for ticket in list(asked.values()):
                ticket.drop()

        self.destroyed.connect(drop_all)
        self._find: tuple[tuple[Evidence, ...], str] = ((), "")
        self._find_key = ""
        self._finds = 0

    def set_find(self, evidence: Iterable[Evidence], body: str) -> None:
        """What the find is drawn from; a drawing of it that is still being made is given up."""
        now = (tuple(evidence), body)
        if now == self._find and self._find_key:
            return
        self._find = now
        self._forget("find ")
        self._finds += 1
        self._find_key = f"find {self._finds}"

    def forget_taxa(self) -> None:
        """The reference is another one: its taxa are drawn anew."""
        self._forget("taxon ")

    def _forget(self, kind: str) -> None:
        for key in [key for key in (*self._kept, *self._asked) if key[0].startswith(kind)]:
            self._kept.pop(key, None)
            ticket = self._asked.pop(key, None)
            if ticket is not None:
                ticket.drop()

    def of_taxon(self, taxon: Taxon, part: Part) -> QPixmap | None:
        """The drawing of a part of a taxon, or None while it is made or where it has no such part."""
        reference, dark = self._bench.reference, theme.tones().dark
        key = (f"taxon {taxon.id}", dark)
        return self._get(key, part, lambda: images_of(taxon_drawing(reference, taxon), dark=dark))

    def of_find(self, part: Part) -> QPixmap | None:
        """The drawing of a part of the find from what is recorded; None where nothing is."""
        evidence, body = self._find
        if not evidence:
            return None
        vocabulary, dark = self._bench.vocabulary, theme.tones().dark
        key = (self._find_key, dark)
        return self._get(
            key, part, lambda: images_of(fruit_body(evidence, vocabulary, fruit_body=body), dark=dark)
        )

    def _get(self, key: tuple[str, bool], part: Part, make: Callable[[], Images]) -> QPixmap | None:
        images = self._kept.get(key)
        if images is None:
            self._ask(key, make)
            return None
        self._kept.move_to_end(key)
        image = images.get(part)
        if image is None:
            return None
        pixmap = self._pixmaps.get(image.cacheKey())
        if pixmap is None:
            if len(self._pixmaps) > _KEEP * len(DRAWN):
                self._pixmaps.clear()
            pixmap = self._pixmaps[image.cacheKey()] = QPixmap.fromImage(image)
        return pixmap

    def _ask(self, key: tuple[str, bool], make: Callable[[], Images]) -> None:
        if key in self._asked:
            return

        def done(images: Images) -> None:
            self._asked.pop(key, None)
            self._kept[key] = images
            while len(self._kept) > _KEEP:
                self._kept.popitem(last=False)
            self.ready.emit()

        def failed(_: Exception) -> None:
            done({})  # a drawing that cannot be made leaves its place empty; the words still stand

        self._asked[key] = self._bench.read(lambda _: make(), done, failed=failed)
