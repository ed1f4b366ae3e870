"""One window at a time: a catalogue that is open keeps a second program from opening it.

SQLite itself would keep two writers apart, but each window would show old rows and write them back
whole, and they would take each other's steps back. The lock belongs to the open file, so the system
lets go of it when the program ends in any way: there are no stale locks to clear by hand.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from datetime import datetime
from pathlib import Path

from catalog_gui.domain.problem import CatalogueRefused

LOCK_FILE = "catalogue.lock"
_UNSUPPORTED = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL}
_BEYOND_THE_TEXT = 1 << 30  # Windows locks bytes against reading: lock one that holds no text


class WindowLock:
    """Taken when created, given back when the last holder lets go. Raises CatalogueRefused when it is taken."""

    def __init__(self, folder: Path, since: datetime) -> None:
        self._holders: set[object] = set()
        path = folder / LOCK_FILE
        self._handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _take(self._handle)
        except OSError as error:
            if error.errno not in _UNSUPPORTED:
                holder = os.read(self._handle, 200).decode("utf-8", "replace").strip()
                os.close(self._handle)
                by = f" ({holder})" if holder else ""
                raise CatalogueRefused(
                    f"This catalogue is already open in another window{by}. Close it there first.",
                    path=str(folder),
                ) from None
        with contextlib.suppress(OSError):  # the text is a courtesy, the lock holds without it
            os.ftruncate(self._handle, 0)
            os.write(self._handle, f"process {os.getpid()}, since {since:%Y-%m-%d %H:%M}".encode())

    def hold(self) -> object:
        """One holder more; the token that it gives back to `let_go`."""
        token = object()
        self._holders.add(token)
        return token

    def let_go(self, token: object = None) -> None:
        """One holder less; the last one lets the next window in. A second call with a token does nothing."""
        self._holders.discard(token)
        if not self._holders and self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


if sys.platform == "win32":
    import msvcrt

    def _take(handle: int) -> None:
        os.lseek(handle, _BEYOND_THE_TEXT, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        finally:
            os.lseek(handle, 0, os.SEEK_SET)
else:
    import fcntl

    def _take(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
