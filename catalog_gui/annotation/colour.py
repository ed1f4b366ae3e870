"""Colour of a patch: CIELAB, correction after a grey card, CIEDE2000 and the nearest plain word.

A picture's colour without a grey card is only a hint, and says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog_gui.annotation.colour_names import CSS_NAMES, PLAIN_WORDS
from catalog_gui.domain.problem import BadInput

Rgb = tuple[float, float, float]  # sRGB, 0 to 255
Lab = tuple[float, float, float]  # CIELAB, D65, 2 degree observer

GREY_CARD = 0.18  # reflectance of the usual photographic grey card (common practice)
NO_CARD = "No grey card on this picture: the colour is only a hint."

# IEC 61966-2-1, linear sRGB to XYZ. The white is the sum of each row, so that greys come out exactly neutral.
_TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_WHITE = tuple(sum(row) for row in _TO_XYZ)


def from_hex(text: str) -> Rgb:
    """sRGB from '#rrggbb'. Raises BadInput."""
    digits = text.removeprefix("#")
    if len(digits) != 6:
        raise BadInput(f"'{text}' is not a colour; write it like '#8b4513'.")
    try:
        number = int(digits, 16)
    except ValueError:
        raise BadInput(f"'{text}' is not a colour; write it like '#8b4513'.") from None
    return float(number >> 16), float(number >> 8 & 255), float(number & 255)


def to_hex(rgb: Rgb) -> str:
    """'#rrggbb', out-of-range channels clipped."""
    return "#" + "".join(f"{min(255, max(0, math.floor(channel + 0.5))):02x}" for channel in rgb)


def _linear(channel: float) -> float:
    c = channel / 255
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4


def _encoded(light: float) -> float:
    light = min(1.0, max(0.0, light))
    return 255 * (12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055)


def lab(rgb: Rgb) -> Lab:
    """CIELAB of an sRGB colour (D65)."""
    r, g, b = (_linear(c) for c in rgb)

    def f(row: tuple[float, float, float], white: float) -> float:
        t = (row[0] * r + row[1] * g + row[2] * b) / white
        return math.cbrt(t) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116

    x, y, z = (f(row, white) for row, white in zip(_TO_XYZ, _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def ciede2000(first: Lab, second: Lab) -> float:
    """Colour difference after CIEDE2000, all weights 1.

    Sharma, Wu & Dalal 2005, Color Research & Application 30:21-30. About 1 is just noticeable side by side.
    """
    l1, a1, b1 = first
    l2, a2, b2 = second
    mean_chroma = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = 0.5 * (1 - math.sqrt(mean_chroma**7 / (mean_chroma**7 + 25.0**7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = math.hypot(a1, b1), math.hypot(a2, b2)
    h1, h2 = (math.degrees(math.atan2(b, a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    turn, mean_h = 0.0, h1 + h2
    if c1 * c2:
        turn = h2 - h1
        mean_h = (h1 + h2) / 2
        if abs(turn) > 180:
            turn += 360 if turn < 0 else -360
            mean_h += 180 if h1 + h2 < 360 else -180
    dl, dc = l2 - l1, c2 - c1
    dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn) / 2)
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * math.cos(math.radians(mean_h - 30))
        + 0.24 * math.cos(math.radians(2 * mean_h))
        + 0.32 * math.cos(math.radians(3 * mean_h + 6))
        - 0.20 * math.cos(math.radians(4 * mean_h - 63))
    )
    sl = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)
    sc, sh = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t
    turned = 30 * math.exp(-(((mean_h - 275) / 25) ** 2))
    rt = -2 * math.sqrt(mean_c**7 / (mean_c**7 + 25.0**7)) * math.sin(math.radians(2 * turned))
    return math.sqrt(max(0.0, (dl / sl) ** 2 + (dc / sc) ** 2 + (dh / sh) ** 2 + rt * (dc / sc) * (dh / sh)))


def nearest(colour: Lab, palette: Mapping[str, str]) -> tuple[str, float]:
    """Name and CIEDE2000 distance of the nearest colour of a palette {name: '#rrggbb'}.

    Ties go to the earlier name. Raises BadInput for an empty palette.
    """
    if not palette:
        raise BadInput("There is no list of colours to compare with.")
    distances = [
        (ciede2000(colour, lab(from_hex(value))), i, name) for i, (name, value) in enumerate(palette.items())
    ]
    distance, _, name = min(distances)
    return name, distance


def mean_colour(pixels: Iterable[Rgb]) -> Rgb:
    """Mean of sRGB pixels, taken in linear light. Raises BadInput for none."""
    light = [[_linear(c) for c in pixel] for pixel in pixels]
    if not light:
        raise BadInput("This patch holds no pixel; draw it inside the picture.")
    r, g, b = (_encoded(math.fsum(channel) / len(light)) for channel in zip(*light, strict=True))
    return r, g, b


def corrected(patch: Rgb, card: Rgb, reflectance: float = GREY_CARD) -> Rgb:
    """The patch as it would look if the card had come out neutral and as bright as it is.

    Each channel is scaled in linear light. Raises BadInput for a card that is too dark or burnt out.
    """
    if min(card) < 10:
        raise BadInput("The grey card is too dark on this picture to correct by.")
    if max(card) >= 254:
        raise BadInput("The grey card is burnt out on this picture; it cannot correct anything.")
    r, g, b = (
        _encoded(_linear(seen) * reflectance / _linear(grey)) for seen, grey in zip(patch, card, strict=True)
    )
    return r, g, b


@dataclass(frozen=True, slots=True)
class PatchColour:
    """Colour of a patch. `word` is the nearest plain word, `css_name` the nearest name of the W3C list.

    `rgb` is corrected if a card was given; `warnings` are whole sentences.
    """

    rgb: Rgb
    lab: Lab
    word: str
    word_distance: float
    css_name: str
    warnings: tuple[str, ...]

    @property
    def hex(self) -> str:
        """'#rrggbb'."""
        return to_hex(self.rgb)

    def text(self) -> str:
        """'brown (L* 37.5, a* 26.4, b* 41.0; ΔE00 to the word 3.1)'."""
        lightness, a, b = (f"{round(v, 1) + 0.0:.1f}".replace("-", "−") for v in self.lab)
        return f"{self.word} (L* {lightness}, a* {a}, b* {b}; ΔE00 to the word {self.word_distance:.1f})"


def patch_colour(patch: Rgb, card: Rgb | None = None, *, reflectance: float = GREY_CARD) -> PatchColour:
    """What colour a patch has, corrected by the grey card on the same picture if there is one.

    Raises BadInput for channels outside 0 to 255 and for an unusable card.
    """
    for rgb in (patch, card or patch):
        if not all(0 <= channel <= 255 for channel in rgb):
            raise BadInput("A colour has three channels from 0 to 255.")
    warnings = []
    if card is None:
        warnings.append(NO_CARD)
    if max(patch) >= 254:
        warnings.append("The patch is burnt out; its colour is lost.")
    elif max(patch) < 12:
        warnings.append("The patch is too dark for a colour.")
    seen = corrected(patch, card, reflectance) if card is not None else patch
    if card is not None and max(seen) > 254.5:
        warnings.append("Corrected by the card, the patch is brighter than white; was the card in shade?")
    value = lab(seen)
    word, distance = nearest(value, PLAIN_WORDS)
    return PatchColour(seen, value, word, distance, nearest(value, CSS_NAMES)[0], tuple(warnings))
