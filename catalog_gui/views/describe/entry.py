"""Takes writing at the speed of speech: one line, what it may mean, and the feature that is asked next."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QKeyEvent, QKeySequence, QPainter
from PySide6.QtWidgets import (
    QLineEdit,
    QListView,
    QStackedWidget,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from catalog_gui.domain.checklist import Asked, Checklist
from catalog_gui.domain.entry_line import Around, Entry, EntryIndex, Offer
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.itemmodels.rows import RowsModel
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.presenting.describe.asking_order import AskingOrder
from catalog_gui.presenting.describe.words import state_frequency
from catalog_gui.presenting.part_titles import TITLES
from catalog_gui.views import theme
from catalog_gui.views.describe.asked import AskedCard
from catalog_gui.views.describe.symbols import paint_standing, paint_swatch

HINT = "vol sac  ·  -ring  ·  cap 45-60  ·  Tab: next"


class EntryPanel(QWidget):
    """The entry line with its offers and the card of the asked feature."""

    entries_made = Signal(object)  # tuple[Entry, ...]
    asked_changed = Signal(str)  # feature id

    def __init__(self, reference: Reference, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("entry-panel")
        self._reference = reference
        self.index = EntryIndex(reference.vocabulary, _absent_names(reference), state_frequency(reference))
        self.order = AskingOrder(reference.ties.needs)
        self._allowed: frozenset[str] = frozenset()
        self._asked = ""
        self._now: datetime | None = None
        self._zone = ""
        self.line = QLineEdit()
        self.line.setObjectName("entry-line")
        self.line.setAccessibleName("Entry line: type part, feature and state")
        self.line.setPlaceholderText(HINT)
        self.line.setToolTip(
            "Letters of part, feature and state in any order, then Return.\n"
            "-ring or no ring: looked for and not there.  ~ring or gone ring: damaged or gone.\n"
            "?ring: take the entry back.  cap 45-60, spores 8-10 x 6: sizes.\n"
            "white, cream: several.  =white: this one only.  sac?: doubted.  sac; nibbled: with a note.\n"
            "With the line empty: 1 to 9 choose a state of the feature in focus, 0 the one used last.\n"
            "Tab: next feature.  Shift+Tab: back.  Esc: leave the line.  (/ or Ctrl+E comes here)"
        )
        font = QFont(self.line.font())
        font.setPointSizeF(13)
        self.line.setFont(font)
        self.line.installEventFilter(self)
        self.line.textEdited.connect(self._on_text)
        self.card = AskedCard(reference, self)
        self.offers = QListView()
        self.offers.setObjectName("offers")
        self.offers.setAccessibleName("What the typed letters may mean")
        self.offers.setUniformItemSizes(True)
        self.offers.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.offers.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._model: RowsModel[Offer] = RowsModel(
            text=_offer_words, key=lambda offer: (offer.feature.id, offer.words), tip=_offer_tip, parent=self
        )
        self.offers.setModel(self._model)
        self.offers.setItemDelegate(_OfferDelegate(self.offers))
        self.offers.clicked.connect(self._on_clicked)
        self._stack = QStackedWidget()
        self._stack.addWidget(self.card)
        self._stack.addWidget(self.offers)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(5)
        column.addWidget(self.line)
        column.addWidget(self._stack, 1)

    # --- what is known -------------------------------------------------------------------------

    def set_state(
        self,
        asked: Checklist,
        rows: dict[str, Evidence],
        *,
        hasty: bool,
        recent: tuple[tuple[str, str], ...] = (),
        now: datetime | None = None,
        zone: str = "",
        fresh: bool = False,
    ) -> None:
        """Show a specimen; `fresh` when it is another one than before: the first open feature is asked."""
        self.order.about(asked, rows, recent, hasty=hasty, fresh=fresh)
        self._allowed = asked.allowed
        self._now, self._zone = now, zone
        if fresh or self.order.asked(self._asked) is None:
            self._asked = self.order.first()
            self.asked_changed.emit(self._asked)
        self._show_card()
        if self.line.text():
            self._on_text(self.line.text())

    @property
    def asked(self) -> str:
        """The feature in focus."""
        return self._asked

    def ask(self, feature_id: str) -> None:
        """Put a feature into focus."""
        if feature_id and feature_id != self._asked:
            self._asked = feature_id
            self._show_card()
            self.asked_changed.emit(feature_id)

    def ask_part(self, part: str) -> None:
        """Put the first open feature of a part into focus, or its first one when none is open."""
        self.ask(self.order.first_of_part(part))

    def step(self, by: int) -> None:
        """Go to the next (or previous) feature without an entry; what is passed over is asked last."""
        if by > 0:
            self.order.skipped.add(self._asked)
        self.ask(self.order.next_open(self._asked, by, again=by < 0))

    def current_offers(self) -> tuple[Offer, ...]:
        """What stands under the line now."""
        return self._model.rows

    def _show_card(self) -> None:
        asked = self.order.asked(self._asked)
        if asked is None:
            feature = self._reference.vocabulary.feature(self._asked)
            asked = Asked(feature) if feature is not None else None
        self.card.show_feature(
            asked,
            self.order.rows.get(self._asked),
            last=self.order.last_state(self._asked),
            now=self._now,
            zone=self._zone,
        )

    # --- typing --------------------------------------------------------------------------------

    def _on_text(self, text: str) -> None:
        if not text.strip():
            self._model.set_rows(())
            self._stack.setCurrentWidget(self.card)
            return
        order = self.order
        around = Around(self._asked, self._allowed, order.noted, order.waiting, order.recent)
        found = self.index.offers(text, around)
        self._model.set_rows(found)
        self._stack.setCurrentWidget(self.offers)
        if found:
            self.offers.setCurrentIndex(self._model.index(0))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The keys of the line. With the line empty, undo and redo are the window's, not the line's."""
        if (
            watched is self.line
            and event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and not self.line.text()
            and (event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo))
        ):
            event.ignore()
            return True
        if watched is self.line and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._key(event)
        return super().eventFilter(watched, event)

    def _key(self, event: QKeyEvent) -> bool:
        key = event.key()
        empty = not self.line.text().strip()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._accept(stay=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        elif key == Qt.Key.Key_Tab and not event.modifiers():
            self._clear()
            self.step(1)
        elif key == Qt.Key.Key_Backtab:
            self._clear()
            self.step(-1)
        elif key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self._walk(1 if key == Qt.Key.Key_Down else -1, empty=empty)
        elif key == Qt.Key.Key_Escape:
            if empty:
                self._leave()
            self._clear()
        elif empty and event.text() in tuple("0123456789"):
            return self._digit(int(event.text()))
        else:
            return False
        return True

    def _leave(self) -> None:
        follower = self.nextInFocusChain()
        while follower is not None and (
            self.isAncestorOf(follower) or not follower.isVisible() or not follower.focusPolicy()
        ):
            follower = follower.nextInFocusChain()
            if follower is self:
                return
        if follower is not None:
            follower.setFocus(Qt.FocusReason.TabFocusReason)

    def _walk(self, by: int, *, empty: bool) -> None:
        if empty:
            self.step(by)
            return
        row = self.offers.currentIndex().row() + by
        if 0 <= row < self._model.rowCount():
            self.offers.setCurrentIndex(self._model.index(row))

    def _digit(self, digit: int) -> bool:
        """1 to 9: a state of the asked feature; 0: the one used last. A size begins with its digits."""
        feature = self._reference.vocabulary.feature(self._asked)
        if feature is None or feature.kind != "states":
            return False
        states = self.card.states()
        last = self.order.last_state(self._asked)
        if digit == 0:
            chosen = next((state for state in states if state.id == last), None)
        else:
            chosen = states[digit - 1] if digit <= len(states) else None
        if chosen is not None:
            self._make((Entry(feature.id, Standing.SEEN, (chosen.id,)),), stay=False)
        return True

    def _accept(self, *, stay: bool) -> None:
        offer = self.offers.currentIndex().data(Qt.ItemDataRole.UserRole)
        if not self.line.text().strip() or not isinstance(offer, Offer):
            return
        self._take(offer, stay=stay)

    def _take(self, offer: Offer, *, stay: bool) -> None:
        if offer.entries:
            self._make(offer.entries, stay=stay)
        else:
            self.ask(offer.feature.id)
            self._clear()

    def _on_clicked(self, index: QModelIndex) -> None:
        offer = index.data(Qt.ItemDataRole.UserRole)
        if isinstance(offer, Offer):
            self._take(offer, stay=False)
            self.line.setFocus()

    def _make(self, entries: tuple[Entry, ...], *, stay: bool) -> None:
        self._clear()
        last = entries[-1].feature
        for entry in entries:
            self.order.note(entry.feature, entry.standing)
        self.entries_made.emit(entries)
        if entries[0].standing is Standing.NOT_LOOKED_AT:
            self.ask(last)
        elif not stay:
            self.ask(self.order.next_open(last))
        else:
            self.ask(last)

    def _clear(self) -> None:
        self.line.clear()
        self._on_text("")


def _absent_names(reference: Reference) -> dict[str, str]:
    return {
        feature.id: words
        for feature in reference.vocabulary.features
        if (words := reference.absent_name(feature.id))
    }


def _offer_words(offer: Offer) -> str:
    return f"{TITLES[offer.feature.part]}, {offer.feature.name}: {offer.words}"


def _offer_tip(offer: Offer) -> str:
    return offer.state.gloss if offer.state is not None else offer.feature.gloss


class _OfferDelegate(QStyledItemDelegate):
    def sizeHint(
        self,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> QSize:
        """One line each."""
        return QSize(100, 27)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Standing, state, and beside it in faded letters the feature it belongs to."""
        offer = index.data(Qt.ItemDataRole.UserRole)
        if not isinstance(offer, Offer):
            return
        t = theme.tones()
        box: QRect = option.rect
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        if chosen:
            painter.fillRect(box, QColor(t.chosen))
            painter.fillRect(QRect(box.left(), box.top(), 4, box.height()), QColor(t.moss))
        x = box.left() + 12
        if offer.entries:
            paint_standing(painter, QPointF(x + 6, box.center().y() + 0.5), offer.entries[0].standing)
        x += 20
        if offer.state is not None and offer.state.colour:
            paint_swatch(painter, QRectF(x, box.center().y() - 6, 12, 12), offer.state.colour)
            x += 17
        middle = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        metrics = painter.fontMetrics()
        column = box.left() + int(box.width() * 0.54)
        words = offer.words if offer.entries else "ask"
        painter.setPen(QColor(t.ink if offer.entries else t.faded))
        painter.drawText(
            QRect(x, box.top(), column - x - 8, box.height()),
            middle,
            metrics.elidedText(words, Qt.TextElideMode.ElideRight, column - x - 8),
        )
        feature = f"{TITLES[offer.feature.part].lower()} · {offer.feature.name}"
        painter.setPen(QColor(t.faded if offer.entries else t.ink))
        painter.drawText(
            QRect(column, box.top(), box.right() - column - 6, box.height()),
            middle,
            metrics.elidedText(feature, Qt.TextElideMode.ElideRight, box.right() - column - 6),
        )
        painter.restore()
