"""Contrast of every pair of colours that carries meaning, after WCAG 2.2 (1.4.3 and 1.4.11)."""

from __future__ import annotations

import pytest

from catalog_gui.views.theme import DARK, LIGHT, Tones


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 glossary."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_itself() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)  # WCAG 2.2: the range is 1 to 21
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)  # the well-known limit grey


@pytest.mark.parametrize("tones", [LIGHT, DARK], ids=["light", "dark"])
def test_text_reads_on_its_ground(tones: Tones) -> None:
    for text in (tones.ink, tones.faded, tones.bark, tones.rust):
        for ground in (tones.ground, tones.sheet, tones.sunken):
            assert contrast(text, ground) >= 4.5, (text, ground)
    pairs = [
        (tones.moss_text, tones.moss),
        (tones.ink, tones.chosen),
        (tones.ink, tones.ochre_soft),
        (tones.ochre, tones.sheet),
        (tones.ochre, tones.sunken),
        (tones.danger_text, tones.danger),
        (tones.warning_text, tones.warning),
        (tones.caution_text, tones.caution),
    ]
    for text, ground in pairs:
        assert contrast(text, ground) >= 4.5, (text, ground)


@pytest.mark.parametrize("tones", [LIGHT, DARK], ids=["light", "dark"])
def test_edges_of_controls_can_be_seen(tones: Tones) -> None:
    for edge in (tones.edge, tones.moss):
        for ground in (tones.ground, tones.sheet, tones.sunken):
            assert contrast(edge, ground) >= 3.0, (edge, ground)
