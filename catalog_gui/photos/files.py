"""Picture files on disk: found, read and fingerprinted. This is what the workflows know as `PictureFiles`."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import BinaryIO

from catalog_gui.domain.foray import Track
from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import PictureRefused, Refusal
from catalog_gui.photos.metadata import read_makers_notes, read_photo
from catalog_gui.photos.opening import readable, refused
from catalog_gui.photos.tracks import read_tracks

_DIGITS = re.compile(r"(\d+)")


class DiskPictures:
    """Reads and never writes. Every call is safe on damaged files: it refuses with a sentence."""

    def find(self, places: Sequence[str]) -> Iterator[str | Refusal]:
        """Every file below the given folders, or the files themselves, each once and as an absolute path.

        In the order in which a person would count (IMG_2 before IMG_10), a folder's own files before its
        sub-folders. Nothing is passed over in silence: hidden files and files that are no pictures are
        given too and refused when read. Links to folders are not followed, as they may lead in a circle.
        """
        seen: set[str] = set()
        for place in places:
            for found in _below(place):
                path = found.path if isinstance(found, Refusal) else found
                if path not in seen:
                    seen.add(path)
                    yield found

    def read(self, path: str) -> Photo | Refusal:
        """Metadata and quick fingerprint of one file; the id of the photo is left ''."""
        try:
            return read_photo(path)
        except PictureRefused as refusal:
            return Refusal(path, refusal.reason)

    def read_many(
        self, paths: Sequence[str], *, progress: Callable[[int], None], cancelled: Callable[[], bool]
    ) -> Iterable[tuple[str, Photo | Refusal]]:
        """`read` for many files, in order; `progress` hears how many are done, `cancelled` is asked before.

        One after the other on purpose: reading is interpreter work, so a second thread only makes both
        wait, and a second process starts and hands values over for longer than it saves (measured).
        """
        for done, path in enumerate(paths, 1):
            if cancelled():
                return
            yield path, self.read(path)
            progress(done)

    def makers_notes(self, path: str) -> MakersNotes:
        """What the maker's own notes add. Slow: never while pictures are taken in. Raises PictureRefused."""
        return read_makers_notes(path)

    def content_hash(self, path: str) -> str:
        """SHA-256 of the whole file in hex, read in pieces. Raises PictureRefused."""
        try:
            with readable(path) as (file, _):
                return _sha256(file)
        except OSError as error:
            raise refused(path, error) from error

    def exists(self, path: str) -> bool:
        """Whether the file can still be reached."""
        try:
            return Path(path).is_file()
        except (OSError, ValueError):
            return False

    def tracks(self, path: str) -> tuple[Track, ...]:
        """The walks of one GPX file, ids left ''. Raises BadInput naming the file and the reason."""
        return read_tracks(path)


def _sha256(file: BinaryIO) -> str:
    digest = hashlib.sha256()
    while piece := file.read(1 << 20):
        digest.update(piece)
    return digest.hexdigest()


def natural_key(name: str) -> tuple[object, ...]:
    """Sorts names as a person counts: digits by value, letters without regard to case."""
    parts = _DIGITS.split(name)
    return (
        tuple((0, int(part), "") if part.isdecimal() else (1, 0, part.casefold()) for part in parts if part),
        name,
    )


def _below(place: str) -> Iterator[str | Refusal]:
    top = Path(os.path.abspath(place))  # noqa: PTH100 - resolve() would follow links
    waiting: list[tuple[bool, Path]] = [(_is_folder(top), top)]
    while waiting:
        folder, path = waiting.pop()
        name = str(path)
        try:
            name.encode()
        except UnicodeEncodeError:
            shown = name.encode("utf-8", "backslashreplace").decode()
            yield Refusal(shown, "The name of this file is not readable text; rename it to take it in.")
            continue
        if not folder:
            yield name
        elif path.is_symlink() and path != top:
            yield Refusal(name, "This is a link to another folder; give that folder itself.")
        else:
            try:
                with os.scandir(path) as entries:
                    inside = [(entry.is_dir(), Path(entry.path)) for entry in entries]
            except OSError as error:
                yield Refusal(name, refused(name, error).reason.replace("this file", "this folder"))
                continue
            waiting += sorted(inside, key=lambda one: (one[0], natural_key(one[1].name)), reverse=True)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):  # it cannot even be asked; reading it will say why
        return False
