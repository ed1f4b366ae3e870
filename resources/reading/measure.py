"""Measure how well the reference is read: `python -m resources.reading.measure`."""

from __future__ import annotations

import math
import sys
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from resources.reading.build import MEMORY, Builder
from resources.reading.record import REFERENCE, Row, rows_of

TELLING = frozenset(
    {
        "cap.shape",
        "cap.colour",
        "cap.surface",
        "cap.margin",
        "gills.attachment",
        "gills.colour",
        "gills.spacing",
        "gills.pore-colour",
        "gills.pore-bruise",
        "stem.surface",
        "ring.kind",
        "base.shape",
        "base.volva",
        "flesh.change",
        "smell.kind",
        "print.colour",
        "micro.spore-shape",
        "reaction.koh-cap",
        "reaction.iron-stem",
        "place.habitat",
        "place.trees",
        "season.month",
    }
)
"""The features that tell dangerous taxa and their doubles apart."""


@dataclass(frozen=True, slots=True)
class Share:
    """How many of how many; of 0 where there is nothing to compare with."""

    what: str
    have: int
    of: int

    def __str__(self) -> str:
        if not self.of:
            return f"{self.what}: {self.have}"
        part = 100 * self.have / self.of
        return f"{self.what}: {self.have} of {self.of} ({part:.1f} %)"


class Measure:
    """Counts over the tables of a reference folder."""

    def __init__(self, folder: Path = REFERENCE) -> None:
        self.folder = folder
        self.family = Builder(folder).family
        self.hazards = rows_of(folder / "hazards.csv")
        self.confusions = rows_of(folder / "confusions.csv")
        self.severity: dict[str, set[str]] = defaultdict(set)
        for row in self.hazards:
            self.severity[row["taxon"]].add(row["severity"])

    def _worst(self, *severities: str) -> set[str]:
        return {taxon for taxon, found in self.severity.items() if found & set(severities)}

    def _families(self, row: Row) -> int:
        sources = [row["source"], *(row.get("further") or "").split("|")]
        return len({self.family.get(s, s) for s in sources if s and s != MEMORY})

    def shares(self) -> list[Share]:
        """Count every line that the reading is meant to reach."""
        fatal, grave = self._worst("fatal"), self._worst("fatal", "serious")
        doubles = {r["lookalike"] for r in self.confusions if r["taxon"] in grave}
        states = rows_of(self.folder / "taxon_states.csv")
        sizes = rows_of(self.folder / "taxon_sizes.csv")
        telling = [r for r in states if r["feature"] in TELLING and r["taxon"] in grave | doubles]
        taxa, synonyms = rows_of(self.folder / "taxa.csv"), rows_of(self.folder / "synonyms.csv")
        hazards = [r for r in self.hazards if r["taxon"] in grave]
        deadly = [r for r in self.confusions if {r["taxon"], r["lookalike"]} & fatal]
        return [
            _share("hazard rows of taxa that can kill or harm seriously, with a page", hazards, _read),
            _share("size rows with a page", sizes, _read),
            _cells("sizes (taxon and feature) with a page", sizes),
            _share("state rows of telling features, grave taxa and doubles, with a page", telling, _read),
            _cells("telling features (taxon and feature) of those with a page", telling),
            _share("of those rows, with two text families", telling, lambda r: self._families(r) > 1),
            _share("state rows, whole pack, with a page", states, _read),
            _cells("features (taxon and feature), whole pack, with a page", states),
            _share("mix-ups with a fatal taxon, with a page that names them", deadly, _read),
            _share("mix-ups with a page that names them", self.confusions, _read),
            _share("accepted names with a page", taxa, _read),
            _share("synonyms with a page", synonyms, _read),
            Share("taxa (at least 310)", len(taxa), 310),
            Share(
                "sources, pages read",
                sum(r["source"] != MEMORY for r in rows_of(self.folder / "sources.csv")),
                0,
            ),
        ]

    def rereading(self) -> str:
        """Say how often a second reader read something else, with its 95 % interval (Wilson 1927)."""
        rows = rows_of(self.folder / "record" / "rereading.csv")
        if not rows:
            return "second reading: none yet"
        wrong, n = sum(row["agrees"] == "no" for row in rows), len(rows)
        low, high = wilson(wrong, n)
        return f"second reading: {wrong} of {n} rows differ ({wrong / n:.2%}, 95 % interval {low:.2%} to {high:.2%})"


def wilson(wrong: int, n: int, z: float = 1.959964) -> tuple[float, float]:
    """The score interval of a share (Wilson 1927, Journal of the American Statistical Association 22:209-212)."""
    share = wrong / n
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    return max(0.0, middle - half), min(1.0, middle + half)


def _read(row: Row) -> bool:
    return (
        row["source"] not in {"", MEMORY}
        and not row["source"].endswith("-remembered")
        and row["source"] != "reviews"
    )


def _share(what: str, rows: Iterable[Row], holds: Callable[[Row], bool]) -> Share:
    found = [holds(row) for row in rows]
    return Share(what, sum(found), len(found))


def _cells(what: str, rows: Iterable[Row]) -> Share:
    cells: dict[tuple[str, str], bool] = {}
    for row in rows:
        key = (row["taxon"], row["feature"])
        cells[key] = cells.get(key, False) or _read(row)
    return Share(what, sum(cells.values()), len(cells))


def main() -> int:
    """Print the measure."""
    measure = Measure()
    for share in measure.shares():
        sys.stdout.write(f"{share}\n")
    sys.stdout.write(f"{measure.rereading()}\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
