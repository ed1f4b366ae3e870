"""Small invented walks for the tests of grouping: pictures of which every detail is known."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import cos, radians

from catalog_gui.domain.foray import Track
from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.geo.position import Position

PHONE = Camera("Fernhill", "Pocket 1", "")
CAMERA = Camera("Oakley Dell", "Lumen 1", "1001")
START = datetime(2024, 9, 21, 8, tzinfo=UTC)
METRES_PER_DEGREE = 111_194.93
WOOD = (51.0, 10.0)
TIMES_OF_A_FIND = (0, 8, 15, 24, 31)  # s


def spot(east: float, north: float) -> Position:
    """A position metres east and north of the middle of the wood."""
    return Position(
        WOOD[0] + north / METRES_PER_DEGREE, WOOD[1] + east / (METRES_PER_DEGREE * cos(radians(WOOD[0])))
    )


def photo(
    name: str,
    seconds: float,
    *,
    camera: Camera = PHONE,
    offset_h: float | None = 2,
    local_h: float = 2,
    at: tuple[float, float] | None = None,
    satellites: bool = False,
    counter: int | None = None,
    folder: str = "card",
    error_m: float | None = 6.0,
) -> Photo:
    """One picture `seconds` after the start; its camera stands `local_h` hours ahead of UTC and says `offset_h`."""
    true = START + timedelta(seconds=seconds)
    local = (true + timedelta(hours=local_h)).replace(tzinfo=None)
    fix = None
    if at is not None:
        fix = Fix(
            spot(*at), error_m=error_m, satellite_time=true.replace(microsecond=0) if satellites else None
        )
    return Photo(
        id=name,
        path=f"{folder}/{name}.jpg",
        camera=camera,
        written=WrittenTime(
            raw=str(local), local=local, offset=None if offset_h is None else timedelta(hours=offset_h)
        ),
        fix=fix,
        counter=counter,
    )


def stop_times(stops: int) -> list[float]:
    """When each stop begins, s: walks of uneven length between them, so that no rhythm repeats."""
    times, now = [], 0.0
    for k in range(stops):
        times.append(now)
        now += 150 + (k * 7919) % 211
    return times


def walk(stops: int = 6, *, prefix: str = "p", satellites: bool = False) -> list[Photo]:
    """One phone at `stops` finds 40 m apart, five pictures each."""
    return [
        photo(f"{prefix}{k:02d}-{n}", begin + s, at=(40.0 * k, 3.0 * (n % 2)), satellites=satellites)
        for k, begin in enumerate(stop_times(stops))
        for n, s in enumerate(TIMES_OF_A_FIND)
    ]


def second_camera(stops: int, error_s: float, *, camera: Camera = CAMERA) -> list[Photo]:
    """A camera without receiver at the same finds, `error_s` fast, its pictures among the phone's."""
    found = []
    for k, begin in enumerate(stop_times(stops)):
        for n, s in enumerate((4, 12, 20, 28)):
            true = photo(f"c{k:02d}-{n}", begin + s + error_s, camera=camera, offset_h=None)
            found.append(true)
    return found


def track(seconds: list[float], points: list[tuple[float, float]], *, shift_h: float = 0.0) -> Track:
    """A logged walk; `shift_h` makes its times wrong by so many hours."""
    times = tuple(START.timestamp() + s + 3600 * shift_h for s in seconds)
    where = [spot(*p) for p in points]
    return Track(
        "t", "", "morning walk", times, tuple(w.latitude for w in where), tuple(w.longitude for w in where)
    )
