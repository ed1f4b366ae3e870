"""Files that are there whole or not at all, and still there after a power cut.

The order is that of Pillai et al. 2014 (OSDI, "All file systems are not created equal"): write beside the
place, flush the file, rename, flush the folder that holds the name.
"""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path


def write_whole(target: Path, content: bytes, *, flush: bool = True) -> None:
    """Write `content` to `target`: the earlier file or the new one is there, never a part of either.

    `flush` may be left out for what can be made again and is checked when it is read. Raises OSError; the
    earlier file then stands as it was.
    """
    draft = target.with_name(f".{target.name}.{secrets.token_hex(6)}.part")
    try:
        draft.write_bytes(content)
        put_in_place(draft, target, flush=flush)
    except OSError:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
        raise


def put_in_place(draft: Path, target: Path, *, flush: bool = True) -> None:
    """Rename a finished draft, a file or a folder, to `target` so that it survives a power cut.

    Raises OSError; the draft is then left where it is.
    """
    if flush and draft.is_file():
        sync_file(draft)
    os.replace(draft, target)  # noqa: PTH105 - the one call that is atomic on every system
    if flush:
        sync_folder(target.parent)


def sync_file(path: Path) -> None:
    """Put the bytes of a file on the disk. Raises OSError."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Put the names in a folder on the disk; Windows, which opens no folders, does so anyway."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
