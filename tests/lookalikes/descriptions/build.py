"""Build the table of published descriptions from readers' notes.

`python -m tests.lookalikes.descriptions.build FOLDER` writes it beside this file.

Each note codes one page blind, in blocks: a line `= address`, then `key: value` lines. Lines whose key is a
feature hold states (comma separated; `~` sometimes, `%` rare, `+` usual, `not` denied) or a number range.
Denied states are left out, for a record of a find says what is there; `absent` stays. Of several blocks for
one page and taxon the first counts; pages that the pack cites are left out. Halves are split by the SHA-256
of the address: even to fit on, odd to report on.
"""

from __future__ import annotations

import csv
import hashlib
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from catalog_gui.domain.feature import Vocabulary
from catalog_gui.lookalikes.reference import ABSENT, Reference
from catalog_gui.packs.reader import read_packs

TABLE = Path(__file__).with_name("descriptions.csv")
OURS = Path(__file__).resolve().parents[3] / "resources" / "reference"
COLUMNS = ("taxon", "page", "kind", "feature", "state", "rarity", "low", "high")
_RANGE = re.compile(r"^(?:\((?P<least>[\d.]+)[^)]*\)\s*)?(?P<low>[\d.]*)(?:-(?P<high>[\d.]+))?")

Row = dict[str, str]


def half(address: str) -> str:
    """'fit' or 'report': which half a page belongs to."""
    return "report" if hashlib.sha256(address.encode()).digest()[0] % 2 else "fit"


def blocks(text: str) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """The address and the (key, value) lines of each block."""
    address, lines = "", list[tuple[str, str]]()
    for line in text.splitlines():
        if line.startswith("= "):
            if address:
                yield address, lines
            address, lines = line[2:].strip(), []
        elif ":" in line and not line.startswith("#"):
            key, _, value = line.partition(":")
            lines.append((key.strip(), value.strip()))
    if address:
        yield address, lines


def rows_of(address: str, lines: list[tuple[str, str]], reference: Reference) -> list[Row]:
    """The rows of one block; empty where the taxon is not in the reference."""
    said = dict(lines)
    taxon = reference.taxon(said.get("taxon", ""))
    if taxon is None or not said.get("heldout"):
        return []
    about = {"taxon": taxon.id, "page": address, "kind": said["heldout"]}
    found: list[Row] = []
    for key, value in lines:
        feature = reference.vocabulary.feature(key)
        plain = re.sub(r"\((season|genus)\)\s*$", "", value).strip()
        if feature is None or "(genus)" in value:
            continue
        if feature.kind == "number":
            found += [about | row for row in _number(key, plain)]
        else:
            found += [about | row for row in _states(key, plain, reference.vocabulary)]
    return found


def _number(key: str, value: str) -> list[Row]:
    match = _RANGE.match(value)
    if match is None or not (match["low"] or match["high"]):
        return []
    low, high = match["low"] or match["high"], match["high"] or match["low"]
    return [{"feature": key, "low": low, "high": high}]


def _states(key: str, value: str, vocabulary: Vocabulary) -> list[Row]:
    rows = []
    for part in value.split(","):
        word = part.strip()
        rarity = word[-1] if word[-1:] in {"~", "%"} else ""
        state = word.rstrip("+~%").strip()
        if not state.startswith("not ") and (state == ABSENT or vocabulary.state(key, state) is not None):
            rows.append({"feature": key, "state": state, "rarity": rarity})
    return rows


def pages_of_the_pack() -> frozenset[str]:
    """The addresses that the pack cites, without scheme and trailing slash."""
    with (OURS / "sources.csv").open(encoding="utf-8", newline="") as stream:
        return frozenset(plain(row["address"]) for row in csv.DictReader(stream) if row.get("address"))


def plain(address: str) -> str:
    """An address without what may differ between two spellings of it."""
    return re.sub(r"^https?://(www\.)?", "", address).rstrip("/").casefold()


def build(folder: Path) -> list[Row]:
    """All rows of the notes in a folder, by page; without pages that the pack uses."""
    reference, used = read_packs(OURS), pages_of_the_pack()
    found: dict[tuple[str, str], list[Row]] = {}
    for file in sorted(folder.glob("*.txt")):
        for address, lines in blocks(file.read_text("utf-8")):
            rows = rows_of(address, lines, reference)
            if rows and plain(address) not in used:
                found.setdefault((rows[0]["taxon"], address), rows)
    return [row for key in sorted(found) for row in found[key]]


def main() -> None:
    """Write the table beside this file."""
    rows = build(Path(sys.argv[1]))
    with TABLE.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, COLUMNS, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    pages = {(row["taxon"], row["page"]) for row in rows}
    fit = sum(half(page) == "fit" for _, page in pages)
    print(
        f"{len(pages)} descriptions of {len({t for t, _ in pages})} taxa, {fit} to fit on, {len(rows)} rows"
    )


if __name__ == "__main__":
    main()
