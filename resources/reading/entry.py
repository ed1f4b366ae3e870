"""Enter reading notes into the record: `python -m resources.reading.entry NOTES.txt ... [--checked]`.

A page that was entered before is entered anew as a whole: its rows give way to those of the notes. Nothing
is entered from notes that hold a mistake; the mistake is named with file and line.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from resources.reading.notes import Block, NotesProblem, blocks_of
from resources.reading.record import RECORD, REFERENCE, SOURCES, TABLES, Row, rows_of, write

KINDS = frozenset(
    [
        "society-sheet",
        "toxicology-sheet",
        "handbook",
        "monograph",
        "paper",
        "poison-centre",
        "university",
        "museum",
        "encyclopaedia",
        "own-site",
    ]
)
SEEN = {"whole": "yes", "excerpt": "yes", "abstract": "abstract", "quoted": "quoted"}
SEVERITIES = frozenset({"deaths", "severe", "gut", "none-stated", "suspected", "said-not"})
FOOD = re.compile(
    r"\b(edib\w*|esculent|comestib\w*|commestib\w*|safe\w*|delicious|delicate|delicac\w*|tasty|harmless|non-?toxic"
    r"|non-?poisonous|wholesome|good|excellent|choice|culinary|recipes?|food|nourish\w*|prized|sought after)\b",
    re.IGNORECASE,
)
"""What a page says of use as food is not written down: the pack holds nothing of it."""
LISTED = "named in a list of the syndrome"
_AUTHORITY = re.compile(
    r"^([A-Z][\w-]+(?: [a-zë-]+(?:-[a-z]+)?)(?: (?:var|f|subsp|ssp)\.? [a-z-]+)?)\s*(.*)$"
)


@dataclass
class Vocabulary:
    """What a note may speak of: features by kind, the states of each, and which may be absent."""

    numbers: dict[str, str]
    states: dict[str, set[str]]

    @classmethod
    def read(cls, folder: Path = REFERENCE) -> Vocabulary:
        """Read features.csv and states.csv of a reference pack."""
        numbers: dict[str, str] = {}
        states: dict[str, set[str]] = {}
        for row in rows_of(folder / "features.csv"):
            if row["kind"] == "number":
                numbers[row["feature"]] = row["unit"]
            elif row["kind"] == "states":
                states[row["feature"]] = {"absent"} if row["absent_name"] else set()
        for row in rows_of(folder / "states.csv"):
            states[row["feature"]].add(row["state"])
        return cls(numbers, states)


@dataclass
class Record:
    """The tables of the record in memory, and the sources."""

    sources: dict[str, Row] = field(default_factory=dict)
    tables: dict[str, list[Row]] = field(default_factory=dict)

    @classmethod
    def read(cls, folder: Path = REFERENCE) -> Record:
        """Read the record that stands in a reference folder."""
        return cls(
            {row["source"]: row for row in rows_of(folder / "sources.csv")},
            {name: rows_of(folder / "record" / f"{name}.csv") for name in TABLES},
        )

    def save(self, folder: Path = REFERENCE) -> None:
        """Write every table, sorted, so that the same record is the same bytes."""
        write(folder / "sources.csv", SOURCES, sorted(self.sources.values(), key=source_order))
        for name, columns in TABLES.items():
            rows = sorted(self.tables[name], key=lambda row: tuple(row.get(c) or "" for c in columns))
            write(folder / "record" / f"{name}.csv", columns, rows)

    def enter(
        self, blocks: Iterable[Block], vocabulary: Vocabulary, *, read_on: str, checked: str
    ) -> list[str]:
        """Enter blocks; gives the ids of the sources. Raises NotesProblem, and then nothing is entered."""
        known = list(blocks)
        for block in known:
            _check(block, vocabulary)
        ids = {block.address: self._source_of(block, known, read_on) for block in known}
        gone = {(ids[block.address], block.head["taxon"]) for block in known}
        whole = {source for source, taxon in gone if not taxon.startswith("syndrome-")}
        for name, rows in self.tables.items():
            self.tables[name] = [
                r
                for r in rows
                if (r["source"], r["taxon"]) not in gone
                and not (
                    r.get("note") == LISTED and r["source"] not in whole and r["source"] in set(ids.values())
                )
            ]
        for block in known:
            self._rows(block, ids[block.address], vocabulary, block.head.get("read", read_on), checked)
        return sorted(set(ids.values()))

    def _source_of(self, block: Block, blocks: list[Block], read_on: str) -> str:
        found = next((s for s, row in self.sources.items() if row.get("address") == block.address), None)
        head = block.head
        of_page = {b.head["taxon"] for b in blocks if b.address == block.address}
        source = found or self._new_id(block, several=len(of_page) > 1)
        extent = head["extent"].split()[0].strip(";,")
        author = "" if head.get("author", "?").startswith("?") else head["author"]
        year = "" if head.get("year", "?").startswith("?") else head["year"]
        title = "" if head["title"].startswith("?") or FOOD.search(head["title"]) else head["title"]
        publisher = head.get("publisher", "")
        family = head.get("family", "own").split()[0].strip(";,")
        self.sources[source] = {
            "source": source,
            "citation": citation(author, year, title, publisher, block.address),
            "kind": head["kind"].split()[0],
            "year": year,
            "seen": SEEN[extent],
            "title": title,
            "author": author,
            "publisher": publisher,
            "language": head["lang"],
            "address": block.address,
            "read_on": head.get("read", read_on),
            "extent": extent,
            "level": head["level"].split()[0].strip(";,"),
            "text_family": "" if family in {"own", block.address} else family,
        }
        return source

    def _new_id(self, block: Block, *, several: bool) -> str:
        host = urlsplit(block.address).hostname or "page"
        labels = [
            label for label in host.split(".") if label not in {"www", "lnx", "it", "com", "org", "net"}
        ]
        stem = re.sub(r"[^a-z0-9]+", "", max(labels, key=len) if labels else host)
        about = (
            re.sub(r"[^a-z0-9]+", "-", FOOD.sub("", block.head["title"]).casefold())
            .strip("-")[:40]
            .strip("-")
        )
        wanted = f"{stem}-{about or 'page' if several else block.head['taxon']}"
        number, source = 1, wanted
        while source in self.sources:
            number += 1
            source = f"{wanted}-{number}"
        return source

    def _rows(self, block: Block, source: str, vocabulary: Vocabulary, read_on: str, checked: str) -> None:
        taxon = block.head["taxon"]
        common = {"taxon": taxon, "source": source, "read_on": read_on, "checked": checked}
        place = block.head.get("place", "")
        statements = self.tables["statements"]
        done: set[tuple[str, str]] = set()
        for said in block.states:
            if (said.feature, said.state) in done:
                continue
            done.add((said.feature, said.state))
            statements.append(
                {
                    **common,
                    "feature": said.feature,
                    "state": said.state,
                    "says": "shows" if said.shows else "denies",
                    "how_often": said.how_often,
                    "basis": said.basis,
                    "place": place,
                }
            )
        for size in block.sizes:
            if (size.feature, "") in done:
                continue
            done.add((size.feature, ""))
            statements.append(
                {
                    **common,
                    "feature": size.feature,
                    "low": size.low,
                    "high": size.high,
                    "extreme_low": size.extreme_low,
                    "extreme_high": size.extreme_high,
                    "unit": vocabulary.numbers[size.feature],
                    "n": size.n,
                    "says": "shows",
                    "how_often": "unsaid",
                    "basis": size.basis,
                    "place": place,
                }
            )
        self.tables["names"] += [{**common, **row} for row in names_of(block)]
        self.tables["mix_ups"] += [
            {**common, **row, "note": without_food(row["note"])} for row in mix_ups_of(block)
        ]
        poisonings = [{**row, "note": without_food(row["note"])} for row in poisonings_of(block)]
        self.tables["poisonings"] += [{**common, **row} for row in poisonings]
        for listed in re.findall(r"[a-z]+-[a-z-]+", ", ".join(block.several.get("taxa", []))):
            for row in poisonings:
                named = {"syndrome": row["syndrome"], "note": LISTED}
                self.tables["poisonings"].append({**common, **named, "taxon": listed})
        for kind in ("other", "note"):
            for text in block.several.get(kind, []):
                about, mark, remark = text.partition(" ; ")
                feature = about.strip() if mark and kind == "other" else ""
                words = (remark if feature else text).strip()
                if kept := without_food(words):
                    self.tables["remarks"].append({**common, "about": feature, "remark": kept})


def _check(block: Block, vocabulary: Vocabulary) -> None:
    where = f"line {block.line} ({block.address})"
    for name in ("kind", "title", "lang", "extent", "level", "taxon", "as"):
        if name not in block.head:
            raise NotesProblem(f"{where}: '{name}' is missing")
    if block.head["kind"].split()[0] not in KINDS:
        raise NotesProblem(
            f"{where}: the kind '{block.head['kind']}' is not one of {', '.join(sorted(KINDS))}"
        )
    if block.head["extent"].split()[0].strip(";,") not in SEEN:
        raise NotesProblem(f"{where}: the extent '{block.head['extent']}' is not one of {', '.join(SEEN)}")
    for row in poisonings_of(block):
        if row.get("severity", "") not in {"", *SEVERITIES}:
            raise NotesProblem(
                f"{where}: the severity '{row['severity']}' is not one of {', '.join(sorted(SEVERITIES))}"
            )
    for said in block.states:
        states = vocabulary.states.get(said.feature)
        if states is None:
            raise NotesProblem(f"{where}: there is no feature '{said.feature}' that takes states")
        if said.state not in states:
            raise NotesProblem(f"{where}: {said.feature} has no state '{said.state}'")


def citation(author: str, year: str, title: str, publisher: str, address: str) -> str:
    """Write a source as it is printed: 'Author Year. Title. Publisher. address', what is missing left out."""
    who = f"{author} {year}".strip() if author else ""
    parts = [who or year, title, publisher]
    said = ". ".join(part.rstrip(".") for part in parts if part and part != "?")
    return f"{said}. {address}" if said else address


def names_of(block: Block) -> list[Row]:
    """Take the accepted name and the synonyms of a page apart into name and authority."""
    rows: list[Row] = []
    for role, text in [("accepted", block.head["as"])] + [
        ("synonym", part) for part in re.split(r"\s*\|\s*", block.head.get("synonyms", ""))
    ]:
        said, _, sense = text.partition(" sensu ")
        said = said.split(" (sub ")[0].strip().strip(";,")
        match = _AUTHORITY.match(said)
        if not match:
            continue
        sense = f"sensu {sense}" if sense else ""
        row = {"name": match[1].strip(), "authority": match[2].strip(" ;,"), "role": role, "sense": sense}
        if all(row["name"] != other["name"] for other in rows):
            rows.append(row)
    return rows


def mix_ups_of(block: Block) -> list[Row]:
    """Take the mix-ups that a page names apart: other taxon, what separates, what does not, a note."""
    rows: list[Row] = []
    for text in block.several.get("confused", []):
        parts = [part.strip() for part in text.split(" ; ")]
        row = {
            "lookalike": parts[0].split()[0].strip(";,"),
            "separates": "",
            "does_not_separate": "",
            "note": "",
        }
        for part in parts[1:]:
            for word, column in (("separates", "separates"), ("does-not-separate", "does_not_separate")):
                if part.startswith(word + " "):
                    found = re.findall(r"[a-z]+\.[a-z-]+", part)
                    row[column] = "|".join(dict.fromkeys(found))
                    break
            else:
                row["note"] = part.removeprefix("note ").strip()
        if re.fullmatch(r"[a-z]+(-[a-z0-9]+)+", row["lookalike"]) and all(
            row["lookalike"] != other["lookalike"] for other in rows
        ):
            rows.append(row)
    return rows


ORGANS = frozenset(
    [
        "liver",
        "kidney",
        "kidneys",
        "brain",
        "nerves",
        "muscle",
        "muscles",
        "blood",
        "marrow",
        "heart",
        "skin",
        "lungs",
        "gut",
        "hands",
        "eyes",
    ]
)
"""Words for what a later stage strikes; anything else that a note says of it stays in the note."""
_WINDOW = re.compile(r"(?<!up to )(?<!\d)(\d+(?:\.\d+)?)\s*(?:-|to)\s*(\d+(?:\.\d+)?)\s*(min|h|d)\b")


def poisonings_of(block: Block) -> list[Row]:
    """Take what a page says of poisoning apart: syndrome, toxin, severity, gut and organ windows, a note."""
    rows: list[Row] = []
    for text in block.several.get("hazard", []):
        parts = [part.strip() for part in text.split(" ; ")]
        row: Row = {"syndrome": parts[0].split()[0].strip(";,"), "note": ""}
        for part in parts[1:]:
            word, _, rest = part.partition(" ")
            window = _WINDOW.search(rest)
            if word == "toxin":
                row["toxin"] = rest
            elif word == "severity":
                row["severity"] = rest.split()[0].strip(";,")
                row["note"] = "; ".join(filter(None, [row["note"], " ".join(rest.split()[1:])]))
            elif word == "gut" and window:
                row.update(gut_low=window[1], gut_high=window[2], gut_unit=window[3])
                _rest(row, rest, window)
            elif word == "organ":
                first = rest.split()[0].strip(";,:")
                row["organ"] = first if first in ORGANS else ""
                if window:
                    row.update(organ_low=window[1], organ_high=window[2], organ_unit=window[3])
                _rest(row, rest, window)
            else:
                row["note"] = "; ".join(filter(None, [row["note"], part.removeprefix("note ")]))
        rows.append(row)
    return rows


def _rest(row: Row, rest: str, window: re.Match[str] | None) -> None:
    """Keep in the note whatever a window said beyond its two numbers."""
    plain = f"{window[1]}-{window[2]} {window[3]}" if window else ""
    if rest.strip() not in {plain, row.get("organ", ""), f"{row.get('organ', '')} {plain}"}:
        row["note"] = "; ".join(filter(None, [row["note"], rest.strip()]))


def without_food(text: str) -> str:
    """Leave out the clauses of a remark that speak of use as food."""
    return "; ".join(part for part in re.split(r"\s*;\s*", text) if part and not FOOD.search(part))


def source_order(row: Row) -> tuple[int, str]:
    """The order in which sources are listed: memory first, then by id."""
    return (row["source"] != "memory", row["source"])


def main(argv: list[str] | None = None) -> int:
    """Enter the notes named on the command line."""
    parser = argparse.ArgumentParser(description="Enter reading notes into the record of the reference pack.")
    parser.add_argument("notes", nargs="+", type=Path)
    parser.add_argument("--read-on", required=True, help="the day of the reading, for example 2026-12-01")
    parser.add_argument("--checked", default="", help="the day of a second reading, if there was one")
    given = parser.parse_args(argv)
    vocabulary, record = Vocabulary.read(), Record.read()
    for path in given.notes:
        try:
            blocks = list(blocks_of(path.read_text(encoding="utf-8"), frozenset(vocabulary.numbers)))
            ids = record.enter(blocks, vocabulary, read_on=given.read_on, checked=given.checked)
        except (NotesProblem, OSError, UnicodeDecodeError) as problem:
            sys.stderr.write(f"{path}: {problem}\n")
            return 2
        sys.stdout.write(f"{path}: {len(blocks)} pages and taxa, {len(ids)} sources\n")
    record.save()
    sys.stdout.write(
        f"The record stands in {RECORD}. Build the tables with: python -m resources.reading.build\n"
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
