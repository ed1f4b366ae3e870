"""The record of what was read: its tables, read from and written to `resources/reference/record`."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

REFERENCE = Path(__file__).resolve().parents[1] / "reference"
RECORD = REFERENCE / "record"

Row = dict[str, str]

SOURCES = (
    "source",
    "citation",
    "kind",
    "year",
    "seen",
    "title",
    "author",
    "publisher",
    "language",
    "address",
    "read_on",
    "extent",
    "level",
    "text_family",
)
STATEMENTS = (
    "taxon",
    "feature",
    "state",
    "low",
    "high",
    "extreme_low",
    "extreme_high",
    "unit",
    "n",
    "says",
    "how_often",
    "basis",
    "source",
    "place",
    "read_on",
    "checked",
)
NAMES = ("taxon", "name", "authority", "role", "sense", "source", "read_on", "checked")
POISONINGS = (
    "taxon",
    "syndrome",
    "toxin",
    "severity",
    "gut_low",
    "gut_high",
    "gut_unit",
    "organ",
    "organ_low",
    "organ_high",
    "organ_unit",
    "note",
    "source",
    "read_on",
    "checked",
)
MIX_UPS = ("taxon", "lookalike", "separates", "does_not_separate", "note", "source", "read_on", "checked")
REMARKS = ("taxon", "about", "remark", "source", "read_on")

TABLES: dict[str, tuple[str, ...]] = {
    "statements": STATEMENTS,
    "names": NAMES,
    "poisonings": POISONINGS,
    "mix_ups": MIX_UPS,
    "remarks": REMARKS,
}
"""The tables of the record beside `sources.csv`, which stands with the tables that are weighed with."""


def rows_of(path: Path) -> list[Row]:
    """Read the rows of a table; none where there is no file."""
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def text_of(columns: Sequence[str], rows: Iterable[Row]) -> str:
    """Write a table as text: a header, one line a row, cells in the order of `columns`."""
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, columns, restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def write(path: Path, columns: Sequence[str], rows: Iterable[Row]) -> None:
    """Write a table of the record."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text_of(columns, rows), encoding="utf-8", newline="")
