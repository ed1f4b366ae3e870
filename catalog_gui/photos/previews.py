"""Small pictures kept beside the catalogue so that a page fills at once; all of them can be made again."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path

from catalog_gui.durable import write_whole
from catalog_gui.photos.pixels import smaller_jpeg, thumbnail_jpeg

_SEAL_BYTES = 16
_LOOK_ENDING = ".look1"  # another number when looks are made another way
_PLAIN_KEY = re.compile(r"[0-9a-f]{8,128}")


class Previews:
    """A folder of JPEGs, named by the photo's content or quick key and the edge in px.

    Each file ends in a seal over its bytes (viewers ignore what follows a JPEG's end), so a damaged one is
    noticed and made again. May be used from several threads and programs at once: files appear whole.
    """

    def __init__(self, folder: str, make: Callable[[str, int], bytes] = thumbnail_jpeg) -> None:
        self._folder = Path(folder)
        self._make = make

    def get(self, path: str, key: str, edge: int) -> bytes:
        """The upright preview of the picture at `path` as JPEG bytes, made now if it is not kept already.

        Raises PictureRefused when it must be made and the picture can't be read. A folder that can't be
        written to costs time, not the picture.
        """
        kept = self.kept(key, edge)
        if kept is not None:
            return kept
        made = self._from_larger(key, edge) or self._make(path, edge)
        self._keep(self._place(key, edge), made)
        return made

    def kept(self, key: str, edge: int) -> bytes | None:
        """The preview if it is there and whole, without looking at the picture."""
        return _whole(self._place(key, edge))

    def kept_look(self, key: str) -> bytes | None:
        """What `keep_look` kept, if it is there and whole."""
        return _whole(self._look_place(key))

    def keep_look(self, key: str, look: bytes) -> None:
        """Keep a few bytes about the look of the picture beside its previews; a full disk is no trouble."""
        self._keep(self._look_place(key), look)

    def _from_larger(self, key: str, edge: int) -> bytes | None:
        """Scaled down from the next larger size if that is kept: a tenth of the work of the picture."""
        place = self._place(key, edge)
        stem = place.stem.rsplit("-", 1)[0]
        kept = (one.stem.rsplit("-", 1)[1] for one in place.parent.glob(f"{stem}-*.jpg"))
        for larger in sorted(int(size) for size in kept if size.isdecimal() and int(size) > edge):
            jpeg = self.kept(key, larger)
            if jpeg is not None:
                return smaller_jpeg(jpeg, edge)
        return None

    def forget(self, key: str) -> None:
        """Remove every size of one picture, and its look."""
        place = self._place(key, 0)
        for one in place.parent.glob(f"{place.stem.rsplit('-', 1)[0]}-*.jpg"):
            one.unlink(missing_ok=True)
        self._look_place(key).unlink(missing_ok=True)

    def _look_place(self, key: str) -> Path:
        place = self._place(key, 0)
        return place.with_name(f"{place.stem.rsplit('-', 1)[0]}{_LOOK_ENDING}")

    def _place(self, key: str, edge: int) -> Path:
        name = key if _PLAIN_KEY.fullmatch(key) else blake2b(key.encode(), digest_size=16).hexdigest()
        return self._folder / name[:2] / f"{name}-{edge}.jpg"

    def _keep(self, place: Path, picture: bytes) -> None:
        with suppress(OSError):
            place.parent.mkdir(parents=True, exist_ok=True)
            write_whole(place, picture + _seal(picture), flush=False)  # the seal tells a torn one


def _whole(place: Path) -> bytes | None:
    """The bytes of a file without its seal; None where it is missing or damaged."""
    try:
        data = place.read_bytes()
    except OSError:
        return None
    kept, seal = data[:-_SEAL_BYTES], data[-_SEAL_BYTES:]
    return kept if kept and _seal(kept) == seal else None


def _seal(picture: bytes) -> bytes:
    return blake2b(picture, digest_size=_SEAL_BYTES).digest()
