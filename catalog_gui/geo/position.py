"""A place on the earth as latitude and longitude, and the refusal that goes with bad ones."""

from __future__ import annotations

import math
from dataclasses import dataclass

# A receiver without a fix writes 0, 0; some write the last digits of a rounded fraction.
_NULL_ISLAND_DEG = 1e-4


class CoordinateError(ValueError):
    """Coordinates that cannot be used; the message is a sentence fit for the user."""


@dataclass(frozen=True, slots=True)
class Position:
    """Latitude and longitude in decimal degrees on WGS 84.

    Latitude lies in [-90, 90], north positive; longitude in [-180, 180], east positive. A number
    outside, or one that is not finite, raises `CoordinateError` naming which of the two it is.
    """

    latitude: float
    longitude: float

    def __post_init__(self) -> None:
        if not -90.0 <= self.latitude <= 90.0:
            raise CoordinateError(_out_of_range("Latitude", self.latitude, 90))
        if not -180.0 <= self.longitude <= 180.0:
            raise CoordinateError(_out_of_range("Longitude", self.longitude, 180))

    @property
    def is_null_island(self) -> bool:
        """Whether this is 0, 0 in the Gulf of Guinea, what receivers write when they know nothing."""
        return abs(self.latitude) < _NULL_ISLAND_DEG and abs(self.longitude) < _NULL_ISLAND_DEG


def _out_of_range(which: str, value: float, limit: int) -> str:
    if not math.isfinite(value):
        return f"{which} is not a number."
    return f"{which} {value:g} is out of range: it must lie between -{limit} and {limit} degrees."
