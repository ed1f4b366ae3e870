"""Shows the chosen find in a few lines: picture, name, hazard, day, place and sizes."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from catalog_gui.domain.ledger import Found
from catalog_gui.domain.photo import Photo
from catalog_gui.presenting.catalogue.find_facts import CardFacts
from catalog_gui.presenting.catalogue.words import hazard_words, severity_of
from catalog_gui.views import theme
from catalog_gui.views.catalogue.found_list import name_font
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.views.widgets.signs import paint_signal


class FindCard(QFrame):
    """A sheet under the list. `page_wanted` carries the page to open for this find."""

    page_wanted = Signal(str)

    def __init__(self, pictures: PictureSource, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("find-card")
        self.setProperty("role", "sheet")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(122)
        self._facts: CardFacts | None = None
        self._thumb = _Thumb(pictures)
        self._number = label("", "heading", name="card-number")
        self._name = label("", "taxon", name="card-name")
        self._sign = _Sign()
        self._lines = label("", name="card-lines")
        self._lines.setAccessibleName("What is kept of the chosen find")
        self._lines.setTextFormat(Qt.TextFormat.PlainText)
        self._lines.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._lines.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._lines.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self._number)
        top.addWidget(self._name)
        top.addWidget(self._sign)
        top.addStretch(1)
        middle = QVBoxLayout()
        middle.setSpacing(1)
        middle.addLayout(top)
        middle.addWidget(self._lines, 1)
        buttons = QVBoxLayout()
        buttons.setSpacing(3)
        for words, key, tip in (
            ("Describe", "describe", "Describe this find (Return in the list)"),
            ("Compare", "compare", "Compare this find with its lookalikes"),
            ("Hand on", "outputs", "Papers and records of this find"),
        ):
            made = button(f"card-{key}", words, f"{words}: the chosen find", tip=tip)
            made.clicked.connect(lambda _=False, key=key: self.page_wanted.emit(key))
            buttons.addWidget(made)
        across = QHBoxLayout(self)
        across.setContentsMargins(8, 6, 8, 6)
        across.setSpacing(12)
        across.addWidget(self._thumb)
        across.addLayout(middle, 1)
        across.addLayout(buttons)
        self.show_facts(None)

    def show_facts(self, facts: CardFacts | None) -> None:
        """Show a find, or hide."""
        self._facts = facts
        self.setVisible(facts is not None)
        if facts is None:
            return
        found = facts.found
        self._number.setText(found.number)
        self._name.setText(found.name or "not named yet")
        self._name.setFont(name_font(self.font()) if found.name else self.font())
        self._sign.show_hazard(found)
        self._lines.setText("\n".join(facts.lines))
        self._lines.setToolTip("\n".join(facts.lines))
        self._thumb.show_photo(facts.cover)
        self.setAccessibleName(". ".join((found.number, found.name, hazard_words(found), *facts.lines)))

    @property
    def lines(self) -> tuple[str, ...]:
        """What it says, for readers."""
        return self._facts.lines if self._facts is not None else ()

    def on_picture(self, photo_id: str) -> None:
        """A picture has come."""
        if self._facts is not None and self._facts.cover and self._facts.cover.id == photo_id:
            self._thumb.update()


class _Sign(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("card-hazard")
        self.setFixedSize(116, 22)
        self._found: Found | None = None

    def show_hazard(self, found: Found) -> None:
        self._found = found
        self.setVisible(severity_of(found) is not None)
        self.setToolTip(hazard_words(found))
        self.setAccessibleName(hazard_words(found))

    def paintEvent(self, event: QPaintEvent) -> None:
        severity = severity_of(self._found) if self._found is not None else None
        if severity is not None:
            painter = QPainter(self)
            font = painter.font()
            font.setBold(True)
            painter.setFont(font)
            paint_signal(painter, QRectF(self.rect()), severity)


class _Thumb(QWidget):
    def __init__(self, pictures: PictureSource) -> None:
        super().__init__()
        self.setObjectName("card-picture")
        self.setFixedSize(QSize(140, 106))
        self._pictures = pictures
        self._photo: Photo | None = None

    def show_photo(self, photo: Photo | None) -> None:
        self._photo = photo
        self.setAccessibleName(f"Picture {photo.name}" if photo is not None else "No picture")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        t = theme.tones()
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(t.sunken))
        photo = self._photo
        ratio = self.devicePixelRatioF()
        fit = (round(self.width() * ratio), round(self.height() * ratio))
        pixmap = self._pictures.pixmap(photo, 320, fit=fit) if photo is not None else None
        if pixmap is not None:
            size = pixmap.size().scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
            at = QRect(0, 0, size.width(), size.height())
            at.moveCenter(self.rect().center())
            painter.drawPixmap(at, pixmap)
            return
        painter.setPen(QColor(t.faded))
        words = "No picture" if photo is None else self._pictures.problem(photo.id) or "…"
        flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
        painter.drawText(self.rect().adjusted(6, 6, -6, -6), flags, words)
