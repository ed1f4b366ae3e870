"""What SQLite complains about, as sentences a person can act on."""

from __future__ import annotations

import logging
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from catalog_gui.catalogue.damaged import WAY_OUT
from catalog_gui.domain.problem import CatalogueRefused, Problem

_log = logging.getLogger(__name__)


class NotSaved(Problem):
    """A change that could not be saved; nothing of it was kept and everything from before still stands."""


_READ_ONLY = (
    "The catalogue cannot be written: the folder or the file in it is read-only. Allow writing there, or choose "
    "another folder"
)
_UNKNOWN = (
    "The catalogue could not be read or written. Try again; if it happens again, check the catalogue "
    "(Foray > Safety copies and check). Help > What happened holds the details"
)
_SENTENCES = (
    ("SQLITE_BUSY", "The catalogue is busy: something else is still saving. Try again in a moment"),
    ("SQLITE_LOCKED", "The catalogue is busy: something else is still saving. Try again in a moment"),
    ("SQLITE_FULL", "The disk is full. Make room on it, then try again"),
    ("SQLITE_READONLY", _READ_ONLY),
    ("SQLITE_PERM", _READ_ONLY),
    (
        "SQLITE_CANTOPEN",
        (
            "The catalogue file cannot be opened; the folder may be gone or not allowed to be used. Put its disk in "
            "again, or choose another folder"
        ),
    ),
    ("SQLITE_NOTADB", "This file is not a catalogue, or its beginning is damaged. Restore a safety copy"),
    ("SQLITE_CORRUPT", "The catalogue file is damaged. Restore a safety copy into an empty folder"),
    (
        "SQLITE_IOERR",
        (
            "The disk could not be read or written; it may be full, failing or unplugged. "
            "Put it in again and make room on it, then try again"
        ),
    ),
    (
        "SQLITE_CONSTRAINT_FOREIGNKEY",
        (
            "The change would leave something pointing at a row that is not there. Open the page again, then "
            "make the change again"
        ),
    ),
    (
        "SQLITE_CONSTRAINT",
        "The change does not fit the catalogue's rules. Check the catalogue (Foray > Safety copies and check)",
    ),
)


def sentence(error: BaseException) -> str:
    """What went wrong, without a full stop. `error` is SQLite's, the system's, or wraps one of them."""
    cause = getattr(error, "orig", None) or error
    name = getattr(cause, "sqlite_errorname", None)
    if name is not None:
        for start, words in _SENTENCES:
            if name.startswith(start):
                return words
    if "Could not decode to UTF-8" in str(cause):
        return f"A text in the catalogue is damaged. {WAY_OUT[:-1]}"
    if isinstance(cause, PermissionError):
        return (
            "The folder cannot be written: it is read-only or belongs to somebody else. Allow writing there, or "
            "choose another folder"
        )
    if isinstance(cause, OSError) and cause.strerror:
        return f"The disk refused: {cause.strerror}"
    if "no such table" in str(cause) or "no such column" in str(cause):
        return "A part of the catalogue is missing. Restore a safety copy into an empty folder"
    _log.error("no sentence is known for this", exc_info=cause)
    return _UNKNOWN


def refused(error: BaseException, path: Path) -> CatalogueRefused:
    """The refusal to open what lies at `path`."""
    return CatalogueRefused(f"{sentence(error)}.", path=str(path))


def not_saved(error: BaseException, label: str, link: str = "") -> NotSaved:
    """The sentence for a step that was rolled back; `link` says which one is broken, if one is."""
    return NotSaved(f"{link or sentence(error)}. '{label}' was not saved; everything before it is kept.")


_SINGULAR = {
    "forays": "a foray",
    "photos": "a picture",
    "clocks": "a clock",
    "groups": "a group",
    "joins": "a join",
    "same_as": "an offer to join two groups",
    "tracks": "a track",
    "specimens": "a specimen",
    "evidence": "a piece of evidence",
    "marks": "a mark",
    "determinations": "a determination",
    "tasks": "a task",
}


def broken_link(connection: Connection) -> str:
    """Which row of the open transaction points at one that is not there; '' when none does."""
    try:
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    except DatabaseError:
        return ""
    if broken is None:
        return ""
    child = str(_SINGULAR.get(broken[0], broken[0]))
    parent = _SINGULAR.get(broken[2], broken[2])
    return f"{child.capitalize()} would point at {parent} that is not in the catalogue"
