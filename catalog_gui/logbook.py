"""Keeps a log beside the catalogue: what went wrong in a way that nobody at the bench can use, and where.

The log stands on this machine and goes nowhere by itself. `keep` is called once, when the catalogue is open;
`watch` makes exceptions that nobody caught end in it, whatever thread they came from.
"""

from __future__ import annotations

import logging
import platform
import sys
import threading
from collections.abc import Callable
from importlib import metadata
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType

NAME = "foray-bench.log"
MOST_BYTES = 500_000
"""So large the log grows before it is put aside and a new one begun."""
OLDER = 3
"""So many older logs are kept."""

_log = logging.getLogger("catalog_gui")
_HANDLER = "beside the catalogue"


def keep(folder: Path) -> Path | None:
    """Write the log in `folder` from now on; returns its path, None where that folder cannot be written."""
    end()
    target = folder / NAME
    try:
        handler = RotatingFileHandler(
            target, maxBytes=MOST_BYTES, backupCount=OLDER, encoding="utf-8", errors="backslashreplace"
        )
    except OSError:
        return None  # logging then writes warnings to standard error
    handler.set_name(_HANDLER)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(threadName)s %(name)s: %(message)s"))
    _log.addHandler(handler)
    _log.setLevel(logging.INFO)
    _log.info("Opened by version %s, Python %s, %s", _version(), platform.python_version(), sys.platform)
    return target


def end() -> None:
    """Close the log; nothing is written afterwards."""
    for handler in list(_log.handlers):
        if handler.get_name() == _HANDLER:
            _log.removeHandler(handler)
            handler.close()


def newest(folder: Path, most_bytes: int = 60_000) -> str:
    """Read the end of the log in `folder`, whole lines; '' where there is none."""
    try:
        with (folder / NAME).open("rb") as file:
            size = file.seek(0, 2)
            file.seek(max(0, size - most_bytes))
            text = file.read().decode("utf-8", "replace")
    except OSError:
        return ""
    return text if size <= most_bytes else text.partition("\n")[2]


def watch(tell: Callable[[Exception], object]) -> Callable[[], None]:
    """Log what nobody caught, in any thread, and `tell` of it; returns what puts the former hooks back.

    `tell` may be called from any thread. What it raises itself is logged and not told.
    """
    before, before_in_thread = sys.excepthook, threading.excepthook
    telling = threading.local()

    def caught(error: BaseException, where: str) -> None:
        _log.critical("Nobody caught this (%s)", where, exc_info=(type(error), error, error.__traceback__))
        if isinstance(error, Exception) and not getattr(telling, "now", False):
            telling.now = True
            try:
                tell(error)
            except Exception:  # noqa: BLE001 - a hook that raises would take the first failure with it
                _log.exception("It could not be told")
            finally:
                telling.now = False

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, Exception):
            caught(error, "the GUI thread")
        before(kind, error, trace)

    def thread_hook(found: threading.ExceptHookArgs) -> None:
        if found.exc_value is not None and issubclass(found.exc_type, Exception):
            caught(found.exc_value, found.thread.name if found.thread is not None else "a thread")
        before_in_thread(found)

    def undo() -> None:
        sys.excepthook, threading.excepthook = before, before_in_thread

    sys.excepthook, threading.excepthook = hook, thread_hook
    return undo


def _version() -> str:
    try:
        return metadata.version("foray-bench")
    except metadata.PackageNotFoundError:
        return "of a work tree"
