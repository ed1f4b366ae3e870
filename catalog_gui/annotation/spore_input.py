"""Spores as people hand them over: typed figures, or crossed lines on a micrograph."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from catalog_gui.annotation.measure import Measurement
from catalog_gui.domain.problem import BadInput

Pair = tuple[float, float]

_NUMBER = r"\d+(?:[.,]\d+)?"
_BETWEEN = re.compile(rf"^\s*({_NUMBER})\s*(?:[×xX*/;\t]|\s)\s*({_NUMBER})\s*$")
_COMMA_BETWEEN = re.compile(r"^\s*(\d+(?:\.\d+)?)\s*,\s+(\d+(?:\.\d+)?)\s*$|^\s*(\d+\.\d+),(\d+\.\d+)\s*$")
_LIST = re.compile(r"^\s*([LlWw])\s*[=:]\s*(.*)$")
_UNIT = re.compile(r"(?:µm|μm|um|mu)\b", re.IGNORECASE)
_SIZE = re.compile(_NUMBER)


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def read_spores(text: str) -> tuple[Pair, ...]:
    """(length, width) pairs in µm from typed text.

    One spore a line, or several with semicolons between them: '17.1 x 2.2', '17,1 × 2,2', '17.1 2.2',
    '17.1, 2.2'; or two lists, 'L = 17.1 17.0 …' and 'W = 2.2 2.1 …'. Units and empty lines are skipped.
    Raises BadInput naming the line that cannot be read, and for lists of unequal length.
    """
    pairs: list[Pair] = []
    lists: dict[str, list[float]] = {"L": [], "W": []}
    for number, line in enumerate(text.splitlines(), 1):
        listed = _LIST.match(line)
        if listed:
            plain = _UNIT.sub(" ", listed[2])
            if re.sub(rf"{_NUMBER}|[\s;]", "", plain).strip(","):
                raise BadInput(f"Line {number}: '{line.strip()}' holds something that is not a number.")
            lists[listed[1].upper()] += [_number(size) for size in _SIZE.findall(plain)]
            continue
        whole = _pair(line)
        pieces = [line] if whole else line.split(";")
        for piece in pieces:
            if piece.strip():
                pair = _pair(piece)
                if pair is None:
                    raise BadInput(
                        f"Line {number}: '{piece.strip()}' is no length and width; write '9.5 x 6.2'."
                    )
                pairs.append(pair)
    if len(lists["L"]) != len(lists["W"]):
        raise BadInput(f"There are {len(lists['L'])} lengths but {len(lists['W'])} widths.")
    return (*pairs, *zip(lists["L"], lists["W"], strict=True))


def _pair(piece: str) -> Pair | None:
    plain = _UNIT.sub(" ", piece)
    found = _BETWEEN.match(plain) or _COMMA_BETWEEN.match(plain)
    if not found:
        return None
    first, second = (group for group in found.groups() if group is not None)
    return _number(first), _number(second)


@dataclass(frozen=True, slots=True)
class Crossed:
    """Spores from lines on a micrograph: (length, width) in µm, and the ids of lines without partner."""

    pairs: tuple[Pair, ...]
    alone: tuple[str, ...]


def pairs_from_lines(lines: Sequence[Measurement]) -> Crossed:
    """Pair measured lines into spores: two with the same label, or two that cross.

    The longer of the two is the length. Raises BadInput when a line has no scale or is no length.
    """
    for line in lines:
        if line.what != "length" or line.real is None:
            raise BadInput("Spores need lines and a stage-micrometer scale on the same picture.")
    waiting = list(lines)
    pairs: list[Pair] = []
    alone: list[str] = []
    while waiting:
        first = waiting.pop(0)
        partner = next((other for other in waiting if _belong(first, other)), None)
        if partner is None:
            alone.append(first.mark.id)
            continue
        waiting.remove(partner)
        sizes = sorted(line.real.value * 1000 for line in (first, partner) if line.real is not None)
        pairs.append((sizes[1], sizes[0]))
    return Crossed(tuple(pairs), tuple(alone))


def _belong(first: Measurement, second: Measurement) -> bool:
    a, b = first.mark, second.mark
    if a.photo_id != b.photo_id:
        return False
    if a.label or b.label:
        return a.label == b.label
    return _cross(a.points[0], a.points[-1], b.points[0], b.points[-1])


def _cross(a: Pair, b: Pair, c: Pair, d: Pair) -> bool:
    def side(p: Pair, q: Pair, r: Pair) -> float:
        return math.copysign(1.0, (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    return side(a, b, c) != side(a, b, d) and side(c, d, a) != side(c, d, b)
