"""Shows the tools beside the picture: one button each, with its sign and its letter."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QButtonGroup, QFrame, QToolButton, QVBoxLayout, QWidget

from catalog_gui.presenting.canvas.look import BY_ID, COLOURS, TOOLS, Tool
from catalog_gui.views import theme

_Points = tuple[tuple[float, float], ...]

_LINES: dict[str, tuple[_Points, ...]] = {  # on a field of 20 x 20
    "move": (((5, 3), (5, 15), (8.3, 12), (10.7, 17), (12.8, 16), (10.5, 11.2), (14.5, 11), (5, 3)),),
    "pointer": (((16, 4), (6, 14)), ((5, 9), (5, 15), (11, 15))),
    "corners": (((4, 8), (10, 3), (17, 7), (14, 16), (6, 15), (4, 8)),),
    "freehand": (((3, 14), (5, 8), (8, 6), (10, 9), (9, 13), (12, 15), (15, 11), (15, 6), (17, 5)),),
    "line": (((4, 15), (16, 5)), ((2.5, 13.2), (5.5, 16.8)), ((14.5, 3.2), (17.5, 6.8))),
    "bent": (((3, 15), (7, 7), (12, 11), (17, 4)),),
    "angle": (((16, 4), (4, 15), (17, 15)), ((9.5, 10), (11.4, 12.4), (11.8, 15))),
    "scale": (
        ((2, 12), (18, 12)),
        ((2, 7), (2, 14)),
        ((18, 7), (18, 14)),
        ((6, 9.5), (6, 12)),
        ((10, 8.5), (10, 12)),
        ((14, 9.5), (14, 12)),
    ),
    "colour": (((13, 3), (17, 7)), ((15, 5), (7, 13), (4, 16), (3.5, 16.5)), ((11, 6), (14, 9))),
    "card": (((4, 5), (16, 5), (16, 15), (4, 15), (4, 5)),),
    "cutout": (((6, 2), (6, 14), (18, 14)), ((2, 6), (14, 6), (14, 18))),
    "body": (((10, 10), (10, 17)), ((12, 10), (12.5, 17)), ((9.5, 17), (13, 17))),
}


class ToolButton(QToolButton):
    """One tool; its sign is drawn, so that it is sharp on any screen and fits both themes."""

    def __init__(self, tool: Tool, parent: QWidget) -> None:
        super().__init__(parent)
        self.tool = tool
        self.setCheckable(True)
        self.setFixedSize(QSize(50, 34))
        self.setObjectName(f"canvas-tool-{tool.id}")
        self.setAccessibleName(f"{tool.name} tool")
        self.setAccessibleDescription(tool.how)
        self.setToolTip(f"{tool.name} ({tool.key})\n{tool.how}")

    def paintEvent(self, event: QPaintEvent) -> None:
        """Sign on the left, letter on the right."""
        super().paintEvent(event)
        t = theme.tones()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(6, (self.height() - 20) / 2)
        ink = QColor(t.ink)
        pen = QPen(ink, 1.7)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        if self.tool.id == "oval":
            painter.drawEllipse(QRectF(2.5, 5, 15, 10))
        if self.tool.id == "card":
            painter.fillRect(QRectF(4, 5, 12, 10), QColor("#8a8a8a"))
        if self.tool.id == "body":
            cap = QPainterPath(QPointF(3, 10))
            cap.cubicTo(4, 1, 17, 1, 18, 10)
            cap.closeSubpath()
            painter.drawPath(cap)
        for line in _LINES.get(self.tool.id, ()):
            painter.drawPolyline([QPointF(x, y) for x, y in line])
        if self.tool.kind is not None:
            painter.fillRect(QRectF(3, 20.5, 14, 2.5), QColor(COLOURS[self.tool.kind]))
        painter.resetTransform()
        font = painter.font()
        font.setPixelSize(13)
        painter.setFont(font)
        painter.setPen(QColor(t.faded))
        painter.drawText(QRectF(28, 0, 19, self.height()), int(Qt.AlignmentFlag.AlignCenter), self.tool.key)
        painter.end()


class ToolRail(QFrame):
    """All tools in a column; exactly one is in hand."""

    taken = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("canvas-rail")
        self.setAccessibleName("Tools")
        self.setProperty("role", "sheet")
        column = QVBoxLayout(self)
        column.setContentsMargins(3, 3, 3, 3)
        column.setSpacing(1)
        group = QButtonGroup(self)
        self.buttons: dict[str, ToolButton] = {}
        for tool in TOOLS:
            button = ToolButton(tool, self)
            group.addButton(button)
            button.clicked.connect(partial(self.taken.emit, tool.id))
            self.buttons[tool.id] = button
            column.addWidget(button)
        column.addStretch(1)
        self.buttons["move"].setChecked(True)

    def show_tool(self, tool_id: str) -> Tool:
        """Press the button of a tool; returns the tool."""
        self.buttons[tool_id].setChecked(True)
        return BY_ID[tool_id]
