"""Walks as a receiver logged them: GPX 1.0 and 1.1 (topografix.com/GPX/1/1), read without trust."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import PurePath
from typing import BinaryIO
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import iterparse  # type: ignore[import-untyped]

from catalog_gui.domain.foray import Track
from catalog_gui.domain.problem import BadInput, PictureRefused
from catalog_gui.geo.position import Position
from catalog_gui.photos.opening import readable

_MOST_BYTES = 200 << 20
MOST_POINTS = 300_000
"""More than three days of a point a second."""
_MOST_ELEMENTS = 10 * MOST_POINTS


def read_tracks(path: str) -> tuple[Track, ...]:
    """The tracks of one GPX file with ids left ''; times in UTC seconds, each later than the one before.

    Points without a time or a usable position are left out, as nothing can be said from them; points out
    of order are sorted. A time without a zone is UTC, as the format says. Gaps stay gaps: segments of one
    track are put together and the time between them tells. Raises BadInput naming the file and the reason.
    """
    try:
        with readable(path) as (file, info):
            if info.st_size > _MOST_BYTES:
                raise BadInput(
                    "The file is too large for a track of a walk (200 MB at most). Cut it into days and take in "
                    "the day of the foray.",
                    path=path,
                )
            tracks = _tracks(file, path)
    except PictureRefused as refusal:
        raise BadInput(refusal.reason.replace("picture", "track"), path=path) from refusal
    if not tracks:
        raise BadInput(
            "No point of the track has both a time and a position, so it can't place pictures. Take in the file "
            "that the receiver itself wrote.",
            path=path,
        )
    return tracks


def _tracks(file: BinaryIO, path: str) -> tuple[Track, ...]:
    """Read element by element, letting go of each: a file of any size needs the memory of its points alone."""
    try:
        return _walked(file, path)
    except DefusedXmlException as error:
        raise BadInput(
            "The file declares things that no receiver writes (entities), so it was not opened. Take in the file "
            "that the receiver itself wrote.",
            path=path,
        ) from error
    except ParseError as error:
        line = error.position[0]
        raise BadInput(
            f"The file is damaged or no GPX: it can't be read from line {line} on. Copy it from the receiver "
            "again.",
            path=path,
        ) from error
    except (ValueError, LookupError, OSError, MemoryError, RecursionError) as error:
        raise BadInput(
            "The file can't be read as GPX. Copy it from the receiver again.", path=path
        ) from error


def _walked(file: BinaryIO, path: str) -> tuple[Track, ...]:
    stem = PurePath(path.replace("\\", "/")).stem
    above: list[Element] = []
    tracks: list[Track] = []
    points: dict[float, tuple[float, float]] = {}
    name, walks, elements = "", 0, 0
    for event, element in iterparse(file, events=("start", "end"), forbid_dtd=True):
        what = _bare(element)
        if event == "start":
            if not above and what != "gpx":
                raise BadInput(
                    "This is no GPX file: it begins with something else. Take in the file that the receiver "
                    "itself wrote.",
                    path=path,
                )
            above.append(element)
            elements += 1
            if elements > _MOST_ELEMENTS or len(points) > MOST_POINTS:
                raise BadInput(
                    f"The file holds more than {MOST_POINTS:,} points, which no walk has. Cut it into days and "
                    "take in the day of the foray.",
                    path=path,
                )
            continue
        above.pop()
        if len(above) == 1 and what == "trk":
            walks += 1
            if points:
                tracks.append(_track(points, name or stem))
            points, name = {}, ""
        elif len(above) == 2 and what == "name" and _bare(above[1]) == "trk":
            name = name or " ".join((element.text or "").split())
        elif what == "trkpt" and len(above) > 1 and _bare(above[1]) == "trk":
            points.update(_point(element))
        if above and what != "time":
            above[-1].remove(element)
    if not walks:
        raise BadInput(
            "The file holds no track, only single points or a planned route. Take in the track that the receiver "
            "logged.",
            path=path,
        )
    return tuple(tracks)


def _track(points: dict[float, tuple[float, float]], name: str) -> Track:
    in_order = sorted(points.items())
    return Track(
        id="",
        foray_id="",
        name=name,
        times=tuple(time for time, _ in in_order),
        latitudes=tuple(place[0] for _, place in in_order),
        longitudes=tuple(place[1] for _, place in in_order),
    )


def _point(point: Element) -> Iterator[tuple[float, tuple[float, float]]]:
    written = next((part.text or "" for part in point if _bare(part) == "time"), "")
    time = _seconds(written.strip())
    try:
        position = Position(float(point.get("lat", "")), float(point.get("lon", "")))
    except ValueError:
        return
    if time is not None and not position.is_null_island:
        yield time, (position.latitude, position.longitude)


def _seconds(text: str) -> float | None:
    if "T" not in text and " " not in text:
        return None
    try:
        moment = datetime.fromisoformat(text)
        seconds = (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()
    except (ValueError, OverflowError):
        return None
    return seconds if math.isfinite(seconds) else None


def _bare(element: Element) -> str:
    """The name of an element without its namespace, which differs between versions."""
    return element.tag.rsplit("}", 1)[-1]
