"""PDFs painted in a process of their own, so that two hundred sheets never make the window stutter."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path

from PySide6.QtGui import QGuiApplication

from catalog_gui import assets
from catalog_gui.domain.page import Paper
from catalog_gui.jobs.subprocess_job import run_in_subprocess
from catalog_gui.views import theme
from catalog_gui.views.outputs.painter import write_pdf


def write_pdf_in_subprocess(
    papers: Iterable[Paper],
    target: Path,
    *,
    title: str,
    replace: bool = False,
    look: Callable[[Path], None] | None = None,
    progress: Callable[[int], None] = lambda _: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> int:
    """`write_pdf` in another process; papers are made here, one ahead of the one that is painted."""
    work = partial(_paint, target=str(target), title=title, replace=replace, look=look)
    return run_in_subprocess(work, papers, progress=progress, cancelled=cancelled)


def _paint(
    papers: Iterator[Paper],
    progress: Callable[[int], None],
    cancelled: Callable[[], bool],
    *,
    target: str,
    title: str,
    replace: bool,
    look: Callable[[Path], None] | None,
) -> int:
    if QGuiApplication.instance() is None:
        if sys.platform != "win32":  # there the fonts of the system come with the window system alone
            os.environ["QT_QPA_PLATFORM"] = "offscreen"
        application = QGuiApplication([sys.argv[0]])
        theme.load_fonts(assets.fonts())
        application.setApplicationName("Foray Bench")
    return write_pdf(
        papers,
        Path(target),
        title=title,
        replace=replace,
        look=look,
        progress=progress,
        cancelled=cancelled,
    )
