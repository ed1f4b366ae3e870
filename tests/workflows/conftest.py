"""A catalogue in a temporary folder, counted ids, and a simple foray written by hand."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.domain.problem import PictureRefused, Refusal
from catalog_gui.geo.position import Position
from catalog_gui.workflows.ports import Surroundings

NOON = datetime(2025, 10, 18, 12, 0, 0)  # noqa: DTZ001 - cameras write local time
PHONE = Camera("Quillmark", "Fernlight 3", "FL-0001")


def shot(name: str, minute: float, *, camera: Camera = PHONE, east_m: float = 0.0, hours: int = 1) -> Photo:
    """A picture of the phone, `minute` after noon local time (UTC+1), `east_m` metres east of the start."""
    moment = NOON + timedelta(minutes=minute)
    return Photo(
        "",
        f"/card/{name}",
        camera,
        WrittenTime(f"{moment:%Y:%m:%d %H:%M:%S}", moment, timedelta(hours=hours), "DateTimeOriginal"),
        Fix(
            Position(52.0, -1.0 + east_m / 68_600),
            6.0,
            satellite_time=(moment - timedelta(hours=1)).replace(tzinfo=UTC),
        ),
        format="JPEG",
        width=400,
        height=300,
        quick_key=f"key-{name}",
    )


WALK: tuple[Photo, ...] = tuple(
    shot(f"IMG_{100 + number}.jpg", minute, east_m=east)
    for number, (minute, east) in enumerate(
        [(0, 0), (0.3, 1), (0.7, 0), (1.1, 2), (12, 150), (12.4, 151), (12.9, 149), (30, 400), (30.5, 401)]
    )
)


class FakeFiles:
    """Picture files that exist only here; some may be damaged or gone."""

    def __init__(
        self, photos: Sequence[Photo], damaged: Sequence[str] = (), gone: Sequence[str] = ()
    ) -> None:
        self.photos = {photo.path: photo for photo in photos}
        self.damaged = set(damaged)
        self.gone = set(gone)
        self.notes: dict[str, MakersNotes] = {}
        self.notes_read: list[str] = []

    def find(self, places: Sequence[str]) -> Iterator[str | Refusal]:
        yield from sorted([*self.photos, *self.damaged])

    def read(self, path: str) -> Photo | Refusal:
        if path in self.damaged:
            return Refusal(path, "The file is empty.")
        return self.photos[path]

    def read_many(
        self, paths: Sequence[str], *, progress: Callable[[int], None], cancelled: Callable[[], bool]
    ) -> Iterator[tuple[str, Photo | Refusal]]:
        for number, path in enumerate(paths, 1):
            if cancelled():
                return
            yield path, self.read(path)
            progress(number)

    def makers_notes(self, path: str) -> MakersNotes:
        if path in self.gone:
            raise PictureRefused("The file is gone.", path=path)
        self.notes_read.append(path)
        return self.notes.get(path, MakersNotes())

    def content_hash(self, path: str) -> str:
        if path in self.gone:
            raise PictureRefused("The file is gone.", path=path)
        return "0" * 64

    def exists(self, path: str) -> bool:
        return path not in self.gone

    def tracks(self, path: str) -> tuple[()]:
        return ()


@pytest.fixture
def surroundings() -> Surroundings:
    count = itertools.count(1)
    return Surroundings(lambda: datetime(2025, 10, 18, 18, tzinfo=UTC), lambda: f"id-{next(count):04d}")


@pytest.fixture
def records(tmp_path: Path, surroundings: Surroundings) -> Iterator[Catalogue]:
    catalogue = open_catalogue(tmp_path / "catalogue", now=surroundings.now)
    yield catalogue
    catalogue.close()
