"""The one error family that may reach the person at the bench."""

from __future__ import annotations

from dataclasses import dataclass


class Problem(Exception):
    """Something went wrong that the person can understand and act on.

    `reason` is one whole sentence in plain words; `path` names the file it is about, if any.
    """

    def __init__(self, reason: str, *, path: str | None = None) -> None:
        self.reason = reason
        self.path = path
        super().__init__(f"{path}: {reason}" if path else reason)


class PictureRefused(Problem):
    """A file that cannot be taken in as a picture; nothing is changed by refusing it."""


class PictureSuspected(PictureRefused):
    """A picture during whose decoding the program ended; it is decoded again only when the user asks for it."""


class BadInput(Problem):
    """Typed or handed-over input that cannot be read."""


class PackRefused(Problem):
    """A reference pack with a broken line; names file, line and column."""

    def __init__(self, reason: str, *, path: str, line: int | None = None, column: str | None = None) -> None:
        self.line = line
        self.column = column
        where = path
        if line is not None:
            where += f", line {line}"
        if column is not None:
            where += f", column {column}"
        super().__init__(reason, path=where)


class CatalogueRefused(Problem):
    """A catalogue that cannot be opened: newer than the program, damaged, or not ours."""


class Cancelled(Problem):
    """The person stopped the work; whatever was finished before stays."""

    def __init__(self, reason: str = "Stopped before the end.") -> None:
        super().__init__(reason)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A file that was not taken in, and why, in one sentence."""

    path: str
    reason: str
