"""Previews the real pages, laid out and painted exactly as they go to paper, one at a time."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QCoreApplication, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QAction, QColor, QImage, QKeySequence, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QToolButton, QVBoxLayout, QWidget

from catalog_gui.domain.page import Paper
from catalog_gui.domain.problem import Cancelled
from catalog_gui.jobs.worker_queue import Reporter, Ticket, WorkerQueue
from catalog_gui.presenting.failure import failure_reason
from catalog_gui.views import theme
from catalog_gui.views.outputs.layout import Laid, lay_out
from catalog_gui.views.outputs.painter import page_image
from catalog_gui.views.widgets.labels import label

_STEPS = (0.5, 0.75, 1.0, 1.5, 2.0, 3.0)
_EDGE = 14
MAKING = "Making the page …"


class PaperSheet(QWidget):
    """One page lying on the bench."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("preview-page")
        self.setAccessibleName("Page as it will be printed")
        self._image: QImage | None = None

    def show_image(self, image: QImage | None) -> None:
        """Show a painted page, or none."""
        self._image = image
        if image is not None:
            size = image.deviceIndependentSize().toSize()
            self.setFixedSize(size + QSize(2 * _EDGE, 2 * _EDGE))
        self.update()

    @property
    def image(self) -> QImage | None:
        """What is shown."""
        return self._image

    def paintEvent(self, _: QPaintEvent) -> None:
        """The page with its shadow."""
        if self._image is None:
            return
        painter = QPainter(self)
        size = self._image.deviceIndependentSize()
        box = QRectF(_EDGE, _EDGE, size.width(), size.height())
        for step in range(4):
            painter.fillRect(box.translated(step, step + 1), QColor(0, 0, 0, 26))
        painter.drawImage(box.topLeft(), self._image)
        painter.setPen(QColor(theme.tones().edge))
        painter.drawRect(box.adjusted(-0.5, -0.5, 0, 0))


class PaperPreview(QFrame):
    """Shows the pages of the papers of one order. `wanted(index)` asks for a paper when it is turned to."""

    wanted = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("preview")
        self.setProperty("role", "tray")
        self._queue = WorkerQueue("preview", parent=self)
        application = QCoreApplication.instance()
        if application is not None:
            application.aboutToQuit.connect(self.close_queue)
        self._laid: Laid | None = None
        self._page = 0
        self._paper = 0
        self._papers = 0
        self._to_last_page = False
        self._zoom: float | None = None  # None: the whole width
        self._making: Ticket[Laid] | None = None
        self._painting: Ticket[QImage] | None = None
        self._sheet = PaperSheet()
        self._scroll = QScrollArea()
        self._scroll.setObjectName("preview-scroll")
        self._scroll.setAccessibleName("Preview of the pages")
        self._scroll.setAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
        self._scroll.setWidget(self._sheet)
        self._words = label("", "faded", name="preview-words", wrap=True)
        self._words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._count = label("", "faded", name="preview-count")
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 4)
        column.setSpacing(2)
        bar = QHBoxLayout()
        self._back = self._button("◀", "preview-back", "Page before", "PgUp", self.back)
        self._on = self._button("▶", "preview-on", "Next page", "PgDown", self.on)
        self._smaller = self._button("−", "preview-smaller", "Smaller", "Ctrl+-", lambda: self.zoom(-1))
        self._larger = self._button("+", "preview-larger", "Larger", "Ctrl++", lambda: self.zoom(1))
        self._fit = self._button("Width", "preview-fit", "Fit the width", "Ctrl+0", lambda: self.zoom(0))
        self._whole = self._button("Page", "preview-whole", "Whole page", "Ctrl+9", self.whole_page)
        bar.addWidget(self._back)
        bar.addWidget(self._count)
        bar.addWidget(self._on)
        bar.addStretch(1)
        for button in (self._smaller, self._larger, self._fit, self._whole):
            bar.addWidget(button)
        column.addLayout(bar)
        column.addWidget(self._words)
        column.addWidget(self._scroll, 1)
        self.clear("")

    def _button(
        self, words: str, name: str, accessible: str, keys: str, call: Callable[[], object]
    ) -> QToolButton:
        button = QToolButton()
        button.setObjectName(name)
        button.setText(words)
        button.setAccessibleName(accessible)
        button.setToolTip(f"{accessible} ({keys})")
        action = QAction(accessible, self)
        action.setShortcut(QKeySequence(keys))
        action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        action.triggered.connect(lambda _=False: call())
        self.addAction(action)
        button.clicked.connect(lambda _=False: call())
        return button

    # -- what is shown -----------------------------------------------------------------------------
    def begin(self, papers: int) -> None:
        """A new order of so many papers; the place in it is kept where it can be."""
        self._papers = papers
        if self._laid is None:
            self._words.setText(MAKING)
            self._words.show()
        self._paper = min(self._paper, max(0, papers - 1))
        self.wanted.emit(self._paper)

    def make(self, call: Callable[[Reporter], Paper]) -> None:
        """Make the paper off the GUI thread, then show it."""
        if self._making is not None:
            self._making.drop()

        def lay(reporter: Reporter) -> Laid:
            paper = call(reporter)
            reporter.check()
            return lay_out(paper)

        def failed(error: Exception) -> None:
            if not isinstance(error, Cancelled):
                self.clear(failure_reason(error))

        self._making = self._queue.submit(lay, done=self._show_laid, failed=failed)

    def clear(self, words: str) -> None:
        """Show words instead of a page."""
        if self._making is not None:
            self._making.drop()
            self._making = None
        self._laid = None
        self._words.setText(words)
        self._words.setVisible(bool(words))
        self._scroll.setVisible(not words)
        self._sheet.show_image(None)
        self._mark_buttons()

    def _show_laid(self, laid: Laid) -> None:
        self._making = None
        self._laid = laid
        self._words.hide()
        self._scroll.show()
        last = len(laid.pages) - 1
        self._page = last if self._to_last_page else min(self._page, last)
        self._to_last_page = False
        self._paint()

    def _paint(self) -> None:
        laid = self._laid
        if laid is None:
            return
        if self._painting is not None:
            self._painting.drop()
        ratio = self.devicePixelRatioF()
        number, dots = self._page, self._dots_per_mm() * ratio

        def paint(_: Reporter) -> QImage:
            image = page_image(laid, number, dots)
            image.setDevicePixelRatio(ratio)
            return image

        self._painting = self._queue.submit(paint, done=self._sheet.show_image)
        self._mark_buttons()

    def _dots_per_mm(self) -> float:
        if self._laid is None:
            return 3.0
        bar = self._scroll.verticalScrollBar()
        taken = 0 if bar.isVisible() else bar.sizeHint().width()
        room = max(200, self._scroll.viewport().width() - taken - 2 * _EDGE - 2)
        fit = room / self._laid.size_mm[0]
        return fit * (self._zoom or 1.0)

    def _mark_buttons(self) -> None:
        laid = self._laid
        pages = len(laid.pages) if laid is not None else 0
        self._back.setEnabled(laid is not None and (self._page > 0 or self._paper > 0))
        self._on.setEnabled(laid is not None and (self._page + 1 < pages or self._paper + 1 < self._papers))
        words = f"Page {self._page + 1} of {pages}" if pages else ""
        if self._papers > 1 and pages:
            words += f", paper {self._paper + 1} of {self._papers}"
        self._count.setText(words)

    # -- moving about ------------------------------------------------------------------------------
    def on(self) -> None:
        """The next page, or the next paper."""
        if self._laid is not None and self._page + 1 < len(self._laid.pages):
            self._page += 1
            self._paint()
        elif self._paper + 1 < self._papers:
            self._paper, self._page = self._paper + 1, 0
            self.wanted.emit(self._paper)
        self._scroll.verticalScrollBar().setValue(0)

    def back(self) -> None:
        """The page before, or the last one of the paper before."""
        if self._page > 0:
            self._page -= 1
            self._paint()
        elif self._paper > 0:
            self._paper -= 1
            self._to_last_page = True
            self.wanted.emit(self._paper)

    def zoom(self, way: int) -> None:
        """Larger (1), smaller (-1), or fit the width (0)."""
        now = self._zoom or 1.0
        if way == 0:
            self._zoom = None
        else:
            steps = [s for s in _STEPS if (s > now + 1e-6 if way > 0 else s < now - 1e-6)]
            if steps:
                self._zoom = steps[0] if way > 0 else steps[-1]
        self._paint()

    def whole_page(self) -> None:
        """As large as the whole page fits."""
        if self._laid is None:
            return
        room = self._scroll.viewport().size()
        width, height = self._laid.size_mm
        fit = max(1e-6, (room.width() - 2 * _EDGE - 6) / width)
        self._zoom = max(0.2, min(1.0, (room.height() - 2 * _EDGE - 6) / height / fit))
        self._paint()

    @property
    def sheet(self) -> PaperSheet:
        """The page on show."""
        return self._sheet

    @property
    def busy(self) -> bool:
        """Whether a page is still being made or painted."""
        return self._queue.busy

    @property
    def pages(self) -> int:
        """How many pages the paper on show has."""
        return len(self._laid.pages) if self._laid is not None else 0

    @property
    def paper(self) -> int:
        """Which paper of the order is on show."""
        return self._paper

    @property
    def words(self) -> str:
        """What stands there instead of a page, or ''."""
        words = self._words.text()
        return words if self._laid is None and words != MAKING else ""

    def resizeEvent(self, event: object) -> None:
        """Paint anew for the new width."""
        super().resizeEvent(event)  # type: ignore[arg-type]
        if self._laid is not None:
            self._paint()

    def close_queue(self) -> None:
        """End the painting thread."""
        self._queue.close()
