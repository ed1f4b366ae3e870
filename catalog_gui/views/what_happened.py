"""Shows the end of the log, to be read or to be handed to whoever looks after the program."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontDatabase, QGuiApplication, QTextCursor
from PySide6.QtWidgets import QDialog, QHBoxLayout, QPlainTextEdit, QVBoxLayout, QWidget

from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.buttons import button
from catalog_gui.views.widgets.labels import label

NOTHING = "The log is empty: nothing has gone wrong since it was begun."


class WhatHappened(QDialog):
    """The newest lines of the log, read off the GUI thread."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("what-happened")
        self.setWindowTitle("What happened")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(820, 480)
        self._text = QPlainTextEdit()
        self._text.setObjectName("what-happened-log")
        self._text.setAccessibleName("The end of the log")
        self._text.setReadOnly(True)
        self._text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self._text.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self._text.setPlainText("Reading …")
        column = QVBoxLayout(self)
        column.addWidget(label(self._where(bench), "faded", name="what-happened-where", wrap=True))
        column.addWidget(self._text, 1)
        foot = QHBoxLayout()
        foot.addWidget(button("what-happened-copy", "Copy it", "Copy the text", call=self.copy))
        foot.addStretch(1)
        foot.addWidget(button("what-happened-close", "Close", call=self.close))
        column.addLayout(foot)
        bench.read_log(self._show)

    @staticmethod
    def _where(bench: Bench) -> str:
        if not bench.log_path:
            return "There is no log: the folder of the catalogue cannot be written."
        return (
            f"{bench.log_path}. It stays on this machine. It can name files and people: read it before you "
            "hand it on."
        )

    @property
    def text(self) -> str:
        """What is shown."""
        return self._text.toPlainText()

    def copy(self) -> None:
        """Put the text where it can be pasted from."""
        QGuiApplication.clipboard().setText(self.text)

    def _show(self, text: str) -> None:
        self._text.setPlainText(text or NOTHING)
        self._text.moveCursor(QTextCursor.MoveOperation.End)
        self._text.moveCursor(QTextCursor.MoveOperation.StartOfLine)
