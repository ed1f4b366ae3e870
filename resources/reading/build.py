"""Build the tables that are weighed with from the record: `python -m resources.reading.build [--check]`.

The same record gives the same bytes. What was read stands before what is remembered; what nobody has read
yet stays as `memory`. How several texts become one row is told in `frequency_of` and `kept_from_memory`;
the rule is ours (no source) and leans to the side of the danger: a state that one text gives for a taxon
that poisons stays in its row, and so does what is remembered of whatever wears, washes off or is left behind.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from resources.reading.entry import Record
from resources.reading.record import REFERENCE, Row, rows_of, text_of

MEMORY = "memory"
ORDER = ("always", "usually", "sometimes", "rarely", "never")
WEIGHT = {"usual": 1.0, "unsaid": 0.8, "sometimes": 0.35, "rare": 0.08}
"""How often a text means a state to be there, by its word (our reading; common practice, no source)."""
USUALLY, SOMETIMES = 0.5, 0.15
"""Mean weight over the texts from which a state counts as usual, and as there sometimes."""
UNANIMOUS = {True: 3, False: 2}
"""How many texts must agree before a state counts as always there: of a taxon that poisons, of another."""
BODY_FORM = "whole.form"
"""What kind of fruit body it is stays as remembered: no text on a species lists its closed egg as a form."""
UNDERSIDE_FEATURE = "gills.kind"
UNDERSIDE = {
    "agaric": ("gills", frozenset({"gills.attachment", "gills.spacing", "gills.edge", "gills.colour"})),
    "bolete": ("pores", frozenset({"gills.pore-colour", "gills.pore-shape", "gills.pore-bruise"})),
    "fold-bearing": ("folds", frozenset({"gills.attachment", "gills.folds-depth", "gills.spacing"})),
}
"""By body form: the kind of underside, and the features of which a text can only speak where it is there."""
UNSTEADY_PARTS = frozenset({"smell", "taste", "place", "season"})

STATE_COLUMNS = ("taxon", "feature", "state", "frequency", "source", "note", "texts", "further")
SIZE_COLUMNS = (
    "taxon",
    "feature",
    "low",
    "high",
    "extreme_low",
    "extreme_high",
    "unit",
    "source",
    "note",
)
SYNONYM_COLUMNS = ("taxon", "name", "authority", "note", "source")
CONFUSION_COLUMNS = ("taxon", "lookalike", "separates", "does_not_separate", "note", "source", "further")


def frequency_of(marks: Iterable[str], texts: int) -> str:
    """Turn what texts say of one state into a frequency word.

    `marks`: usual, unsaid, sometimes or rare, one for each text that shows the state. `texts`: how many
    texts speak of the feature at all.
    """
    mean = sum(WEIGHT[mark] for mark in marks) / texts
    if mean >= USUALLY:
        return "usually"
    return "sometimes" if mean >= SOMETIMES else "rarely"


def kept_from_memory(remembered: str, texts: int, *, poisons: bool, wears: bool) -> str:
    """The frequency that a remembered state keeps where texts speak of the feature without it; '' for none.

    `poisons`: the taxon has a hazard. `wears`: the feature fades, wears off or is often missed.
    """
    if remembered == "never":
        return ""
    if poisons and wears:
        return _rarer(remembered, "usually")
    if poisons:
        return _rarer(remembered, "sometimes" if texts < UNANIMOUS[True] else "rarely")
    if texts == 1:
        return _rarer(remembered, "sometimes")
    return "rarely" if texts == UNANIMOUS[False] else ""


def _rarer(one: str, other: str) -> str:
    return max(one, other, key=ORDER.index)


@dataclass
class Builder:
    """The record of a folder, and the tables that follow from it."""

    folder: Path = REFERENCE

    @cached_property
    def record(self) -> Record:
        """What was read."""
        return Record.read(self.folder)

    def remembered(self, table: str) -> list[Row]:
        """Rows of a table as they stood before a page was read."""
        return rows_of(self.folder / "record" / f"memory_{table}.csv")

    @cached_property
    def features(self) -> dict[str, Row]:
        """The features, by id."""
        return {row["feature"]: row for row in rows_of(self.folder / "features.csv")}

    @cached_property
    def taxa(self) -> list[Row]:
        """The list of taxa as it is kept by hand."""
        return rows_of(self.folder / "record" / "taxa.csv")

    @cached_property
    def poisons(self) -> dict[str, str]:
        """The worst severity of each taxon that has a hazard."""
        rank = ["fatal", "serious", "unpleasant"]
        worst: dict[str, str] = {}
        for row in rows_of(self.folder / "hazards.csv"):
            now = worst.get(row["taxon"], "unpleasant")
            worst[row["taxon"]] = min(now, row["severity"], key=rank.index)
        return worst

    @cached_property
    def family(self) -> dict[str, str]:
        """The text family of each source: its own id, or that of the page its text was taken from."""
        by_address = {row["address"]: name for name, row in self.record.sources.items() if row.get("address")}
        return {
            name: by_address.get(row.get("text_family") or "", row.get("text_family") or name)
            for name, row in self.record.sources.items()
        }

    @cached_property
    def said(self) -> dict[tuple[str, str], list[Row]]:
        """Statements by taxon and feature; those from a text on the genus only where nothing else speaks."""
        rows: dict[tuple[str, str], list[Row]] = defaultdict(list)
        for row in [*self.record.tables["statements"], *self._implied()]:
            rows[row["taxon"], row["feature"]].append(row)
        return {
            key: [row for row in found if row["basis"] != "genus"] or found
            for key, found in sorted(rows.items())
        }

    def _implied(self) -> list[Row]:
        """A text that tells how gills, pores or spines stand says with it that they are there."""
        told: dict[tuple[str, str], set[str]] = defaultdict(set)
        for row in self.record.tables["statements"]:
            told[row["source"], row["taxon"]].add(row["feature"])
        forms = {row["taxon"]: row["forms"].split("|")[0] for row in self.taxa}
        rows = []
        for (source, taxon), features in sorted(told.items()):
            kind = UNDERSIDE.get(forms.get(taxon, ""))
            if kind and UNDERSIDE_FEATURE not in features and features & kind[1]:
                row = {"taxon": taxon, "feature": UNDERSIDE_FEATURE, "state": kind[0], "source": source}
                rows.append({**row, "says": "shows", "how_often": "unsaid", "basis": "implied"})
        return rows

    def ordered(self, sources: Iterable[str]) -> list[str]:
        """Put sources in the order in which they are printed: read whole first, then by id."""
        rank = {"whole": 0, "excerpt": 1, "abstract": 2, "quoted": 3}
        return sorted(
            set(sources), key=lambda s: (rank.get(self.record.sources[s].get("extent") or "", 4), s)
        )

    def state_rows(self) -> list[Row]:
        """Build taxon_states: one row a state, with the texts that show it and how many speak of the feature."""
        remembered: dict[tuple[str, str], dict[str, str]] = defaultdict(dict)
        for row in self.remembered("states"):
            remembered[row["taxon"], row["feature"]][row["state"]] = row["frequency"]
        known = {row["taxon"] for row in self.taxa}
        keys = {key for key in (*remembered, *self.said) if key[0] in known}
        rows: list[Row] = []
        for taxon, feature in sorted(keys, key=self._place_of):
            if self.features[feature]["kind"] != "states":
                continue
            rows += self._states_of(taxon, feature, remembered.get((taxon, feature), {}))
        return rows

    def _place_of(self, key: tuple[str, str]) -> tuple[int, int]:
        return (self._taxon_order[key[0]], self._feature_order[key[1]])

    @cached_property
    def _taxon_order(self) -> dict[str, int]:
        return {row["taxon"]: number for number, row in enumerate(self.taxa)}

    @cached_property
    def _feature_order(self) -> dict[str, int]:
        return {name: number for number, name in enumerate(self.features)}

    def _states_of(self, taxon: str, feature: str, remembered: Mapping[str, str]) -> list[Row]:
        spoken = self.said.get((taxon, feature), [])
        texts = {self.family[row["source"]] for row in spoken}
        shown: dict[str, dict[str, str]] = defaultdict(dict)
        by_state: dict[str, list[str]] = defaultdict(list)
        for row in spoken:
            if row["says"] != "shows":
                continue
            by_state[row["state"]].append(row["source"])
            marks = shown[row["state"]]
            family = self.family[row["source"]]
            marks[family] = max(marks.get(family, "rare"), row["how_often"], key=lambda m: WEIGHT[m])
        frequencies = {state: frequency_of(marks.values(), len(texts)) for state, marks in shown.items()}
        denied = {row["state"] for row in spoken if row["says"] == "denies"} - set(shown)
        row_of = self.features[feature]
        wears, poisons = int(row_of["fragility"]) > 0, taxon in self.poisons
        if self._unanimous(taxon, row_of, shown, len(texts)):
            frequencies = dict.fromkeys(frequencies, "always")
        kept = {}
        for state, frequency in remembered.items():
            if state in frequencies:
                if feature == BODY_FORM or (poisons and wears):
                    better = min(frequencies[state], frequency, key=ORDER.index)
                    frequencies[state] = better if better != "always" or not poisons else frequencies[state]
            elif not texts or feature == BODY_FORM:
                kept[state] = frequency
            elif word := kept_from_memory(frequency, len(texts), poisons=poisons, wears=wears):
                kept[state] = word
        if kept and "always" in frequencies.values():
            frequencies = {s: "usually" if word == "always" else word for s, word in frequencies.items()}
        if len(kept) + len(frequencies) > 1:
            kept = {s: "usually" if word == "always" and texts else word for s, word in kept.items()}
        if poisons and self.poisons[taxon] != "unpleasant" and (wears or row_of["part"] in UNSTEADY_PARTS):
            kept = {s: "usually" if word == "always" else word for s, word in kept.items()}
        rows = []
        for state, frequency in frequencies.items():
            sources = self.ordered(by_state[state])
            rows.append(
                {
                    "taxon": taxon,
                    "feature": feature,
                    "state": state,
                    "frequency": frequency,
                    "source": sources[0],
                    "texts": f"{len(shown[state])}/{len(texts)}",
                    "further": "|".join(sources[1:]),
                }
            )
        for state, frequency in kept.items():
            rows.append(
                {"taxon": taxon, "feature": feature, "state": state, "frequency": frequency, "source": MEMORY}
            )
        for state in sorted(denied - set(kept)):
            sources = self.ordered(r["source"] for r in spoken if r["state"] == state)
            rows.append(
                {
                    "taxon": taxon,
                    "feature": feature,
                    "state": state,
                    "frequency": "never",
                    "source": sources[0],
                    "texts": f"0/{len(texts)}",
                    "further": "|".join(sources[1:]),
                }
            )
        if all(row["frequency"] == "never" for row in rows):
            return rows
        return sorted(rows, key=lambda r: (ORDER.index(r["frequency"]), r["source"] == MEMORY, r["state"]))

    def _unanimous(
        self, taxon: str, feature: Row, shown: Mapping[str, Mapping[str, str]], texts: int
    ) -> bool:
        if len(shown) != 1 or int(feature["fragility"]) > 0 or feature["part"] in UNSTEADY_PARTS:
            return False
        (marks,) = shown.values()
        sure = all(mark in {"usual", "unsaid"} for mark in marks.values())
        return sure and len(marks) == texts >= UNANIMOUS[taxon in self.poisons]

    def size_rows(self) -> list[Row]:
        """Build taxon_sizes: one row a text; what is remembered gives way once a text gives a range."""
        remembered = {(row["taxon"], row["feature"]): row for row in self.remembered("sizes")}
        known = {row["taxon"] for row in self.taxa}
        rows: list[Row] = []
        keys = {key for key in (*remembered, *self.said) if key[0] in known}
        for key in sorted(keys, key=self._place_of):
            feature = self.features[key[1]]
            if feature["kind"] != "number":
                continue
            old = remembered.get(key)
            built = self._sizes_of(key, feature, old)
            general = any(self.record.sources[row["source"]].get("level") != "voucher" for row in built)
            if old and not (general or len(built) > 1):
                built.append({**old, "source": MEMORY})
            rows += built
        return rows

    def _sizes_of(self, key: tuple[str, str], feature: Row, old: Row | None) -> list[Row]:
        found = self.said.get(key, [])
        lows = [float(row["low"]) for row in found if row["low"]]
        built: dict[str, Row] = {}
        for row in sorted(found, key=lambda r: self.ordered([s["source"] for s in found]).index(r["source"])):
            high = float(row["high"] or row["extreme_high"] or row["low"])
            note = ""
            if row["low"]:
                low = float(row["low"])
            else:
                below = min(lows, default=float(old["low"]) if old else high / 2)
                low, note = min(below, high), f"the text says only: up to {high:g}"
            low, high = min(low, high), max(low, high)
            beyond = [float(row[c]) for c in ("extreme_low", "extreme_high") if row[c]]
            least, most = min([low, *beyond]), max([high, *beyond])
            built.setdefault(
                self.family[row["source"]],
                {
                    "taxon": key[0],
                    "feature": key[1],
                    "low": f"{low:g}",
                    "high": f"{high:g}",
                    "extreme_low": f"{least:g}" if least < low else "",
                    "extreme_high": f"{most:g}" if most > high else "",
                    "unit": feature["unit"],
                    "source": row["source"],
                    "note": note,
                },
            )
        return list(built.values())

    @cached_property
    def names(self) -> dict[str, list[Row]]:
        """Names that pages give, by taxon."""
        rows: dict[str, list[Row]] = defaultdict(list)
        for row in self.record.tables["names"]:
            rows[row["taxon"]].append(row)
        return rows

    def taxon_rows(self) -> list[Row]:
        """Build taxa: the list kept by hand, each name with a page that gives it, if one was read."""
        rows = []
        for row in self.taxa:
            pages = [n["source"] for n in self.names.get(row["taxon"], []) if n["name"] == row["name"]]
            rows.append({**row, "source": self.ordered(pages)[0] if pages else MEMORY})
        return rows

    def synonym_rows(self) -> list[Row]:
        """Build synonyms: what pages give, then what is remembered. A name that two taxa claim is left out."""
        accepted = {row["name"]: row["taxon"] for row in self.taxa}
        claims: dict[str, set[str]] = defaultdict(set)
        for taxon, names in self.names.items():
            for row in names:
                if not row["sense"]:
                    claims[row["name"]].add(taxon)
        remembered = self.remembered("synonyms")
        for row in remembered:
            claims[row["name"]].add(row["taxon"])
        rows: list[Row] = []
        for row in self.taxa:
            taxon = row["taxon"]
            read: dict[str, list[Row]] = defaultdict(list)
            for name in self.names.get(taxon, []):
                if not name["sense"] and len(claims[name["name"]]) == 1 and name["name"] not in accepted:
                    read[name["name"]].append(name)
            old = {r["name"]: r for r in remembered if r["taxon"] == taxon and r["name"] not in accepted}
            for name in sorted({*read, *old}):
                pages = self.ordered(n["source"] for n in read.get(name, []))
                authority = next((n["authority"] for n in read.get(name, []) if n["authority"]), "")
                rows.append(
                    {
                        "taxon": taxon,
                        "name": name,
                        "authority": (old[name]["authority"] if name in old else "") or authority,
                        "note": old[name]["note"] if name in old else "",
                        "source": pages[0] if pages else MEMORY,
                    }
                )
        return rows

    def confusion_rows(self, states: Iterable[Row]) -> list[Row]:
        """Build confusions: each pair in both directions with the same content.

        `source` is a page that names the mix-up. What separates is what a page names, else what is
        remembered, else what the built states show apart.
        """
        known = {row["taxon"] for row in self.taxa}
        read: dict[frozenset[str], list[Row]] = defaultdict(list)
        for row in self.record.tables["mix_ups"]:
            if row["lookalike"] in known and row["taxon"] in known and row["lookalike"] != row["taxon"]:
                read[frozenset((row["taxon"], row["lookalike"]))].append(row)
        remembered = {frozenset((r["taxon"], r["lookalike"])): r for r in self.remembered("confusions")}
        common = _common_states(states)
        pairs = sorted({*read, *remembered}, key=lambda pair: sorted(self._taxon_order[t] for t in pair))
        rows: list[Row] = []
        for pair in pairs:
            one, other = sorted(pair, key=self._taxon_order.__getitem__)
            old, pages = remembered.get(pair), read.get(pair, [])
            apart = _features(old["separates"] if old else "")
            alike = _features(old["does_not_separate"] if old else "")
            for row in pages:
                apart += [f for f in _features(row["separates"]) if f not in apart and f in self.features]
            if not apart or not old:
                apart += [f for f in self._told_apart(common, one, other) if f not in apart][:4]
            if not apart:
                continue
            for row in pages:
                alike += [f for f in _features(row["does_not_separate"]) if f not in alike]
            alike = [f for f in alike if f not in apart and f in self.features]
            sources = self.ordered(row["source"] for row in pages)
            content = {
                "separates": "|".join(apart),
                "does_not_separate": "|".join(alike),
                "note": old["note"] if old else "",
                "source": sources[0] if sources else MEMORY,
                "further": "|".join(sources[1:]),
            }
            rows.append({"taxon": one, "lookalike": other, **content})
            rows.append({"taxon": other, "lookalike": one, **content})
        return sorted(rows, key=lambda r: (self._taxon_order[r["taxon"]], self._taxon_order[r["lookalike"]]))

    def _told_apart(self, common: Mapping[tuple[str, str], set[str]], one: str, other: str) -> list[str]:
        steady = [
            f
            for f, row in self.features.items()
            if row["kind"] == "states" and row["part"] not in UNSTEADY_PARTS and f != BODY_FORM
        ]
        found = [
            f for f in steady if (a := common.get((one, f))) and (b := common.get((other, f))) and not a & b
        ]
        cost = ["picture", "specimen", "dig", "cut", "print", "smell", "habitat", "microscope", "reagent"]
        return sorted(found, key=lambda f: cost.index(self.features[f]["cost"] or "picture"))

    def tables(self) -> dict[str, str]:
        """Build every table: file name to text."""
        states = self.state_rows()
        taxa_columns = tuple(self.taxa[0]) if "source" in self.taxa[0] else (*self.taxa[0], "source")
        return {
            "taxa.csv": text_of(taxa_columns, self.taxon_rows()),
            "synonyms.csv": text_of(SYNONYM_COLUMNS, self.synonym_rows()),
            "taxon_states.csv": text_of(STATE_COLUMNS, states),
            "taxon_sizes.csv": text_of(SIZE_COLUMNS, self.size_rows()),
            "confusions.csv": text_of(CONFUSION_COLUMNS, self.confusion_rows(states)),
        }


def _features(cell: str) -> list[str]:
    return [part for part in cell.split("|") if part]


def _common_states(states: Iterable[Row]) -> dict[tuple[str, str], set[str]]:
    common: dict[tuple[str, str], set[str]] = defaultdict(set)
    for row in states:
        if row["frequency"] in {"always", "usually", "sometimes"}:
            common[row["taxon"], row["feature"]].add(row["state"])
    return common


def main(argv: list[str] | None = None) -> int:
    """Write the tables, or with --check say which of them differ from the record."""
    parser = argparse.ArgumentParser(
        description="Build the reference tables from the record of what was read."
    )
    parser.add_argument(
        "--check", action="store_true", help="write nothing; end with 1 where a table differs"
    )
    given = parser.parse_args(argv)
    differs = []
    for name, text in Builder().tables().items():
        path = REFERENCE / name
        if given.check:
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                differs.append(name)
        else:
            path.write_text(text, encoding="utf-8", newline="")
    for name in differs:
        sys.stderr.write(f"{name} is not what the record gives; run python -m resources.reading.build\n")
    return 1 if differs else 0


if __name__ == "__main__":
    raise SystemExit(main())
