"""Mouse and keyboard of the canvas tests."""

from __future__ import annotations

import itertools
from contextlib import AbstractContextManager

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from catalog_gui.annotation.marks import Mark
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.views.canvas.view import CanvasView
from catalog_gui.workflows.ports import UnitOfWork


class Hands:
    """Mouse and keyboard on the canvas; places are given in picture pixels."""

    def __init__(self, canvas: CanvasView, catalogue: Catalogue, qtbot: QtBot) -> None:
        self.canvas = canvas
        self.surface = canvas.surface
        self.qtbot = qtbot
        self._catalogue = catalogue

    def settle(self) -> None:
        """Wait until all is saved, shown and every label has its place."""
        self.qtbot.waitUntil(
            lambda: (
                not self.canvas.bench.records_queue.busy and not self.canvas.busy and self.surface.settled
            ),
            timeout=20_000,
        )

    def marks(self) -> tuple[Mark, ...]:
        """The marks as they are kept."""
        self.settle()
        with self._catalogue.read() as work:
            return work.marks.all()

    def read(self) -> AbstractContextManager[UnitOfWork]:
        """The records as they are kept."""
        self.settle()
        return self._catalogue.read()

    def everything(self) -> bytes:
        """All that gestures can touch."""
        self.settle()
        with self._catalogue.read() as work:
            return repr((work.marks.all(), work.evidence.all())).encode()

    def labels(self) -> list[str]:
        """The steps kept, newest first."""
        self.settle()
        return [step.label for step in self._catalogue.steps() if not step.undone]

    def at(self, x: float, y: float) -> QPoint:
        """Where a place of the picture is in the window."""
        wx, wy = self.surface.ground().at((x, y))
        return QPoint(round(wx), round(wy))

    def key(
        self, key: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier, times: int = 1
    ) -> None:
        """Press a key on the picture."""
        for _ in range(times):
            QTest.keyClick(self.surface, key, modifiers)

    def tool(self, letter: str) -> None:
        """Take a tool by its letter."""
        QTest.keyClicks(self.surface, letter.lower())

    def click(
        self, x: float, y: float, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        """Press and let go in one place."""
        QTest.mouseClick(self.surface.viewport(), Qt.MouseButton.LeftButton, modifiers, self.at(x, y))

    def drag(self, *places: tuple[float, float]) -> None:
        """Press at the first place, move over the others, let go at the last."""
        port = self.surface.viewport()
        spots = [self.at(*place) for place in places]
        QTest.mousePress(port, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spots[0])
        for start, end in itertools.pairwise(spots):
            QTest.mouseMove(port, (start + end) / 2)
            QTest.mouseMove(port, end)
        QTest.mouseRelease(port, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, spots[-1])

    def no_words(self) -> None:
        """Leave the line for words empty."""
        if self.canvas.words.isVisible():
            QTest.keyClick(self.canvas.words, Qt.Key.Key_Escape)

    def say(self, words: str) -> None:
        """Type words for the mark that asks for them."""
        self.canvas.words.clear()
        QTest.keyClicks(self.canvas.words, words)
        QTest.keyClick(self.canvas.words, Qt.Key.Key_Return)

    def scale(self, start: tuple[float, float], end: tuple[float, float], length: str) -> None:
        """Draw a scale and say how long it is."""
        self.tool("S")
        self.drag(start, end)
        dialog = self.canvas.scale_dialog
        assert dialog is not None
        dialog.length.setText(length)
        dialog.accept()

    def undo(self) -> None:
        """Take the newest step back and wait for the canvas."""
        self.canvas.bench.undo()
        self.settle()
