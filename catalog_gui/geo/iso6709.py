"""Position strings of ISO 6709, such as +50.9318-001.4500/ or +505554-0012700/."""

from __future__ import annotations

import re
from dataclasses import dataclass

from catalog_gui.geo.angles import degrees_of
from catalog_gui.geo.position import CoordinateError, Position

_STRING = re.compile(
    r"(?P<lat_sign>[+-])(?P<lat>\d{2}|\d{4}|\d{6})(?P<lat_fraction>\.\d+)?"
    r"(?P<lon_sign>[+-])(?P<lon>\d{3}|\d{5}|\d{7})(?P<lon_fraction>\.\d+)?"
    r"(?P<height>[+-]\d+(?:\.\d+)?)?(?:CRS(?P<crs>\S+))?/"
)


@dataclass(frozen=True, slots=True)
class IsoPoint:
    """What a string says: the place, the coarser of the two steps in degrees, a height in metres.

    `parts` is 1 for degrees, 2 with minutes, 3 with seconds.
    """

    position: Position
    precision_deg: float
    parts: int
    height_m: float | None
    crs: str | None


def read_iso6709(text: str) -> IsoPoint:
    """Read a whole string; the number of digits before the point tells degrees, minutes, seconds.

    Nothing is repaired: a missing sign, a short longitude, two different units or a missing slash at
    the end raise `CoordinateError`.
    """
    match = _STRING.fullmatch(text.strip())
    if match is None:
        raise CoordinateError(
            f"'{text.strip()}' is not an ISO 6709 string: it needs signs, two digits for degrees of "
            "latitude, three for longitude, and a slash at the end, such as +50.9318-001.4500/."
        )
    if len(match["lat"]) + 1 != len(match["lon"]):
        raise CoordinateError(f"'{text.strip()}' writes latitude and longitude in different units.")
    latitude, lat_step = _degrees(match["lat"], match["lat_fraction"], 2, text)
    longitude, lon_step = _degrees(match["lon"], match["lon_fraction"], 3, text)
    return IsoPoint(
        Position(
            -latitude if match["lat_sign"] == "-" else latitude,
            -longitude if match["lon_sign"] == "-" else longitude,
        ),
        max(lat_step, lon_step),
        len(match["lat"]) // 2,
        float(match["height"]) if match["height"] else None,
        match["crs"],
    )


def write_iso6709(position: Position, decimals: int) -> str:
    """The string in decimal degrees."""
    width = decimals + 1 if decimals else 0
    return f"{position.latitude:+z0{3 + width}.{decimals}f}{position.longitude:+z0{4 + width}.{decimals}f}/"


def _degrees(digits: str, fraction: str | None, width: int, text: str) -> tuple[float, float]:
    pairs = digits[width:]
    parts = [digits[:width], *(pairs[at : at + 2] for at in range(0, len(pairs), 2))]
    parts[-1] += fraction or ""
    return degrees_of(parts, text.strip())
