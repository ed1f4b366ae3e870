"""Things of known size that lie beside a find: coins and cards.

Coins: Council Regulation (EU) 729/2014, annex (euro); figures of the Royal Mint as repeated by others (UK).
A 20p and a 50p have seven curved sides: every *width* is the same, but the circle through the corners is
larger by 1 / cos(pi/14). A card is ISO/IEC 7810 ID-1, 85.60 x 53.98 mm; its limits for new cards (85.47 to
85.72, 53.92 to 54.03) are from memory. 0.03 mm standard uncertainty of a coin is our allowance for wear.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from catalog_gui.domain.problem import BadInput

_WEAR = 0.03
_CARD = 0.125 / math.sqrt(3)  # half the limits, taken as a rectangle (GUM 4.3.7)


@dataclass(frozen=True, slots=True)
class KnownScale:
    """Something to lay beside a find. `length_mm` holds between the places that `click` names."""

    id: str
    name: str
    length_mm: float
    u_mm: float
    click: str
    source: str


_ACROSS = "opposite edges, through the middle"
_WIDTH = "the middle of a curved side and the corner opposite"
_EU = "Council Regulation (EU) 729/2014, annex"
_UK = "Royal Mint figures, as repeated by others"
_ID1 = "ISO/IEC 7810, ID-1"


def _corner_circle(width: float) -> float:
    """Diameter of the circle through the corners of a seven-sided coin of constant width."""
    return width / math.cos(math.pi / 14)


KNOWN_SCALES: tuple[KnownScale, ...] = (
    KnownScale("eur-001", "1 cent", 16.25, _WEAR, _ACROSS, _EU),
    KnownScale("eur-002", "2 cent", 18.75, _WEAR, _ACROSS, _EU),
    KnownScale("eur-005", "5 cent", 21.25, _WEAR, _ACROSS, _EU),
    KnownScale("eur-010", "10 cent", 19.75, _WEAR, _ACROSS, _EU),
    KnownScale("eur-020", "20 cent", 22.25, _WEAR, "opposite edges between the notches", _EU),
    KnownScale("eur-050", "50 cent", 24.25, _WEAR, _ACROSS, _EU),
    KnownScale("eur-100", "1 euro", 23.25, _WEAR, _ACROSS, _EU),
    KnownScale("eur-200", "2 euro", 25.75, _WEAR, _ACROSS, _EU),
    KnownScale("gbp-001", "1p", 20.3, _WEAR, _ACROSS, _UK),
    KnownScale("gbp-002", "2p", 25.9, _WEAR, _ACROSS, _UK),
    KnownScale("gbp-005", "5p", 18.0, _WEAR, _ACROSS, _UK),
    KnownScale("gbp-010", "10p", 24.5, _WEAR, _ACROSS, _UK),
    KnownScale("gbp-020", "20p, width", 21.4, _WEAR, _WIDTH, _UK),
    KnownScale(
        "gbp-020-circle", "20p, circle through the corners", _corner_circle(21.4), _WEAR, "a circle", _UK
    ),
    KnownScale("gbp-050", "50p, width", 27.3, _WEAR, _WIDTH, _UK),
    KnownScale(
        "gbp-050-circle", "50p, circle through the corners", _corner_circle(27.3), _WEAR, "a circle", _UK
    ),
    KnownScale("gbp-100", "£1, corner to corner", 23.43, _WEAR, "two opposite corners", _UK),
    KnownScale("gbp-200", "£2", 28.4, _WEAR, _ACROSS, _UK),
    KnownScale("card-long", "card, long side", 85.60, _CARD, "both short edges, at mid height", _ID1),
    KnownScale("card-short", "card, short side", 53.98, _CARD, "both long edges, at mid length", _ID1),
)
_BY_ID = {scale.id: scale for scale in KNOWN_SCALES}


def known_scale(scale_id: str) -> KnownScale:
    """The known scale of that id. Raises BadInput for any other."""
    if scale_id not in _BY_ID:
        raise BadInput(f"'{scale_id}' is not a known scale.")
    return _BY_ID[scale_id]
