"""Reading notes in plain text: one block a page and taxon, as a reader writes them down.

The notation stands in `resources/reference/record/README.md`. `blocks_of` takes the text apart; nothing is
looked up here, so that whoever reads a page needs no table of ours beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

HEAD = frozenset(
    [
        "kind",
        "title",
        "publisher",
        "author",
        "year",
        "lang",
        "extent",
        "level",
        "family",
        "taxon",
        "as",
        "synonyms",
        "heldout",
        "place",
        "read",
    ]
)
SEVERAL = frozenset({"confused", "hazard", "other", "note", "taxa"})
MARKS = {"+": "usual", "~": "sometimes", "%": "rare"}

_NUMBER = re.compile(
    r"^(?:\((?P<below>\d+(?:\.\d+)?)[^)]*\)\s*)?(?P<low>\d+(?:\.\d+)?)?(?:\s*-\s*(?P<high>\d+(?:\.\d+)?))?"
    r"(?:\s*\((?P<above>[^)]*)\))?\s*(?P<unit>mm|µm|ratio)?(?:\s*n\s*=\s*(?P<n>\d+))?$"
)
_BASIS = re.compile(r"\((season|genus)\)\s*$")


class NotesProblem(ValueError):
    """Says which line of the notes cannot be understood, and why."""


@dataclass(frozen=True, slots=True)
class StateSaid:
    """One state that a page gives or denies; `how_often` is usual, sometimes, rare or unsaid."""

    feature: str
    state: str
    shows: bool
    how_often: str
    basis: str


@dataclass(frozen=True, slots=True)
class SizeSaid:
    """One range that a page gives, as text of numbers; the extremes are what stood in brackets."""

    feature: str
    low: str
    high: str
    extreme_low: str
    extreme_high: str
    n: str
    basis: str


@dataclass(slots=True)
class Block:
    """What one page says of one taxon."""

    address: str
    line: int
    head: dict[str, str] = field(default_factory=dict)
    states: list[StateSaid] = field(default_factory=list)
    sizes: list[SizeSaid] = field(default_factory=list)
    several: dict[str, list[str]] = field(default_factory=dict)


def blocks_of(text: str, numbers: frozenset[str]) -> Iterator[Block]:
    """Take notes apart into blocks. `numbers` are the features that are measured.

    Raises NotesProblem naming the line.
    """
    block: Block | None = None
    for line_number, raw in enumerate(text.splitlines(), 1):
        line = raw.strip()
        if not line or line.startswith("#"):
            continue
        if line.startswith("= "):
            if block is not None:
                yield block
            block = Block(line[2:].strip(), line_number)
            continue
        if block is None:
            raise NotesProblem(f"line {line_number}: the notes must begin with '= address'")
        name, colon, value = line.partition(":")
        value = value.strip()
        if not colon or not value:
            raise NotesProblem(f"line {line_number}: '{line}' is not 'name: value'")
        if name in HEAD:
            block.head[name] = value
        elif name in SEVERAL:
            block.several.setdefault(name, []).append(value)
        else:
            _said(block, name, value, line_number, numbers)
    if block is not None:
        yield block


def _said(block: Block, feature: str, value: str, line: int, numbers: frozenset[str]) -> None:
    basis = _BASIS.search(value)
    said = _BASIS.sub("", value).strip()
    word = basis.group(1) if basis else "direct"
    if feature in numbers:
        block.sizes.append(_size(feature, said, line, word))
        return
    for part in said.split(","):
        token = part.strip()
        shows = not token.startswith("not ")
        token = token.removeprefix("not ").strip()
        often = MARKS.get(token[-1:], "unsaid")
        state = token.rstrip("+~%").strip()
        if state:
            block.states.append(StateSaid(feature, state, shows, often, word))


def _size(feature: str, said: str, line: int, basis: str) -> SizeSaid:
    found = _NUMBER.match(said)
    if found is None or not (found["low"] or found["high"]):
        raise NotesProblem(f"line {line}: '{said}' is not a range such as (15) 20-65 (80) mm")
    above = re.findall(r"\d+(?:\.\d+)?", found["above"] or "")
    low, high = found["low"] or "", found["high"] or ""
    if not high and not said.lstrip("(").startswith("-"):
        high = low
    return SizeSaid(
        feature, low, high, found["below"] or "", above[-1] if above else "", found["n"] or "", basis
    )
