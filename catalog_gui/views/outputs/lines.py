"""Sets type on paper: fonts sized in hundredths of a millimetre, and paragraphs broken into lines."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QTextCharFormat, QTextLayout, QTextOption

POINT = 25.4 / 72.0 * 100.0
INK = QColor("#15160f")
GREY = QColor("#4d4d45")

_UPRIGHT = re.compile(r"(?<!\w)(?:cf\.|aff\.|agg\.|sp\.|spp\.|var\.|subsp\.|f\.)")


def face(family: str, points: float, *, bold: bool = False, italic: bool = False) -> QFont:
    """A font sized for the page's units, not for a screen."""
    font = QFont(family)
    font.setPixelSize(max(1, round(points * POINT)))
    font.setWeight(QFont.Weight.DemiBold if bold else QFont.Weight.Normal)
    font.setItalic(italic)
    return for_paper(font)


def for_paper(font: QFont) -> QFont:
    """No hinting, which is for screens, and no ligatures: a PDF would not say which letters they stand for."""
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    for feature in ("liga", "clig", "dlig"):
        font.setFeature(QFont.Tag(feature), 0)
    return font


# Control signs print as nothing or as boxes; overrides of direction would turn round whatever follows them.
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]")


def printable(words: str) -> str:
    """Words without signs that cannot be printed; line breaks stay.

    A picture sign that no font of this machine has is spelt out, '[mushroom]': a box would say nothing.
    """
    words = _UNPRINTABLE.sub("", words)
    return (
        words if words.isascii() else _PICTURE_SIGN.sub(lambda found: _drawn_or_named(found.group()), words)
    )


# Beyond the first plane, and the older symbols that are drawn as pictures; joiners and colour marks go along.
_PICTURE_SIGN = re.compile(r"[\u2600-\u27bf\U00010000-\U0010ffff]")


@lru_cache(maxsize=1024)
def _drawn_or_named(sign: str) -> str:
    layout = QTextLayout(sign, QFont())
    layout.beginLayout()
    layout.createLine()
    layout.endLayout()
    drawn = all(0 not in run.glyphIndexes() for run in layout.glyphRuns())
    name = unicodedata.name(sign, "")
    # Isolated, so that its brackets stay with it among letters that run from right to left (UAX 9).
    return sign if drawn or not name else f"\u2066[{name.casefold()}]\u2069"


class Lines:
    """A paragraph broken into lines of a width. Keeps its layout alive, for the lines belong to it."""

    def __init__(
        self,
        words: str,
        font: QFont,
        width: float,
        *,
        bold_first: bool = False,
        strong: Sequence[str] = (),
    ) -> None:
        """Break `words`; `bold_first` sets what stands before the first colon in bold, `strong` each of these."""
        words = printable(words)
        self._layout = QTextLayout(words.replace("\n", "\u2028"), font)
        option = QTextOption()
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        # Each paragraph takes the direction of its own first letter: notes may be Hebrew or Arabic.
        option.setTextDirection(Qt.LayoutDirection.LayoutDirectionAuto)
        self._layout.setTextOption(option)
        if font.italic():
            self._set_qualifiers_upright(words, font)
        if bold_first:
            self._set_first_bold(words, font)
        if strong:
            self._set_strong(words, font, strong)
        leading = 1.18
        self.tops: list[float] = []
        self.height = 0.0
        self._layout.beginLayout()
        while True:
            line = self._layout.createLine()
            if not line.isValid():
                break
            line.setLineWidth(width)
            self.tops.append(self.height)
            self.height += line.height() * leading
        self._layout.endLayout()
        self.bottoms = [*self.tops[1:], self.height]

    def _set_qualifiers_upright(self, words: str, font: QFont) -> None:
        upright = QTextCharFormat()
        plain = QFont(font)
        plain.setItalic(False)
        upright.setFont(plain)
        self._layout.setFormats([_range(m.start(), m.end(), upright) for m in _UPRIGHT.finditer(words)])

    def _set_first_bold(self, words: str, font: QFont) -> None:
        end = words.find(":")
        if 0 < end < 60:
            bold = QTextCharFormat()
            heavy = QFont(font)
            heavy.setWeight(QFont.Weight.DemiBold)
            bold.setFont(heavy)
            self._layout.setFormats([_range(0, end + 1, bold)])

    def _set_strong(self, words: str, font: QFont, strong: Sequence[str]) -> None:
        bold = QTextCharFormat()
        heavy = QFont(font)
        heavy.setWeight(QFont.Weight.Bold)
        bold.setFont(heavy)
        spans = [
            (found.start(), found.end())
            for one in strong
            for found in re.finditer(rf"(?<!\w){re.escape(printable(one))}(?!\w)", words)
        ]
        self._layout.setFormats([_range(start, end, bold) for start, end in sorted(set(spans))])

    def fitting(self, first: int, room: float) -> int:
        """The index after the last line that fits into `room`, beginning with line `first`."""
        last = first
        while last < len(self.tops) and self.bottoms[last] - self.tops[first] <= room:
            last += 1
        return last

    def paint(
        self, painter: QPainter, at: QPointF, first: int = 0, last: int | None = None, colour: QColor = INK
    ) -> None:
        """Paint lines first to last with the first one's top at `at`."""
        if not self.tops:
            return
        painter.setPen(colour)
        for index in range(first, len(self.tops) if last is None else last):
            line = self._layout.lineAt(index)
            line.draw(painter, QPointF(at.x(), at.y() + self.tops[index] - self.tops[first] - line.y()))


def _range(start: int, end: int, look: QTextCharFormat) -> QTextLayout.FormatRange:
    part = QTextLayout.FormatRange()
    part.start = start
    part.length = end - start
    part.format = look
    return part
