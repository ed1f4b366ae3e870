"""What a safety copy is: a zip file of these members, with these names and no others, and a manifest.

It holds `catalogue.sqlite`, everything in `papers/`, the user's own taxa and values in `own-taxa/`, the
pictures themselves if asked for, and `manifest.json` with the size and SHA-256 of each and the number of rows.
"""

from __future__ import annotations

import re
import struct
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass

from catalog_gui.catalogue.store import CATALOGUE_FILE, PAPERS
from catalog_gui.domain.problem import Cancelled

PICTURES = "pictures"
OWN_TAXA = "own-taxa"
MANIFEST = "manifest.json"
FORMAT = "catalogue of finds, safety copy"
VERSION = 2
CHUNK = 1 << 20
_NEVER_IN_NAMES = re.compile(r'[\x00-\x1f\\:*?"<>|\ud800-\udfff]')
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)

BROKEN_ZIP = (
    zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, ValueError, LookupError,
    OverflowError, RuntimeError, OSError,
)  # fmt: skip
"""What zipfile raises on bytes that are no archive, or no longer one, or that cannot be read."""

Progress = Callable[[int, int], None]
"""Told bytes done and bytes in all."""


@dataclass(slots=True)
class Member:
    """One file in a copy: its size in bytes and its SHA-256 in hex."""

    size: int
    sha256: str


@dataclass(slots=True)
class Watch:
    """Progress in bytes and the wish to stop."""

    total: int
    progress: Progress | None
    cancelled: Callable[[], bool] | None
    done: int = 0

    def on(self, count: int) -> None:
        """`count` bytes further. Raises Cancelled."""
        self.done += count
        if self.cancelled is not None and self.cancelled():
            raise Cancelled
        if self.progress is not None:
            self.progress(min(self.done, self.total), self.total)


def is_wrong_name(name: str) -> bool:
    """Whether a member's name is none that a copy gives: absolute, climbing, or impossible on some system."""
    if name in (CATALOGUE_FILE, MANIFEST):
        return False
    first, *rest = name.split("/")
    return (
        first not in (PAPERS, PICTURES, OWN_TAXA)
        or not rest
        or _NEVER_IN_NAMES.search(name) is not None
        or any(not step or step != step.rstrip(". ") or _DEVICES.fullmatch(step) is not None for step in rest)
    )
