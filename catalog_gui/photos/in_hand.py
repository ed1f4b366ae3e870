"""Remembers which pictures are being decoded, so that one that ended the program is not decoded again unasked.

A note lies in the folder of previews while a picture is decoded. What lies there when the program starts was
being decoded when it ended, by a crash of the decoder, by the system for want of memory, or by chance.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import blake2b
from pathlib import Path

from catalog_gui.domain.problem import PictureSuspected

FOLDER = "in-hand"
_ENDING = ".decoding"


class InHand:
    """The notes in one folder, for one program at a time and any of its threads."""

    def __init__(self, previews: Path) -> None:
        self._folder = previews / FOLDER
        found: set[str] = set()
        with suppress(OSError):
            found.update(one.name.split("-")[0] for one in self._folder.glob(f"*{_ENDING}"))
        self._suspects = found

    @contextmanager
    def decoding(self, key: str, path: str) -> Iterator[None]:
        """Note down that this picture is being decoded. Raises PictureSuspected for one that ended the program.

        Where no note can be written the picture is decoded all the same.
        """
        name = _name(key)
        if name in self._suspects:
            raise PictureSuspected(
                "The program ended while it was decoding this picture, so it is left alone. Look at it large and "
                "choose 'Try it again', or save it anew as JPEG in another program.",
                path=path,
            )
        note = self._folder / f"{name}-{secrets.token_hex(4)}{_ENDING}"
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            note.touch()
        try:
            yield
        finally:
            with suppress(OSError):
                note.unlink(missing_ok=True)

    def allow(self, key: str) -> None:
        """Decode this picture again when it is next asked for."""
        name = _name(key)
        self._suspects.discard(name)
        with suppress(OSError):
            for note in self._folder.glob(f"{name}-*{_ENDING}"):
                note.unlink(missing_ok=True)


def _name(key: str) -> str:
    return blake2b(key.encode("utf-8", "surrogatepass"), digest_size=16).hexdigest()
