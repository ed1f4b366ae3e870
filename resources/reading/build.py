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

from resources.reading.entry import Record, source_order
from resources.reading.record import REFERENCE, SOURCES, Row, rows_of, text_of

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
WEARS = 2
"""From this fragility on, what is remembered of a taxon that poisons stays beside what is read."""
UNDERSIDE_FEATURE = "gills.kind"
UNDERSIDE = {
    "agaric": ("gills", frozenset({"gills.attachment", "gills.spacing", "gills.edge", "gills.colour"})),
    "bolete": ("pores", frozenset({"gills.pore-colour", "gills.pore-shape", "gills.pore-bruise"})),
    "fold-bearing": ("folds", frozenset({"gills.attachment", "gills.folds-depth", "gills.spacing"})),
}
"""By body form: the kind of underside, and the features of which a text can only speak where it is there."""
SEVERITIES = ("fatal", "serious", "unpleasant")
KIND_ORDER = (
    "paper",
    "poison-centre",
    "toxicology-sheet",
    "monograph",
    "handbook",
    "university",
    "museum",
    "society-sheet",
    "encyclopaedia",
    "own-site",
)
WEIGHTY = frozenset(KIND_ORDER[:6])
"""Kinds of page of which one is enough to say that a taxon poisons, or has killed."""
NOT_TO_SPECIES = ("GENUS-ONLY", "COMMON-NAME")
"""How the note of a mix-up begins where the page names only a genus or a folk name: no page for the pair."""
NOT_NAMED = "the page describes the poisoning and does not name this taxon, for which it stands from memory"
RING = "ring.kind"
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
HAZARD_COLUMNS = (
    "taxon",
    "syndrome",
    "toxin",
    "severity",
    "onset_low",
    "onset_high",
    "onset_unit",
    "onset_counts",
    "misleads",
    "source",
    "note",
    "further",
)
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

    `poisons`: the taxon has a hazard. `wears`: it has one, and the feature wears off or is often missed.
    """
    if remembered == "never":
        return ""
    if wears:
        return _rarer(remembered, "usually")
    if texts == 1:
        return _rarer(remembered, "sometimes")
    return "rarely" if poisons and texts == UNANIMOUS[False] else ""


def _rarer(one: str, other: str) -> str:
    return max(one, other, key=ORDER.index)


@dataclass(frozen=True, slots=True)
class _Read:
    """What texts say of one feature of one taxon: by state its marks by text family, and its sources."""

    shown: dict[str, dict[str, str]]
    sources: dict[str, list[str]]
    denied: set[str]
    texts: int

    @classmethod
    def of(cls, spoken: Iterable[Row], family: Mapping[str, str], speaking: set[str]) -> _Read:
        shown: dict[str, dict[str, str]] = defaultdict(dict)
        sources: dict[str, list[str]] = defaultdict(list)
        denying: dict[str, list[str]] = defaultdict(list)
        for row in spoken:
            if row["says"] == "denies":
                denying[row["state"]].append(row["source"])
                continue
            sources[row["state"]].append(row["source"])
            marks, whose = shown[row["state"]], family[row["source"]]
            marks[whose] = max(marks.get(whose, "rare"), row["how_often"], key=lambda mark: WEIGHT[mark])
        for state in set(denying) - set(shown):
            sources[state] = denying[state]
        return cls(dict(shown), dict(sources), set(denying) - set(shown), len(speaking))


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
        worst: dict[str, str] = {}
        for row in self.hazards:
            now = worst.get(row["taxon"], SEVERITIES[-1])
            worst[row["taxon"]] = min(now, row["severity"], key=SEVERITIES.index)
        return worst

    @cached_property
    def hazards(self) -> list[Row]:
        """Build hazards: per taxon and syndrome one row, and one for each page that gives the taxon a window.

        The severity is the worst that is documented, never less than what is remembered: `fatal` where two
        texts, or one paper, poison centre, toxicology sheet, handbook or university, report deaths by the
        taxon. A syndrome that is not remembered of a taxon is added on the word of the same kinds of page, or
        of two texts. What a page only suspects adds nothing.
        """
        remembered = {(row["taxon"], row["syndrome"]): row for row in self.remembered("hazards")}
        known = {row["taxon"] for row in self.taxa}
        misleads = {r["syndrome"]: r.get("misleads", "") for r in rows_of(self.folder / "syndromes.csv")}
        read: dict[tuple[str, str], list[Row]] = defaultdict(list)
        for row in self.record.tables["poisonings"]:
            told = row["severity"] not in {"said-not", "suspected"}
            if told and row["taxon"] in known and row["syndrome"] in misleads:
                read[row["taxon"], row["syndrome"]].append(row)
        order = {syndrome: number for number, syndrome in enumerate(misleads)}
        rows: list[Row] = []
        keys = {key for key in (*remembered, *read) if key in remembered or self._weighty(read[key])}
        for key in sorted(keys, key=lambda key: (self._taxon_order[key[0]], order[key[1]])):
            rows += self._hazard(key, remembered.get(key), read.get(key, []), misleads[key[1]])
        return rows

    def _weighty(self, rows: Iterable[Row]) -> bool:
        """Whether pages are enough to stand on: two text families, or one page of a weighty kind."""
        found = list(rows)
        kinds = {self.record.sources[row["source"]]["kind"] for row in found}
        return len({self.family[row["source"]] for row in found}) > 1 or bool(kinds & WEIGHTY)

    def _hazard(self, key: tuple[str, str], old: Row | None, pages: list[Row], misleads: str) -> list[Row]:
        severity = old["severity"] if old else SEVERITIES[-1]
        grounds = {"deaths": "fatal", "severe": "serious", "gut": "unpleasant"}
        for word, grade in grounds.items():
            said = [row for row in pages if row["severity"] == word]
            if said and self._weighty(said):
                severity = min(severity, grade, key=SEVERITIES.index)
        for_deaths = [row["source"] for row in pages if row["severity"] == "deaths"]
        best = self._ranked(
            for_deaths if severity == "fatal" and for_deaths else [r["source"] for r in pages]
        )
        others = [
            source for source in self._ranked([row["source"] for row in pages]) if source not in best[:1]
        ]
        toxin = (old["toxin"] if old else "") or next((r["toxin"] for r in pages if r["toxin"]), "not stated")
        common = {
            "taxon": key[0],
            "syndrome": key[1],
            "toxin": toxin,
            "severity": severity,
            "misleads": misleads,
            "note": old["note"] if old else "",
        }
        if not best and (page := self._syndrome_page.get(key[1], MEMORY)) != MEMORY:
            best, common["note"] = [page], "; ".join(filter(None, [common["note"], NOT_NAMED]))
        rows: list[Row] = [{**common, "source": best[0] if best else MEMORY, "further": "|".join(others)}]
        counted = self._counted.get(key[1])
        windows: set[tuple[str, str, str]] = set()
        for row in sorted(pages, key=lambda r: self._ranked([p["source"] for p in pages]).index(r["source"])):
            window = (row["gut_low"], row["gut_high"], row["gut_unit"])
            if counted and window[0] and window not in windows and float(window[0]) <= float(window[1]):
                windows.add(window)
                onset = dict(zip(("onset_low", "onset_high", "onset_unit"), window, strict=True))
                rows.append({**common, **onset, "onset_counts": counted, "source": row["source"]})
        return rows

    @cached_property
    def _syndrome_page(self) -> dict[str, str]:
        """The page that describes each syndrome."""
        return {row["syndrome"]: row["source"] for row in rows_of(self.folder / "syndromes.csv")}

    @cached_property
    def _counted(self) -> dict[str, str]:
        """What the first trouble of a syndrome is called where a window of it is counted from the meal."""
        rows = [
            r for r in rows_of(self.folder / "stages.csv") if r["stage"] == "1" and r["counts"] and r["low"]
        ]
        return {row["syndrome"]: row["counts"].split("|")[0] for row in reversed(rows)}

    def _ranked(self, sources: Iterable[str]) -> list[str]:
        """Put pages on poisoning in order: the weightiest kind first, then as they are printed."""
        kinds = [*KIND_ORDER]
        return sorted(
            self.ordered(sources),
            key=lambda s: (
                kinds.index(self.record.sources[s]["kind"]) if self.record.sources[s]["kind"] in kinds else 99
            ),
        )

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
            if self._applies(*key)
        }

    def _applies(self, taxon: str, feature: str) -> bool:
        """Whether a feature can be looked at on a taxon's forms of fruit body; of others nothing is built."""
        forms = set(self.features[feature]["forms"].split("|"))
        return "all" in forms or bool(forms & self._forms.get(taxon, set()))

    @cached_property
    def _forms(self) -> dict[str, set[str]]:
        return {row["taxon"]: set(row["forms"].split("|")) for row in self.taxa}

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

    @cached_property
    def states(self) -> list[Row]:
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
        if feature == BODY_FORM:
            spoken = [row for row in spoken if row["state"] in self._forms[taxon]]
        read = _Read.of(spoken, self.family, self._speaking(feature, spoken))
        frequencies = self._frequencies(taxon, feature, read)
        kept = self._kept(taxon, feature, read, remembered, frequencies)
        if kept and "always" in frequencies.values():
            frequencies = {s: "usually" if word == "always" else word for s, word in frequencies.items()}
        rows = [self._row(taxon, feature, s, word, read) for s, word in frequencies.items()]
        rows += [
            {"taxon": taxon, "feature": feature, "state": s, "frequency": word, "source": MEMORY}
            for s, word in kept.items()
        ]
        if not {row["frequency"] for row in rows} & set(ORDER[:3]) and spoken:
            return []
        rows += [
            self._row(taxon, feature, s, "never", read) for s in sorted(read.denied - {*kept, *frequencies})
        ]
        return sorted(rows, key=lambda r: (ORDER.index(r["frequency"]), r["source"] == MEMORY, r["state"]))

    def _speaking(self, feature: str, spoken: Iterable[Row]) -> set[str]:
        """The text families that speak of a feature; the day of one find does not say when it is absent."""
        families = {self.family[row["source"]] for row in spoken}
        if self.features[feature]["part"] not in {"place", "season"}:
            return families
        general = {
            self.family[row["source"]]
            for row in spoken
            if self.record.sources[row["source"]].get("level") != "voucher"
        }
        return general or families

    def _frequencies(self, taxon: str, feature: str, read: _Read) -> dict[str, str]:
        means = {s: sum(WEIGHT[m] for m in marks.values()) / read.texts for s, marks in read.shown.items()}
        words = {s: frequency_of(marks.values(), read.texts) for s, marks in read.shown.items()}
        best = max(means.values(), default=0.0)
        for state, marks in read.shown.items():
            plain = any(mark in {"usual", "unsaid"} for mark in marks.values())
            if plain and means[state] == best:
                words[state] = "usually"  # what most of the texts give is usual, however much they differ
        if self._unanimous(taxon, self.features[feature], read):
            return dict.fromkeys(words, "always")
        return words

    def _kept(
        self,
        taxon: str,
        feature: str,
        read: _Read,
        remembered: Mapping[str, str],
        frequencies: dict[str, str],
    ) -> dict[str, str]:
        """The remembered states that stay; what wears is made as common in `frequencies` as remembered."""
        row = self.features[feature]
        poisons = taxon in self.poisons
        wears = poisons and int(row["fragility"]) >= WEARS
        grave = self.poisons.get(taxon) in {"fatal", "serious"}
        unsteady = int(row["fragility"]) > 0 or row["part"] in UNSTEADY_PARTS
        kept: dict[str, str] = {}
        for state, word in remembered.items():
            if state in frequencies:
                if feature == BODY_FORM or (wears and word != "always"):
                    frequencies[state] = min(frequencies[state], word, key=ORDER.index)
            elif not read.texts or feature == BODY_FORM:
                kept[state] = word
            elif left := kept_from_memory(word, read.texts, poisons=poisons, wears=wears):
                kept[state] = left
        if grave and feature == RING and frequencies and not {"absent"} & {*kept, *frequencies}:
            kept["absent"] = "sometimes"  # a ring dries up, tears and falls off; a deadly taxon may show none
        if read.texts or (grave and unsteady):
            kept = {
                s: "usually" if word == "always" and feature != BODY_FORM else word
                for s, word in kept.items()
            }
        return kept

    def _row(self, taxon: str, feature: str, state: str, frequency: str, read: _Read) -> Row:
        sources = self.ordered(read.sources[state])
        return {
            "taxon": taxon,
            "feature": feature,
            "state": state,
            "frequency": frequency,
            "source": sources[0],
            "texts": f"{len(read.shown.get(state, {}))}/{max(read.texts, len(read.shown.get(state, {})))}",
            "further": "|".join(sources[1:]),
        }

    def _unanimous(self, taxon: str, feature: Row, read: _Read) -> bool:
        if len(read.shown) != 1 or int(feature["fragility"]) > 0 or feature["part"] in UNSTEADY_PARTS:
            return False
        (marks,) = read.shown.values()
        sure = all(mark in {"usual", "unsaid"} for mark in marks.values())
        return sure and len(marks) == read.texts >= UNANIMOUS[taxon in self.poisons]

    @cached_property
    def sizes(self) -> list[Row]:
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
            ranges = [row for row in built if not row["note"]]
            general = any(self.record.sources[row["source"]].get("level") != "voucher" for row in ranges)
            enough = general or len(ranges) > (2 if key[0] in self.poisons else 1)
            if old and not enough:
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
            for given in self.names.get(taxon, []):
                if not given["sense"] and len(claims[given["name"]]) == 1 and given["name"] not in accepted:
                    read[given["name"]].append(given)
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
            species = not row["note"].startswith(NOT_TO_SPECIES)
            pair = frozenset((row["taxon"], row["lookalike"]))
            if species and len(pair) == 2 and pair <= known:
                read[pair].append(row)
        remembered = {
            frozenset((r["taxon"], r["lookalike"])): r
            for r in self.remembered("confusions")
            if {r["taxon"], r["lookalike"]} <= known
        }
        common = _common_states(states)
        pairs = sorted({*read, *remembered}, key=lambda pair: sorted(self._taxon_order[t] for t in pair))
        rows: list[Row] = []
        for pair in pairs:
            one, other = sorted(pair, key=self._taxon_order.__getitem__)
            old, pages = remembered.get(pair), read.get(pair, [])
            described = {
                f for f in self.features if (one, f) in self._described and (other, f) in self._described
            }
            apart = [f for f in _features(old["separates"] if old else "") if f in described]
            alike = _features(old["does_not_separate"] if old else "")
            for row in pages:
                apart += [f for f in _features(row["separates"]) if f not in apart and f in described]
            if not apart or not old or self._rests_on_little(apart):
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

    def _rests_on_little(self, apart: Iterable[str]) -> bool:
        return all(self.features[f]["part"] in UNSTEADY_PARTS for f in apart)

    @cached_property
    def _described(self) -> set[tuple[str, str]]:
        """The features of each taxon of which anything is built."""
        return {(r["taxon"], r["feature"]) for r in (*self.states, *self.sizes)}

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

    def source_rows(self) -> list[Row]:
        """List the pages that were read, what other tables name, and memory; nothing else is a source."""
        named = {MEMORY}
        for path in sorted(self.folder.glob("*.csv")):
            if path.stem in {"syndromes", "stages"}:
                named |= {
                    row.get(column, "") for row in rows_of(path) for column in ("source", "harm_source")
                }
        for rows in self.record.tables.values():
            named |= {row["source"] for row in rows}
        return [
            row for row in sorted(self.record.sources.values(), key=source_order) if row["source"] in named
        ]

    def tables(self) -> dict[str, str]:
        """Build every table: file name to text."""
        states = self.states
        taxa_columns = tuple(self.taxa[0]) if "source" in self.taxa[0] else (*self.taxa[0], "source")
        return {
            "sources.csv": text_of(SOURCES, self.source_rows()),
            "taxa.csv": text_of(taxa_columns, self.taxon_rows()),
            "synonyms.csv": text_of(SYNONYM_COLUMNS, self.synonym_rows()),
            "hazards.csv": text_of(HAZARD_COLUMNS, self.hazards),
            "taxon_states.csv": text_of(STATE_COLUMNS, states),
            "taxon_sizes.csv": text_of(SIZE_COLUMNS, self.sizes),
            "confusions.csv": text_of(CONFUSION_COLUMNS, self.confusion_rows(states)),
        }


def _features(cell: str) -> list[str]:
    """The features of a cell; a taste parts nothing, since nobody is to taste in order to tell two apart."""
    return [part for part in cell.split("|") if part and not part.startswith("taste.")]


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
