"""Paints papers: a page as a picture for the screen, or whole papers into a PDF. Not for the GUI thread."""

from __future__ import annotations

import os
import platform
import re
from collections.abc import Callable, Iterable
from pathlib import Path

from PySide6.QtCore import QMarginsF, QRectF, QSizeF, QTemporaryFile
from PySide6.QtGui import QImage, QPageLayout, QPageSize, QPainter, QPdfWriter

from catalog_gui.domain.draft_name import draft_prefix
from catalog_gui.domain.page import Paper, PictureBlock
from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.durable import put_in_place
from catalog_gui.views.outputs.flow import UNITS_PER_MM
from catalog_gui.views.outputs.layout import Laid, lay_out
from catalog_gui.views.outputs.panels import paint_bar, paint_overlays
from catalog_gui.views.widgets.pictures import image_of

DOTS_PER_INCH = round(25.4 * UNITS_PER_MM)
"""So that one dot of the PDF is a hundredth of a millimetre."""


def page_image(laid: Laid, number: int, dots_per_mm: float) -> QImage:
    """Page `number` (0 first) of a laid-out paper, white ground."""
    width, height = (max(1, round(side * dots_per_mm)) for side in laid.size_mm)
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    painter.scale(dots_per_mm / UNITS_PER_MM, dots_per_mm / UNITS_PER_MM)
    laid.paint(painter, number)
    painter.end()
    return image


def burn_marks(picture: PictureBlock) -> Raster:
    """The pixels with their marks, labels and scale bar drawn in; the same size."""
    raster = picture.raster
    image = image_of(raster)
    painter = QPainter(image)
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    box = QRectF(0, 0, raster.width, raster.height)
    unit = max(1.0, max(raster.width, raster.height) / 480.0)
    paint_overlays(painter, box, picture.overlays, unit)
    if picture.mm_per_width:
        paint_bar(painter, box, picture.mm_per_width, unit)
    painter.end()
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = bytes(plain.constBits())
    wide, stride = raster.width * 3, plain.bytesPerLine()
    packed = b"".join(rows[y * stride : y * stride + wide] for y in range(raster.height))
    return Raster(raster.width, raster.height, packed, raster.scale)


def write_pdf(
    papers: Iterable[Paper],
    target: Path,
    *,
    title: str,
    replace: bool = False,
    look: Callable[[Path], None] | None = None,
    progress: Callable[[int], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> int:
    """Write papers one after the other into one PDF, whole or not at all; returns the number of pages.

    Papers are taken from the iterable one at a time, so that hundreds of them need no more memory than one.
    `progress` hears how many papers are done. Raises BadInput where nothing can be written (target exists
    and `replace` is not set, folder missing or read-only, disk full), Cancelled when stopped, PlacesLeft when
    `look` finds a place in the finished file; then no file is left and an earlier one stands as it was.
    """
    if target.exists() and not replace:
        raise BadInput("A file of that name is there already.", path=str(target))
    if not target.parent.is_dir():
        raise BadInput("That folder does not exist.", path=str(target.parent))
    draft = QTemporaryFile(str(target.parent / f"{draft_prefix(platform.node(), os.getpid())}XXXXXX.pdf"))
    if not draft.open():
        raise BadInput(f"Nothing can be written there: {draft.errorString()}.", path=str(target))
    try:
        pages = _paint_all(papers, draft, title, progress, cancelled)
        path = Path(draft.fileName())
        draft.close()
        if not _is_whole(path):
            raise BadInput("The file could not be written whole: is the disk full?", path=str(target))
        if look is not None:
            look(path)
        try:
            path.chmod(0o644)
            put_in_place(path, target)
        except OSError as error:
            raise BadInput(f"It could not be written: {error.strerror}.", path=str(target)) from error
        draft.setAutoRemove(False)
    finally:
        draft.close()
        if draft.autoRemove():
            draft.remove()
    return pages


def _is_whole(path: Path) -> bool:
    """Whether the PDF on the disk is all there, and on the disk to stay.

    The PDF writer does not look whether its bytes arrive. It counts them, though: the place that it gives for
    its table of contents is right only if nothing before it was lost.
    """
    try:
        with path.open("rb+") as file:
            os.fsync(file.fileno())
            size = file.seek(0, os.SEEK_END)
            file.seek(max(0, size - 64))
            end = re.search(rb"startxref\s+(\d+)\s+%%EOF\s*\Z", file.read())
            if end is None:
                return False
            file.seek(int(end[1]))
            return file.read(4) == b"xref"
    except OSError:
        return False


def _paint_all(
    papers: Iterable[Paper],
    file: QTemporaryFile,
    title: str,
    progress: Callable[[int], None],
    cancelled: Callable[[], bool],
) -> int:
    writer = QPdfWriter(file)
    writer.setCreator("Foray Bench")
    writer.setTitle(title)
    writer.setResolution(DOTS_PER_INCH)
    painter = QPainter()
    pages = 0
    try:
        for done, paper in enumerate(papers):
            laid = lay_out(paper)
            for number in range(len(laid.pages)):
                if cancelled():
                    raise Cancelled
                _size(writer, laid)
                if pages == 0:
                    if not painter.begin(writer):
                        raise BadInput("The PDF could not be begun.", path=file.fileName())
                else:
                    writer.newPage()
                laid.paint(painter, number)
                pages += 1
            progress(done + 1)
        if cancelled():
            raise Cancelled
        if pages == 0:
            raise BadInput("There is nothing to put on paper.")
    finally:
        if painter.isActive():
            painter.end()
    return pages


def _size(writer: QPdfWriter, laid: Laid) -> None:
    size = QPageSize(QSizeF(*laid.size_mm), QPageSize.Unit.Millimeter)
    layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
    layout.setMode(QPageLayout.Mode.FullPageMode)
    writer.setPageLayout(layout)
