"""What the tests of every page share: grey pictures, and a bench over a catalogue on disk."""

from __future__ import annotations

import itertools
from datetime import datetime

from catalog_gui.catalogue.store import Catalogue
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import PictureRefused
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.settings import Preferences, Theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.widgets.pictures import PictureSource
from catalog_gui.workflows.ports import PictureFiles, Surroundings

PLAIN = Preferences(person="Wilma Thorn", theme=Theme.LIGHT)


class PlainPictures:
    """Grey pixels for every photo; those whose name begins with 'gone' are refused."""

    def _grey(self, photo: Photo, edge: int) -> Raster:
        if photo.name.startswith("gone"):
            raise PictureRefused("The file is gone.", path=photo.path)
        return Raster(edge, edge * 3 // 4, b"\x80" * (edge * (edge * 3 // 4) * 3), edge / 400)

    def try_again(self, photo: Photo) -> None:
        pass

    def first_look(self, photo: Photo, edge: int) -> Raster | None:
        return None

    def look(self, photo: Photo, edge: int) -> Raster:
        return self._grey(photo, edge)

    def whole(self, photo: Photo, most_pixels: int = 0) -> Raster:
        return self._grey(photo, 400)

    def piece(self, photo: Photo, box: tuple[float, float, float, float], edge: int) -> Raster:
        return self._grey(photo, edge)


def plain_bench(
    catalogue: Catalogue,
    reference: Reference,
    now: datetime,
    *,
    preferences: Preferences = PLAIN,
    files: PictureFiles | None = None,
    pictures: PictureSource | None = None,
    count: itertools.count[int] | None = None,
) -> Bench:
    """A bench with nothing but records and plain pictures; it closes the catalogue. `count` numbers new rows."""
    numbers = count or itertools.count(1)
    return Bench(
        catalogue.another,
        files=files,  # type: ignore[arg-type]  # most pages open no files by themselves
        pictures=pictures or PictureSource(PlainPictures()),
        reference=reference,
        preferences=preferences,
        surroundings=Surroundings(lambda: now, lambda: f"id-{next(numbers):05d}"),
        keep_preferences=lambda _: None,
        close_records=catalogue.close,
    )
