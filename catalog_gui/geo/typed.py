"""Reading a place as the user types it, in whatever notation."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

from catalog_gui.geo import mgrs
from catalog_gui.geo.angles import read_pair
from catalog_gui.geo.britishgrid import BRITISH_GRID
from catalog_gui.geo.gridsquare import GridSquare
from catalog_gui.geo.irishgrid import IRISH_GRID, ITM_SRS, from_itm
from catalog_gui.geo.iso6709 import read_iso6709
from catalog_gui.geo.notation import Notation
from catalog_gui.geo.position import CoordinateError, Position
from catalog_gui.geo.uncertainty import combined_m, coordinate_precision_m
from catalog_gui.geo.utm import UtmPoint, band_of, from_utm

WGS84_SRS = "EPSG:4326"

_METRES = r"(\d+(?:\.\d+)?)"
_BY_PARTS = (Notation.DECIMAL_DEGREES, Notation.DEGREES_MINUTES, Notation.DEGREES_MINUTES_SECONDS)
_STATED = re.compile(r"\s*(?:±|\+/-|\+-)\s*(\d+(?:[.,]\d+)?)\s*(KM|M)?\s*$", re.IGNORECASE)
_ISO_LIKE = re.compile(r".*/|[+-]\d+(?:\.\d+)?[+-]\d.*")
_METRIC = re.compile(
    rf"(OSGB(?:36)?|BNG|ITM|IG|TM75)[\s:,]*E?\s*{_METRES}\s*M?E?[\s,;]+N?\s*{_METRES}\s*M?N?"
)
_UTM = re.compile(
    rf"(?:UTM\s*)?(?:ZONE\s*)?(\d{{1,2}})\s*(NORTH|SOUTH|[A-Z])[\s,]+E?\s*(\d{{5,6}}(?:\.\d+)?)\s*M?E?"
    rf"[\s,;]+N?\s*{_METRES}\s*M?N?"
)
_MGRS = re.compile(r"\d{1,2}\s*[A-Z]\s*[A-Z]\s*[A-Z]\s*[\d\s]*")
_BRITISH = re.compile(r"[A-Z]{2}(?:\s*[\d\s]*|\s*\d\s*\d\s*[A-Z])")
_IRISH = re.compile(r"[A-Z]\s*(?:\d[\d\s]+|\d\d[A-Z])")
_EXAMPLES = "Examples: 50.9318, -1.4500 · 50°55′54″N 1°27′00″W · SU387148 · O159346 · 30UXB006363."


@dataclass(frozen=True, slots=True)
class TypedPlace:
    """What was typed and what it means.

    `uncertainty_m` is only what the writing itself leaves open (and the datum shift of a grid): how
    well the writer knew the place is not in it unless the user wrote it, as in "SU387148 ± 200 m".
    `verbatim` is the text as typed, `srs` the EPSG code of the system it is in, `square` the square
    that a grid reference names, `height_m` a height that an ISO 6709 string carried.
    """

    position: Position
    uncertainty_m: int
    notation: Notation
    verbatim: str
    srs: str
    square: GridSquare | None = None
    height_m: float | None = None


def read_place(text: str, *, datum_recorded: bool = True) -> TypedPlace:
    """Read decimal degrees, degrees and minutes (and seconds), ISO 6709, British and Irish grid
    references, British, Irish and ITM metres, UTM, or MGRS.

    Without a recorded datum, degrees and UTM grow by its worst case. Raises `CoordinateError`.
    """
    verbatim = text.strip()
    if not verbatim:
        raise CoordinateError(f"No place was typed. {_EXAMPLES}")
    stated = _STATED.search(verbatim)
    body = verbatim[: stated.start()] if stated else verbatim
    place = replace(_read(body, datum_recorded=datum_recorded), verbatim=verbatim)
    if stated is None:
        return place
    stated_m = float(stated[1].replace(",", ".")) * (1000.0 if (stated[2] or "").upper() == "KM" else 1.0)
    return replace(place, uncertainty_m=max(place.uncertainty_m, combined_m(stated_m)))


def _read(text: str, *, datum_recorded: bool) -> TypedPlace:
    upper = text.upper()
    if _ISO_LIKE.fullmatch(upper):
        return _iso(text, datum_recorded=datum_recorded)
    if match := _METRIC.fullmatch(upper):
        return _metres(match, text)
    if match := _UTM.fullmatch(upper):
        return _utm(match, text, datum_recorded=datum_recorded)
    for pattern, read, notation, srs in (
        (_MGRS, mgrs.square_of, Notation.MGRS, WGS84_SRS),
        (_BRITISH, BRITISH_GRID.square_of, Notation.BRITISH, BRITISH_GRID.srs),
        (_IRISH, IRISH_GRID.square_of, Notation.IRISH, IRISH_GRID.srs),
    ):
        if pattern.fullmatch(upper):
            square = read(text)
            return TypedPlace(square.centre, square.uncertainty_m, notation, text, srs, square)
    if not re.search(r"\d", text):
        raise CoordinateError(f"'{text}' is not a place this program can read. {_EXAMPLES}")
    latitude, longitude = read_pair(text)
    step = max(latitude.precision_deg, longitude.precision_deg)
    return _degrees(
        Position(latitude.degrees, longitude.degrees),
        step,
        _BY_PARTS[max(latitude.parts, longitude.parts) - 1],
        text,
        datum_recorded=datum_recorded,
    )


def _degrees(
    position: Position, step_deg: float, notation: Notation, text: str, *, datum_recorded: bool
) -> TypedPlace:
    open_m = combined_m(coordinate_precision_m(position.latitude, step_deg), datum_recorded=datum_recorded)
    return TypedPlace(position, open_m, notation, text, WGS84_SRS)


def _iso(text: str, *, datum_recorded: bool) -> TypedPlace:
    point = read_iso6709(text)
    if point.crs not in (None, "WGS_84"):
        raise CoordinateError(f"'{text}' names the reference system {point.crs}; only WGS_84 can be read.")
    place = _degrees(
        point.position,
        point.precision_deg,
        Notation.ISO_6709,
        text,
        datum_recorded=datum_recorded or point.crs is not None,
    )
    return replace(place, height_m=point.height_m)


def _metres(match: re.Match[str], text: str) -> TypedPlace:
    easting, northing, open_m = _point(match[2], match[3])
    if match[1] == "ITM":
        return TypedPlace(from_itm(easting, northing), combined_m(open_m), Notation.ITM, text, ITM_SRS)
    irish = match[1] in ("IG", "TM75")
    grid, notation = (IRISH_GRID, Notation.IRISH) if irish else (BRITISH_GRID, Notation.BRITISH)
    return TypedPlace(
        grid.position_at(easting, northing), combined_m(open_m, grid.shift_m), notation, text, grid.srs
    )


def _utm(match: re.Match[str], text: str, *, datum_recorded: bool) -> TypedPlace:
    zone, band = int(match[1]), match[2]
    easting, northing, open_m = _point(match[3], match[4])
    if len(band) > 1:
        # Only the half of the globe is told: find the band, then check as if it had been typed.
        half = UtmPoint(zone, "N" if band == "NORTH" else "M", easting, northing)
        band = band_of(half.position().latitude)
    position = from_utm(zone, band, easting, northing)
    srs = UtmPoint(zone, band, easting, northing).srs
    return TypedPlace(position, combined_m(open_m, datum_recorded=datum_recorded), Notation.UTM, text, srs)


def _point(easting: str, northing: str) -> tuple[float, float, float]:
    """The metres, and the diagonal of the step to which they are written: cut off or rounded, who knows."""
    decimals = min(len(text.partition(".")[2]) for text in (easting, northing))
    return float(easting), float(northing), math.sqrt(2.0) * 10.0**-decimals
