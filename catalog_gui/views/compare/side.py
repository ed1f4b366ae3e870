"""Beside the table: what to check next and what each answer would do; the candidates in order with reasons."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem, QSplitter, QVBoxLayout, QWidget

from catalog_gui.domain.caution import NO_ENTRY
from catalog_gui.presenting.compare.state import CandidateLine, CheckLine, Comparison
from catalog_gui.views.widgets.labels import label

ANSWERS = 4
"""How many answers are spelt out below the checks; the rest stand in the tool tip."""

ROOMY = 420
"""Below this height, px, only one answer is: the list of checks needs the room."""


class Side(QWidget):
    """Two lists; neither shows a score."""

    feature_wanted = Signal(str)
    taxon_wanted = Signal(str)
    about_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("compare-side")
        self.checks = _list("next-checks", "What to check next. Return goes to it on Describe.")
        self.checks.itemActivated.connect(lambda item: self.feature_wanted.emit(_key(item)))
        self.checks.currentItemChanged.connect(lambda *_: self._tell_answers())
        self.answers = label("", "faded", name="check-answers")
        self.answers.setAccessibleName("What each answer would do")
        self.answers.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.candidates = _list(
            "candidates",
            "Candidates in order. Return lays one beside the find or takes it away, Ctrl+I tells all about it.",
        )
        self.candidates.itemActivated.connect(lambda item: self.taxon_wanted.emit(_key(item)))
        about = QShortcut(QKeySequence("Ctrl+I"), self.candidates)
        about.setContext(Qt.ShortcutContext.WidgetShortcut)
        about.activated.connect(lambda: self.about_wanted.emit(_chosen(self.candidates)))
        self._comparison = Comparison()
        above, below = QWidget(), QWidget()
        for part, words in ((above, "What to check next"), (below, "Candidates, in order")):
            column = QVBoxLayout(part)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(2)
            column.addWidget(label(words, "heading"))
        rows = above.layout()
        assert isinstance(rows, QVBoxLayout)  # noqa: S101 - for the type checker
        rows.addWidget(self.checks, 1)
        rows.addWidget(self.answers)
        rows = below.layout()
        assert isinstance(rows, QVBoxLayout)  # noqa: S101 - for the type checker
        self._order = label("", "faded", name="candidates-order", wrap=True)
        rows.addWidget(self._order)
        rows.addWidget(self.candidates, 1)
        split = QSplitter(Qt.Orientation.Vertical)
        split.setObjectName("compare-side-split")
        split.addWidget(above)
        split.addWidget(below)
        split.setSizes([240, 170])
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(split)

    def show_comparison(self, comparison: Comparison) -> None:
        """Fill both lists; what was chosen stays chosen."""
        before = self._comparison
        self._comparison = comparison
        if before.specimen is not comparison.specimen and (
            before.specimen is None
            or comparison.specimen is None
            or before.specimen.id != comparison.specimen.id
        ):
            self.checks.clear()
            self.candidates.clear()
        if comparison.checks != before.checks or not self.checks.count():
            _fill(self.checks, [(check.feature, check_words(check), "") for check in comparison.checks])
            self._tell_answers()
        self._order.setText(
            "An order, not a name; the best may be wrong."
            if comparison.recorded
            else "Nothing is recorded yet, so there is no order."
        )
        if (comparison.candidates, comparison.taxa) != (before.candidates, before.taxa) or (
            not self.candidates.count()
        ):
            _fill(
                self.candidates,
                [
                    (one.taxon.id, f"{place}. {candidate_words(one)}", _reasons(one))
                    for place, one in enumerate(comparison.candidates, 1)
                ],
            )
            shown = {taxon.id for taxon in comparison.taxa}
            for row in range(self.candidates.count()):
                item = self.candidates.item(row)
                font = QFont(item.font())
                font.setBold(_key(item) in shown)
                item.setFont(font)

    def _tell_answers(self) -> None:
        chosen = _chosen(self.checks)
        check = next((one for one in self._comparison.checks if one.feature == chosen), None)
        if check is None:
            self.answers.setText("")
            self.answers.hide()
            return
        lines = [*check.answers[: ANSWERS if self.height() >= ROOMY else 1]]
        rest = len(check.answers) - len(lines)
        if rest > 0:
            lines.append(f"and {rest} more answer{'' if rest == 1 else 's'} (rest the pointer here)")
        metrics = QFontMetrics(self.answers.font())
        room = max(120, self.width() - 8)
        self.answers.setText(
            "\n".join(metrics.elidedText(line, Qt.TextElideMode.ElideRight, room) for line in lines)
        )
        in_full = "</p><p>".join(escape(part) for part in (check.how, *check.in_full) if part)
        self.answers.setToolTip(f"<p>{in_full}</p>")
        self.answers.setAccessibleDescription("\n".join(check.in_full))
        self.answers.setVisible(bool(lines))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The answers are cut to the new width."""
        super().resizeEvent(event)
        self._tell_answers()


def check_words(check: CheckLine) -> str:
    """What to look at and what it takes; below, what it may settle."""
    settles = f"{check.settles[:1].upper()}{check.settles[1:]}."
    return f"{check.name}: {check.cost}\n{settles}"


def candidate_words(one: CandidateLine) -> str:
    """The name, its danger, and the reasons in words."""
    english = f" ({one.taxon.english})" if one.taxon.english else ""
    danger = f", {one.severity.means if one.severity is not None else NO_ENTRY}"
    danger += ", yours" if one.hers else ""
    speaks_for, against = len(one.speaks_for), len(one.speaks_against)
    if not speaks_for and not against:
        return f"{one.taxon.name}{english}{danger}\nNothing recorded tells for or against it."
    told = f"{speaks_for} for it, {against} against" if against else f"{speaks_for} for it, nothing against"
    reason = f": {one.speaks_against[0].split('; ', 1)[0]}" if against else ""
    why = f" {one.why_here[:1].upper()}{one.why_here[1:]}." if one.why_here else ""
    return f"{one.taxon.name}{english}{danger}\n{told}{reason}.{why}"


def _reasons(one: CandidateLine) -> str:
    speaks_for = [f"For: {words}" for words in one.speaks_for[:8]]
    against = [f"Against: {words}" for words in one.speaks_against[:8]]
    return "\n".join([*speaks_for, *against])


def _list(name: str, told: str) -> QListWidget:
    made = QListWidget()
    made.setObjectName(name)
    made.setAccessibleName(told)
    made.setWordWrap(True)
    made.setSpacing(1)
    made.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    made.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
    return made


def _fill(target: QListWidget, rows: list[tuple[str, str, str]]) -> None:
    chosen = _chosen(target)
    position = target.verticalScrollBar().value() if target.count() else 0
    target.blockSignals(True)
    target.clear()
    for key, words, tip in rows:
        made = QListWidgetItem(words, target)
        made.setData(Qt.ItemDataRole.UserRole, key)
        made.setToolTip(tip)
        if key == chosen:
            target.setCurrentItem(made)
    if target.currentRow() < 0 and rows:
        target.setCurrentRow(0)
    target.blockSignals(False)
    target.verticalScrollBar().setValue(position)


def _chosen(target: QListWidget) -> str:
    return _key(target.currentItem()) if target.currentRow() >= 0 else ""


def _key(item: QListWidgetItem) -> str:
    return str(item.data(Qt.ItemDataRole.UserRole))
