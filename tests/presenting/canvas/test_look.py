"""Colours of marks against what is published about contrast and colour blindness; shapes of the sketch."""

from __future__ import annotations

import pytest

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.presenting.canvas import look
from catalog_gui.presenting.canvas.sketch import (
    Ground,
    outline,
)


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a: float, b: float) -> float:
    return (max(a, b) + 0.05) / (min(a, b) + 0.05)


def test_one_of_the_two_contours_stands_out_on_any_ground() -> None:
    dark, light = luminance(look.CONTOUR), luminance(look.OUTER_CONTOUR)
    worst = min(max(contrast(dark, g / 1000), contrast(light, g / 1000)) for g in range(1001))
    assert worst >= 4.5  # WCAG 2.2, 1.4.11 asks for 3


def test_every_colour_stands_out_from_its_dark_contour_and_words_from_their_paper() -> None:
    for colour in look.COLOURS.values():
        assert contrast(luminance(colour), luminance(look.CONTOUR)) >= 3  # WCAG 2.2, 1.4.11
    assert contrast(luminance(look.NOTE_INK), luminance(look.NOTE_PAPER)) >= 7


def test_the_palette_is_the_published_one() -> None:
    """Okabe & Ito 2008, as Wong 2011, Nature Methods 8:441, prints it (0 to 255)."""
    published = {
        look.BLACK: (0, 0, 0),
        look.ORANGE: (230, 159, 0),
        look.SKY_BLUE: (86, 180, 233),
        look.GREEN: (0, 158, 115),
        look.YELLOW: (240, 228, 66),
        look.BLUE: (0, 114, 178),
        look.VERMILLION: (213, 94, 0),
        look.PURPLE: (204, 121, 167),
    }
    for text, rgb in published.items():
        assert tuple(int(text[i : i + 2], 16) for i in (1, 3, 5)) == rgb
    assert set(look.COLOURS.values()) <= set(published)


def test_an_ellipse_is_drawn_through_its_box() -> None:
    mark = Mark("m", "p", MarkKind.ELLIPSE, ((100, 100), (300, 200)))
    points, closed = outline(mark, Ground(1.0))
    assert closed
    for x, y in points:
        assert ((x - 200) / 100) ** 2 + ((y - 150) / 50) ** 2 == pytest.approx(1)
