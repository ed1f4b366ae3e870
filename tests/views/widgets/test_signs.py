"""Verdict signs are told apart by shape alone; signal words stand on their own colours."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication

from catalog_gui.domain.evidence import Standing
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.presenting.compare.state import Says
from catalog_gui.presenting.signal_words import SIGNAL_WORDS
from catalog_gui.views import theme
from catalog_gui.views.describe.symbols import paint_standing
from catalog_gui.views.widgets.signs import signal_colours, verdict_icon


def shape(word: str) -> npt.NDArray[np.bool_]:
    """Where the sign has ink, whatever its colour: (32, 32)."""
    image = verdict_icon(word).pixmap(32, 32).toImage().convertToFormat(QImage.Format.Format_ARGB32)
    pixels = np.frombuffer(bytes(image.constBits()), dtype=np.uint8)
    return np.asarray(pixels.reshape(image.height(), image.width(), 4)[..., 3] > 96)


@pytest.mark.parametrize("look", ["light", "dark"])
def test_signs_differ_without_their_colour(qapp: QApplication, look: str) -> None:
    theme.apply(qapp, look)
    shapes = {says: shape(says.value) for says in Says if says is not Says.WRITTEN}
    assert all(inked.sum() >= 12 for inked in shapes.values())
    seen = list(shapes.items())
    for place, (one, first) in enumerate(seen):
        for other, second in seen[place + 1 :]:
            union = np.logical_or(first, second).sum()
            assert np.logical_xor(first, second).sum() >= 0.3 * union, (one, other)
    theme.apply(qapp, "light")


def green(colour: QColor) -> bool:
    """Whether green leads, as in a light that says go."""
    return colour.green() > colour.red() + 20 and colour.green() > colour.blue() + 20


@pytest.mark.parametrize("look", ["light", "dark"])
def test_no_status_is_green(qapp: QApplication, look: str) -> None:
    """'agrees' may stand under DANGER, and so may a chosen row."""
    theme.apply(qapp, look)
    assert green(QColor(theme.tones().moss))  # the rule knows the green that it forbids
    chosen = QColor(theme.tones().chosen)
    assert chosen.red() >= chosen.green()
    assert not green(QColor(theme.tones().bark))
    for says in Says:
        image = verdict_icon(says.value).pixmap(32, 32).toImage()
        shown = [image.pixelColor(x, y) for x in range(image.width()) for y in range(image.height())]
        assert not any(green(one) for one in shown if one.alpha() > 200), says
    for standing in Standing:
        image = QImage(32, 32, QImage.Format.Format_ARGB32)
        image.fill(0)
        painter = QPainter(image)
        paint_standing(painter, QPointF(16, 16), standing, radius=10)
        painter.end()
        shown = [image.pixelColor(x, y) for x in range(32) for y in range(32)]
        assert not any(green(one) for one in shown if one.alpha() > 200), standing
    theme.apply(qapp, "light")


def test_signal_words_and_colours_differ(qapp: QApplication) -> None:
    """Danger, warning and caution, from the worst down (ISO 3864-2, from memory of public summaries)."""
    theme.apply(qapp, "light")
    assert [SIGNAL_WORDS[severity] for severity in Severity] == ["DANGER", "WARNING", "CAUTION"]
    assert len({signal_colours(severity)[0] for severity in Severity}) == len(Severity)
