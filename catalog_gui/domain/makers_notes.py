"""What a camera's own notes add to what the EXIF standard has a place for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MakersNotes:
    """Facts out of the maker's note of one picture, in the maker's words; '' for what it does not tell.

    `serial` is the number of the body inside, which many cameras write that have no BodySerialNumber;
    `drive` single or continuous; `bracket` the bracketing and the shot of it; `lens` the lens by name;
    `kind` how the picture came about (HDR, portrait, multi-burst, best of several).
    """

    serial: str = ""
    drive: str = ""
    bracket: str = ""
    lens: str = ""
    kind: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """What there is to show, without the serial number: lens, drive, bracketing, kind."""
        told = (("", self.lens), ("drive: ", self.drive), ("bracketing: ", self.bracket), ("", self.kind))
        return tuple(f"{name}{value}" for name, value in told if value)
