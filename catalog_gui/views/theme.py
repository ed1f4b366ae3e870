"""Dresses every widget: paper and forest tones, light and dark, one palette.

Contrast: every text colour here has at least 4.5 to 1 against the ground it stands on, and the borders
of controls at least 3 to 1 (WCAG 2.2, 1.4.3 and 1.4.11); tests/views/test_theme.py computes it.
Severity colours are the safety colours of ISO 3864-1 as printed in public summaries: red for danger,
orange for warning, yellow for caution; each always stands with its word and its own symbol.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

SANS = "Source Sans Pro"
SERIF = "Source Serif Pro"


@dataclass(frozen=True, slots=True)
class Tones:
    """The colours of one theme, '#rrggbb'."""

    dark: bool
    ground: str  # the bench itself
    sheet: str  # paper lying on it
    sunken: str  # fields and trays
    line: str  # quiet hairlines
    edge: str  # borders of controls
    ink: str  # text
    faded: str  # secondary text
    moss: str  # what is chosen or can be pressed
    moss_text: str  # text on moss
    chosen: str  # ground of what is chosen: never green, a row under DANGER may be chosen
    bark: str  # headings
    ochre: str  # doubtful, waiting
    ochre_soft: str
    rust: str  # trouble
    danger: str = "#b3001b"
    danger_text: str = "#ffffff"
    warning: str = "#f18500"
    warning_text: str = "#1c1208"
    caution: str = "#f9c700"
    caution_text: str = "#1c1a08"


LIGHT = Tones(
    dark=False,
    ground="#ece7db",
    sheet="#fbf8f1",
    sunken="#ffffff",
    line="#d6cebd",
    edge="#857a66",
    ink="#23261f",
    faded="#5a5a4d",
    moss="#2f5d3a",
    moss_text="#ffffff",
    chosen="#e6d9b8",
    bark="#4a3524",
    ochre="#8a5a00",
    ochre_soft="#f6e3b8",
    rust="#9c2f12",
)

DARK = Tones(
    dark=True,
    ground="#1a1d18",
    sheet="#23271f",
    sunken="#14170f",
    line="#3a4034",
    edge="#7d8672",
    ink="#ece9dd",
    faded="#b4b5a4",
    moss="#8fc08a",
    moss_text="#10170f",
    chosen="#4b4331",
    bark="#e0c9a6",
    ochre="#e8b45a",
    ochre_soft="#4a3a16",
    rust="#f0916f",
)

_current = LIGHT


def tones() -> Tones:
    """The tones in use; widgets that paint themselves ask each time they paint."""
    return _current


def load_fonts(folder: Path) -> list[str]:
    """Register the shipped typefaces; returns the families found. Call once, after QApplication."""
    families: list[str] = []
    for file in sorted(folder.glob("*.ttf")):
        number = QFontDatabase.addApplicationFont(str(file))
        if number >= 0:
            families.extend(QFontDatabase.applicationFontFamilies(number))
    return sorted(set(families))


def apply(app: QApplication, theme: str) -> Tones:
    """Dress the application. `theme`: 'light', 'dark' or 'system'."""
    global _current  # noqa: PLW0603 - one application, one look
    if theme == "system":
        hints = QGuiApplication.styleHints()
        _current = DARK if hints.colorScheme() == Qt.ColorScheme.Dark else LIGHT
    else:
        _current = DARK if theme == "dark" else LIGHT
    t = _current
    app.setStyle("Fusion")
    font = QFont(SANS)
    font.setPointSizeF(10.5)
    app.setFont(font)
    palette = QPalette()
    roles = {
        QPalette.ColorRole.Window: t.ground,
        QPalette.ColorRole.WindowText: t.ink,
        QPalette.ColorRole.Base: t.sunken,
        QPalette.ColorRole.AlternateBase: t.sheet,
        QPalette.ColorRole.Text: t.ink,
        QPalette.ColorRole.Button: t.sheet,
        QPalette.ColorRole.ButtonText: t.ink,
        QPalette.ColorRole.BrightText: t.rust,
        QPalette.ColorRole.Highlight: t.moss,
        QPalette.ColorRole.HighlightedText: t.moss_text,
        QPalette.ColorRole.ToolTipBase: t.sheet,
        QPalette.ColorRole.ToolTipText: t.ink,
        QPalette.ColorRole.PlaceholderText: t.faded,
        QPalette.ColorRole.Link: t.moss,
        QPalette.ColorRole.LinkVisited: t.bark,
        QPalette.ColorRole.Light: t.sheet,
        QPalette.ColorRole.Midlight: t.line,
        QPalette.ColorRole.Mid: t.line,
        QPalette.ColorRole.Dark: t.edge,
        QPalette.ColorRole.Shadow: t.edge,
    }
    for role, colour in roles.items():
        palette.setColor(role, QColor(colour))
    for role in (QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText, QPalette.ColorRole.WindowText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(t.edge))
    app.setPalette(palette)
    app.setStyleSheet(_sheet(t))
    return t


def _sheet(t: Tones) -> str:
    return f"""
QWidget {{ font-family: "{SANS}"; }}
QToolTip {{ background: {t.sheet}; color: {t.ink}; border: 1px solid {t.edge}; padding: 4px; }}
QLabel[role="title"] {{ font-family: "{SERIF}"; font-size: 19px; font-weight: 600; color: {t.bark}; }}
QLabel[role="heading"] {{ font-family: "{SERIF}"; font-size: 15px; font-weight: 600; color: {t.bark}; }}
QLabel[role="faded"] {{ color: {t.faded}; }}
QLabel[role="trouble"] {{ color: {t.rust}; font-weight: 600; }}
QLabel[role="taxon"] {{ font-family: "{SERIF}"; font-style: italic; font-size: 15px; }}
QLabel[role="caution-line"] {{ background: {t.ochre_soft}; color: {t.ink}; font-size: 9pt; padding: 1px 10px; }}
QLabel[role="caution"] {{
  background: {t.ochre_soft}; color: {t.ink}; border-left: 4px solid {t.ochre}; padding: 4px 8px; }}
QFrame[role="sheet"] {{ background: {t.sheet}; border: 1px solid {t.line}; border-radius: 3px; }}
QFrame[role="tray"] {{ background: {t.sunken}; border: 1px dashed {t.edge}; border-radius: 3px; }}
QPushButton {{
  background: {t.sheet}; color: {t.ink}; border: 1px solid {t.edge}; border-radius: 3px;
  padding: 4px 11px; min-height: 20px; }}
QPushButton:hover {{ background: {t.chosen}; }}
QPushButton:pressed {{ background: {t.moss}; color: {t.moss_text}; }}
QPushButton:focus {{ border: 2px solid {t.moss}; padding: 3px 10px; }}
QPushButton:disabled {{ color: {t.edge}; border-color: {t.line}; }}
QPushButton[role="main"] {{ background: {t.moss}; color: {t.moss_text}; border-color: {t.moss}; font-weight: 600; }}
QPushButton[role="main"]:focus {{ border: 2px solid {t.ink}; }}
QPushButton[role="main"]:disabled {{ background: {t.line}; color: {t.faded}; border-color: {t.line}; }}
QPushButton:checked {{ background: {t.chosen}; border: 2px solid {t.moss}; padding: 3px 10px; }}
QToolButton {{
  background: transparent; color: {t.ink}; border: 1px solid transparent; border-radius: 3px; padding: 4px 7px; }}
QToolButton:hover {{ background: {t.chosen}; }}
QToolButton:focus {{ border: 2px solid {t.moss}; padding: 3px 6px; }}
QToolButton:checked {{ background: {t.chosen}; border: 1px solid {t.moss}; }}
QLineEdit, QPlainTextEdit, QTextEdit {{
  background: {t.sunken}; color: {t.ink}; border: 1px solid {t.edge}; border-radius: 3px; padding: 3px 6px;
  selection-background-color: {t.moss}; selection-color: {t.moss_text}; min-height: 20px; }}
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus {{ border: 2px solid {t.moss}; padding: 2px 5px; }}
QAbstractSpinBox QLineEdit {{ border: none; padding: 0; min-height: 0; }}
QComboBox, QAbstractSpinBox {{ min-height: 26px; }}
QComboBox QAbstractItemView {{ background: {t.sunken}; color: {t.ink}; border: 1px solid {t.edge};
  selection-background-color: {t.moss}; selection-color: {t.moss_text}; }}
QListView, QTableView, QTreeView, QListWidget, QTableWidget, QTreeWidget {{
  background: {t.sunken}; color: {t.ink}; border: 1px solid {t.line}; border-radius: 3px;
  alternate-background-color: {t.sheet}; selection-background-color: {t.chosen}; selection-color: {t.ink};
  gridline-color: {t.line}; }}
QAbstractItemView:focus {{ border: 2px solid {t.moss}; }}
QHeaderView::section {{ background: {t.sheet}; color: {t.bark}; border: none; border-bottom: 1px solid {t.edge};
  border-right: 1px solid {t.line}; padding: 4px 7px; font-weight: 600; }}
QMenu {{ background: {t.sheet}; color: {t.ink}; border: 1px solid {t.edge}; padding: 4px; }}
QMenu::item {{ padding: 5px 22px; }}
QMenu::item:selected {{ background: {t.moss}; color: {t.moss_text}; }}
QMenu::item:disabled {{ color: {t.edge}; }}
QMenu::separator {{ height: 1px; background: {t.line}; margin: 4px 8px; }}
QScrollArea {{ border: none; background: transparent; }}
QScrollBar:vertical {{ background: transparent; width: 12px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: 12px; margin: 0; }}
QScrollBar::handle {{ background: {t.edge}; border-radius: 4px; margin: 2px; min-height: 30px; min-width: 30px; }}
QScrollBar::handle:hover {{ background: {t.moss}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QSplitter::handle {{ background: {t.line}; }}
QSplitter::handle:horizontal {{ width: 3px; }}
QSplitter::handle:vertical {{ height: 3px; }}
QProgressBar {{
  background: {t.sunken}; color: {t.ink}; border: 1px solid {t.edge}; border-radius: 3px; text-align: center; }}
QProgressBar::chunk {{ background: {t.line}; }}
QCheckBox::indicator:unchecked, QGroupBox::indicator:unchecked {{
  width: 13px; height: 13px; border: 1px solid {t.edge}; border-radius: 2px; background: {t.sunken}; }}
QCheckBox:focus, QRadioButton:focus {{ border: 1px dotted {t.moss}; }}
QGroupBox {{ border: 1px solid {t.line}; border-radius: 3px; margin-top: 9px; padding-top: 7px; font-weight: 600; }}
QGroupBox::title {{ subcontrol-origin: margin; left: 8px; color: {t.bark}; }}
QDialog {{ background: {t.ground}; }}
"""
