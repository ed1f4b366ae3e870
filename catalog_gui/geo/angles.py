"""Latitude and longitude in degrees, minutes and seconds: reading what people type, writing them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from catalog_gui.geo.position import CoordinateError, Position

_UNITS = "°′″"
_SPELLINGS = (
    (r"[º˚]|\bDEG(?:REES?)?\b\.?", "°"),
    (r"''|′′|[\"“”„″]|\bSEC(?:ONDS?)?\b\.?", "″"),
    (r"['’‘´`′]|\bMIN(?:UTES?)?\b\.?", "′"),
    (r"[−–‒]", "-"),
    (r"\b(?:LATITUDE|LAT|LONGITUDE|LONG|LON|LNG)\b\s*[.:=]?", " "),
    (r"\bNORTH\b", "N"),
    (r"\bSOUTH\b", "S"),
    (r"\bEAST\b", "E"),
    (r"\bWEST\b", "W"),
)
_PIECE = re.compile(r"\d+(?:\.\d+)?|\.\d+|[°′″NSEW+,;-]|(\S)")
_BAD = "'{}' is not a latitude and longitude."


@dataclass(frozen=True, slots=True)
class Angle:
    """One of the two: signed degrees, the step it was written to, and in how many parts.

    `parts` is 1 for degrees, 2 with minutes, 3 with seconds; `axis` is "lat" or "lon" where a letter
    of the compass said so.
    """

    degrees: float
    precision_deg: float
    parts: int
    axis: str | None


def read_pair(text: str) -> tuple[Angle, Angle]:
    """Latitude and longitude from text such as 50°55.9′N 1°27′W, 50 55 54, -1 27 00 or 50.93 -1.45.

    Latitude comes first unless letters say otherwise. Raises `CoordinateError` with a sentence.
    """
    first, second = (_angle(pieces, text) for pieces in _halves(_pieces(text), text))
    if first.axis == "lon" or second.axis == "lat":
        first, second = second, first
    if first.axis == "lon" or second.axis == "lat":
        raise CoordinateError(
            f"'{text}' gives the same direction twice: one must be N or S, the other E or W."
        )
    if abs(first.degrees) > 90.0 >= abs(second.degrees) and first.axis is None:
        raise CoordinateError(
            f"Latitude {first.degrees:g} is out of range. Was longitude written first? Latitude comes first."
        )
    return first, second


def degrees_of(parts: list[str], text: str) -> tuple[float, float]:
    """Degrees, and the step they are written to, from one to three numbers as text.

    Only the last may have a fraction; minutes and seconds stay below 60. `text` is for the sentences.
    """
    total, step = 0.0, 1.0
    for place, part in enumerate(parts):
        whole, _, fraction = part.partition(".")
        if fraction and place < len(parts) - 1:
            raise CoordinateError(
                f"'{text}': only the last of degrees, minutes and seconds may have a fraction."
            )
        if place and int(whole or 0) >= 60:
            raise CoordinateError(f"'{text}': {('minutes', 'seconds')[place - 1]} must be below 60.")
        unit = 60.0**place
        total += float(part) / unit
        step = 10.0 ** -len(fraction) / unit
    return total, step


def sexagesimal(position: Position, *, seconds: bool, decimals: int) -> str:
    """As 50°40′46.461″N 1°05′03.000″W, or with `seconds=False` as 50°40.774′N 1°05.050′W.

    ISO 6709's display form: minutes and seconds with two digits, rounded, never 60.
    """
    return " ".join(
        _sexagesimal(degrees, letters, seconds=seconds, decimals=decimals)
        for degrees, letters in ((position.latitude, "NS"), (position.longitude, "EW"))
    )


def _sexagesimal(degrees: float, letters: str, *, seconds: bool, decimals: int) -> str:
    # Round once, in whole steps of the last digit; carrying then cannot leave a 60 behind.
    steps_per_unit = 10**decimals
    steps = round(abs(degrees) * (3600 if seconds else 60) * steps_per_unit)
    letter = letters[1] if degrees < 0 and steps else letters[0]
    units, fraction = divmod(steps, steps_per_unit)
    tail = f".{fraction:0{decimals}d}" if decimals else ""
    minutes, last = divmod(units, 60)
    if not seconds:
        return f"{minutes}°{last:02d}{tail}′{letter}"
    return f"{minutes // 60}°{minutes % 60:02d}′{last:02d}{tail}″{letter}"


def _pieces(text: str) -> list[str]:
    plain = text.upper()
    for pattern, sign in _SPELLINGS:
        plain = re.sub(pattern, sign, plain)
    # Two commas between digits and no point anywhere: decimal commas.
    if "." not in plain and len(re.findall(r"(?<=\d),(?=\d)", plain)) == 2:
        plain = re.sub(r"(?<=\d),(?=\d)", ".", plain)
    pieces: list[str] = []
    for match in _PIECE.finditer(plain):
        if match[1]:
            raise CoordinateError(_BAD.format(text))
        pieces.append(match[0])
    return pieces


def _halves(pieces: list[str], text: str) -> tuple[list[str], list[str]]:
    cut = _cut(pieces)
    if cut is None:
        raise CoordinateError(f"{_BAD.format(text)} Write both, such as 50.9318, -1.4500.")
    return [piece for piece in pieces[:cut] if piece not in ",;"], [
        piece for piece in pieces[cut:] if piece not in ",;"
    ]


def _cut(pieces: list[str]) -> int | None:
    """Where the second coordinate begins."""
    places = {
        kind: [place for place, piece in enumerate(pieces) if piece in members]
        for kind, members in (("mark", ",;"), ("letter", "NSEW"), ("sign", "+-"), ("degree", "°"))
    }
    numbers = [place for place, piece in enumerate(pieces) if piece[-1].isdigit()]
    if places["mark"]:
        return places["mark"][0] if len(places["mark"]) == 1 else None
    if places["letter"]:
        if places["letter"][0] > 0:
            return places["letter"][0] + 1
        return places["letter"][1] if len(places["letter"]) == 2 else None
    if places["sign"] and places["sign"][-1] > 0:
        return places["sign"][-1]
    if len(places["degree"]) == 2:
        return places["degree"][1] - 1
    return None if not numbers or len(numbers) % 2 else numbers[len(numbers) // 2]


def _angle(pieces: list[str], text: str) -> Angle:
    letters = [piece for piece in pieces if piece in "NSEW"]
    rest = [piece for piece in pieces if piece not in "NSEW"]
    if len(letters) > 1 or (letters and pieces[0] != letters[0] and pieces[-1] != letters[0]):
        raise CoordinateError(_BAD.format(text))
    negative = False
    if rest and rest[0] in "+-":
        if letters:
            raise CoordinateError(
                f"'{text}' has both a sign and a letter for the direction: use one of them."
            )
        negative = rest.pop(0) == "-"
    numbers: list[str] = []
    unit_expected = False
    for piece in rest:
        if piece in _UNITS:
            if not unit_expected or _UNITS.index(piece) != len(numbers) - 1:
                raise CoordinateError(f"'{text}': write degrees °, minutes ′ and seconds ″ in this order.")
            unit_expected = False
        elif piece in "+-":
            raise CoordinateError(_BAD.format(text))
        else:
            numbers.append(piece)
            unit_expected = True
    if not 1 <= len(numbers) <= 3:
        raise CoordinateError(f"{_BAD.format(text)} Write both, such as 50.9318, -1.4500.")
    degrees, step = degrees_of(numbers, text)
    letter = letters[0] if letters else ""
    axis = {"N": "lat", "S": "lat", "E": "lon", "W": "lon"}.get(letter)
    signed = -degrees if negative or letter in ("S", "W") else degrees
    return Angle(signed + 0.0, step, len(numbers), axis)  # + 0.0: zero has no sign
