"""Universal Transverse Mercator: zones with their exceptions, bands, eastings and northings."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.projections import utm_projection

BANDS = "CDEFGHJKLMNPQRSTUVWX"  # 8 degrees each from 80 S; X reaches 12 degrees, to 84 N
SOUTH_LIMIT, NORTH_LIMIT = -80.0, 84.0

# Svalbard (band X) is spared zones 32, 34 and 36: western limits of what remains there.
_SVALBARD = ((0.0, 31), (9.0, 33), (21.0, 35), (33.0, 37))
_WIDE_ZONES = {"V": (32,), "X": (31, 33, 35, 37)}
_LEFT_OUT = {"X": (32, 34, 36)}

# No zone reaches farther than this from its central meridian's 500 km, and coordinates in the
# neighbouring zone's numbers are usual near its edge.
_EAST = (100_000.0, 900_000.0)
_NORTH_M = 10_000_000.0

_EQUATOR_DEG = 1e-11


@dataclass(frozen=True, slots=True)
class UtmPoint:
    """A point in a zone; `easting` and `northing` in metres, 10 000 km added south of the equator."""

    zone: int
    band: str
    easting: float
    northing: float

    @property
    def south(self) -> bool:
        """Whether the northing counts from the South Pole's side."""
        return self.band < "N"

    @property
    def srs(self) -> str:
        """The EPSG code of the zone."""
        return f"EPSG:{(32700 if self.south else 32600) + self.zone}"

    def position(self) -> Position:
        """The position of this point."""
        return utm_projection(self.zone, south=self.south).from_plane(self.easting, self.northing)

    def __str__(self) -> str:
        """Whole metres, cut off: 31U 448251 5411934."""
        return f"{self.zone:02d}{self.band} {int(self.easting + 1e-6):06d} {int(self.northing + 1e-6):07d}"


def to_utm(position: Position) -> UtmPoint:
    """The point in the zone that the rules give `position`; raises beyond 80 S and 84 N."""
    zone, band = zone_of(position), band_of(position.latitude)
    easting, northing = utm_projection(zone, south=band < "N").to_plane(position)
    if abs(position.latitude) < _EQUATOR_DEG:  # either side by less than a micrometre: the northern half
        return UtmPoint(zone, "N", utm_projection(zone, south=False).to_plane(position)[0], 0.0)
    return UtmPoint(zone, band, easting, northing)


def from_utm(zone: int, band: str, easting: float, northing: float) -> Position:
    """The position of typed coordinates; raises when zone, band and metres do not go together."""
    check_zone(zone, band)
    if not _EAST[0] <= easting < _EAST[1]:
        raise CoordinateError(f"Easting {easting:.0f} is out of range: UTM eastings have six figures.")
    if not 0.0 <= northing <= _NORTH_M:
        raise CoordinateError(f"Northing {northing:.0f} is out of range: it must lie between 0 and 10000000.")
    position = UtmPoint(zone, band, easting, northing).position()
    low, high = band_limits(band)
    if not low - 0.001 <= position.latitude <= high + 0.001:  # a cut-off metre may lie across the line
        half = {"N": "northern", "S": "southern"}.get(band)
        hint = f" If {band} means the {half} half, write '{zone} {half[:5]}'." if half else ""
        raise CoordinateError(f"Northing {northing:.0f} does not lie in band {band}.{hint}")
    return position


def zone_of(position: Position) -> int:
    """Zone 1 to 60, with the exceptions for Norway and Svalbard; raises beyond 80 S and 84 N."""
    latitude, longitude = position.latitude, position.longitude
    band = band_of(latitude)
    if band == "V" and 3.0 <= longitude < 12.0:
        return 32
    if band == "X" and 0.0 <= longitude < 42.0:
        return [zone for west, zone in _SVALBARD if west <= longitude][-1]
    return int((longitude + 180.0) // 6.0) % 60 + 1


def band_of(latitude: float) -> str:
    """The letter of the 8-degree band; raises beyond 80 S and 84 N."""
    if not SOUTH_LIMIT <= latitude <= NORTH_LIMIT:
        raise CoordinateError("UTM ends at 80 degrees south and 84 degrees north; this place lies beyond.")
    return BANDS[min(int((latitude - SOUTH_LIMIT) // 8.0), len(BANDS) - 1)]


def band_limits(band: str) -> tuple[float, float]:
    """Southern and northern latitude of a band."""
    low = SOUTH_LIMIT + 8.0 * BANDS.index(band)
    return low, NORTH_LIMIT if band == "X" else low + 8.0


def check_zone(zone: int, band: str) -> None:
    """Raise unless there is such a zone in such a band."""
    if not 1 <= zone <= 60:
        raise CoordinateError(f"There is no UTM zone {zone}: they run from 1 to 60.")
    if len(band) != 1 or band not in BANDS:
        raise CoordinateError(f"There is no UTM band '{band}': they run from C to X without I and O.")
    if zone in _LEFT_OUT.get(band, ()):
        raise CoordinateError(f"There is no zone {zone}{band}: Svalbard has zones 31, 33, 35 and 37.")


def half_width_deg(zone: int, band: str) -> float:
    """How far a zone reaches from its central meridian at most, in degrees of longitude."""
    return 6.0 if zone in _WIDE_ZONES.get(band, ()) else 3.0
