"""Walks as a receiver logged them: GPX 1.0 and 1.1 (topografix.com/GPX/1/1), read without trust."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import PurePath
from typing import BinaryIO
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import parse  # type: ignore[import-untyped]

from catalog_gui.domain.foray import Track
from catalog_gui.domain.problem import BadInput, PictureRefused
from catalog_gui.geo.position import Position
from catalog_gui.photos.opening import readable

_MOST_BYTES = 200 << 20


def read_tracks(path: str) -> tuple[Track, ...]:
    """The tracks of one GPX file with ids left ''; times in UTC seconds, each later than the one before.

    Points without a time or a usable position are left out, as nothing can be said from them; points out
    of order are sorted. A time without a zone is UTC, as the format says. Gaps stay gaps: segments of one
    track are put together and the time between them tells. Raises BadInput naming the file and the reason.
    """
    try:
        with readable(path) as (file, info):
            if info.st_size > _MOST_BYTES:
                raise BadInput("The file is too large for a track of a walk.", path=path)
            root = _root(file, path)
    except PictureRefused as refusal:
        raise BadInput(refusal.reason.replace("picture", "track"), path=path) from refusal
    if _bare(root) != "gpx":
        raise BadInput("This is no GPX file: it begins with something else.", path=path)
    walks = [element for element in root if _bare(element) == "trk"]
    if not walks:
        raise BadInput("The file holds no track, only single points or a planned route.", path=path)
    stem = PurePath(path.replace("\\", "/")).stem
    tracks = [track for walk in walks if (track := _track(walk, stem)) is not None]
    if not tracks:
        raise BadInput(
            "No point of the track has both a time and a position, so it can't place pictures.", path=path
        )
    return tuple(tracks)


def _root(file: BinaryIO, path: str) -> Element:
    try:
        root: Element = parse(file, forbid_dtd=True).getroot()
    except DefusedXmlException as error:
        raise BadInput(
            "The file declares things that no receiver writes (entities); it was not opened.", path=path
        ) from error
    except ParseError as error:
        line = error.position[0]
        raise BadInput(
            f"The file is damaged or no GPX: it can't be read from line {line} on.", path=path
        ) from error
    except (ValueError, LookupError, OSError, MemoryError, RecursionError) as error:
        raise BadInput("The file can't be read as GPX.", path=path) from error
    return root


def _track(walk: Element, stem: str) -> Track | None:
    points = sorted({time: (latitude, longitude) for time, latitude, longitude in _points(walk)}.items())
    if not points:
        return None
    name = next((" ".join((part.text or "").split()) for part in walk if _bare(part) == "name"), "")
    return Track(
        id="",
        foray_id="",
        name=name or stem,
        times=tuple(time for time, _ in points),
        latitudes=tuple(place[0] for _, place in points),
        longitudes=tuple(place[1] for _, place in points),
    )


def _points(walk: Element) -> Iterator[tuple[float, float, float]]:
    for point in walk.iter():
        if _bare(point) != "trkpt":
            continue
        written = next((part.text or "" for part in point if _bare(part) == "time"), "")
        time = _seconds(written.strip())
        try:
            position = Position(float(point.get("lat", "")), float(point.get("lon", "")))
        except ValueError:
            continue
        if time is not None and not position.is_null_island:
            yield time, position.latitude, position.longitude


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
