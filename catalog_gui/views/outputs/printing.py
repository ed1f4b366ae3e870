"""Prints papers on a printer, painted as in the preview and the PDF. Not for the GUI thread."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrinter

from catalog_gui.domain.page import Paper
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.views.outputs.layout import Laid, lay_out
from catalog_gui.views.outputs.painter import DOTS_PER_INCH


def print_papers(
    papers: Iterable[Paper],
    printer: QPrinter,
    *,
    progress: Callable[[int], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> int:
    """Send papers one after the other to a printer as one job; how many pages went.

    The size of the sheet is the paper's, whatever the printer was set to. `progress` hears how many papers
    are done. Raises BadInput where the printer takes nothing, Cancelled when stopped: the job is then
    withdrawn, and what has been printed already stays printed.
    """
    painter = QPainter()
    printer.setFullPage(True)
    try:
        pages = _paint_all(papers, printer, painter, progress, cancelled)
    except BaseException:
        if painter.isActive():
            printer.abort()
        raise
    finally:
        if painter.isActive():
            painter.end()
    return pages


def _paint_all(
    papers: Iterable[Paper],
    printer: QPrinter,
    painter: QPainter,
    progress: Callable[[int], None],
    cancelled: Callable[[], bool],
) -> int:
    pages = 0
    for done, paper in enumerate(papers):
        laid = lay_out(paper)
        for number in range(len(laid.pages)):
            if cancelled():
                raise Cancelled
            _size(printer, laid)
            if pages == 0:
                if not painter.begin(printer):
                    raise BadInput("The printer takes nothing: is it switched on and connected?")
            elif not printer.newPage():
                raise BadInput(f"The printer stopped after {pages} pages.")
            painter.save()
            scale = printer.resolution() / DOTS_PER_INCH
            painter.scale(scale, scale)
            laid.paint(painter, number)
            painter.restore()
            pages += 1
        progress(done + 1)
    if cancelled():
        raise Cancelled
    if pages == 0:
        raise BadInput("There is nothing to print.")
    return pages


def _size(printer: QPrinter, laid: Laid) -> None:
    size = QPageSize(QSizeF(*laid.size_mm), QPageSize.Unit.Millimeter)
    layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
    layout.setMode(QPageLayout.Mode.FullPageMode)
    printer.setPageLayout(layout)
