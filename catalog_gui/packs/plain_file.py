"""Reads a file of a pack only if it is one: never a pipe, a device or something without an end."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from catalog_gui.domain.problem import PackRefused

MOST_BYTES = 64 << 20
"""More than twenty times the largest table that comes with the program."""


def read_plain(path: Path) -> bytes:
    """The bytes of a file. Raises PackRefused for a pipe, a device and what is too large; OSError."""
    # Opening a named pipe would wait for somebody to write into it.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        about = os.fstat(handle)
        if not stat.S_ISREG(about.st_mode):
            raise PackRefused(
                "This is a pipe or a device, not a table. Take it out of the folder, then try again.",
                path=str(path),
            )
        found = file.read(MOST_BYTES + 1) if about.st_size <= MOST_BYTES else b""
        if about.st_size > MOST_BYTES or len(found) > MOST_BYTES:
            raise PackRefused(
                f"The file is larger than {MOST_BYTES >> 20} MB, so it is not a table of a pack. Take it out of "
                "the folder, then try again.",
                path=str(path),
            )
        return found
