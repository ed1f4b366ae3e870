"""The rows of all packs that were read, and the values they become."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from catalog_gui.domain.feature import Feature, Fragility, Part, State, Vocabulary
from catalog_gui.lookalikes.reference import (
    Confusion,
    FeatureTies,
    Frequency,
    Hazard,
    Override,
    Reference,
    Severity,
    SizeRange,
    Source,
    Stage,
    StateFrequency,
    Syndrome,
    Synonym,
    Taxon,
)
from catalog_gui.packs import safety_rules
from catalog_gui.packs.columns import (
    CONFUSIONS,
    FEATURES,
    HAZARDS,
    SOURCES,
    STAGES,
    STATES,
    SYNDROMES,
    SYNONYMS,
    TAXA,
    TAXON_SIZES,
    TAXON_STATES,
    TableForm,
)

Row = dict[str, str]
_FREQUENCIES = {frequency.value: frequency for frequency in Frequency}


@dataclass
class PackRows:
    """Rows of all packs so far, by table and key; and the ids that cells may refer to."""

    rows: dict[str, dict[tuple[str, ...], list[tuple[Row, str]]]] = field(default_factory=dict)
    overrides: list[Override] = field(default_factory=list)
    features: dict[str, Row] = field(default_factory=dict)
    states: set[tuple[str, str]] = field(default_factory=set)
    taxa: set[str] = field(default_factory=set)
    sources: set[str] = field(default_factory=set)
    syndromes: set[str] = field(default_factory=set)
    dangerous: frozenset[str] = frozenset()
    says_absence: bool = False

    def begin_pack(self) -> None:
        """Another pack follows: what the packs so far call dangerous keeps what they say of it."""
        self.dangerous = frozenset(row["taxon"] for row, _ in self.all(HAZARDS))

    def put(self, form: TableForm, key: tuple[str, ...], row: Row, pack: str) -> None:
        table = self.rows.setdefault(form.name, {})
        there = table.get(key)
        if there is None:
            table[key] = [(row, pack)]
        elif there[-1][1] == pack or form in safety_rules.ALWAYS_BESIDE:
            there.append((row, pack))
        elif safety_rules.stands_beside(form, row, self.dangerous):
            self.overrides.append(Override(form.name, key, there[0][1], pack))
            there.append((row, pack))
        else:
            earlier, whose = there[0]
            self.overrides.append(Override(form.name, key, whose, pack))
            table[key] = [(safety_rules.corrected(form, earlier, row, self.dangerous), pack)]
            if form is TAXA and earlier["name"] != row["name"]:
                names = {"taxon": row["taxon"], "name": earlier["name"], "authority": earlier["authority"]}
                synonym = {**names, "note": "the name in the pack before", "source": earlier["source"]}
                self.put(SYNONYMS, (row["taxon"], earlier["name"]), synonym, whose)

    def all(self, form: TableForm) -> Iterator[tuple[Row, str]]:
        for rows in self.rows.get(form.name, {}).values():
            yield from rows

    def reference(self, packs: tuple[str, ...]) -> Reference:
        ties = FeatureTies(
            kin={r["feature"]: r["kin"] for r, _ in self.all(FEATURES) if r.get("kin")},
            needs={r["feature"]: r["needs"] for r, _ in self.all(FEATURES) if r.get("needs")},
            absent_names=(
                {r["feature"]: r["absent_name"] for r, _ in self.all(FEATURES) if r.get("absent_name")}
                if self.says_absence
                else None
            ),
        )
        return Reference(
            vocabulary=Vocabulary(
                tuple(_feature(r) for r, _ in self.all(FEATURES)),
                tuple(_state(r) for r, _ in self.all(STATES)),
            ),
            taxa=tuple(_taxon(r, p) for r, p in self.all(TAXA)),
            states=tuple(
                StateFrequency(
                    r["taxon"],
                    r["feature"],
                    r["state"],
                    _FREQUENCIES[r["frequency"]],
                    r["source"],
                    r["note"],
                    p,
                    r.get("texts", ""),
                    split_list(further) if (further := r.get("further")) else (),
                )
                for r, p in self.all(TAXON_STATES)
            ),
            sizes=tuple(_size(r, p, self.features) for r, p in self.all(TAXON_SIZES)),
            hazards=tuple(_hazard(r, p) for r, p in self.all(HAZARDS)),
            confusions=tuple(_confusion(r, p) for r, p in self.all(CONFUSIONS)),
            synonyms=tuple(
                Synonym(r["taxon"], r["name"], r["authority"], r["note"], r["source"], p)
                for r, p in self.all(SYNONYMS)
            ),
            sources=tuple(
                Source(r["source"], r["citation"], r["kind"], r["year"], r["seen"], p)
                for r, p in self.all(SOURCES)
            ),
            syndromes=tuple(
                Syndrome(
                    r["syndrome"],
                    r["name"],
                    r["what_happens"],
                    r["source"],
                    p,
                    *(r.get(name, "") for name in ("poison", "organ", "harm", "harm_source")),
                )
                for r, p in self.all(SYNDROMES)
            ),
            stages=tuple(_stage(r, p) for r, p in self.all(STAGES)),
            ties=ties,
            packs=packs,
            overrides=tuple(self.overrides),
        )


def _feature(row: Row) -> Feature:
    forms = split_list(row["forms"])
    return Feature(
        id=row["feature"],
        part=Part(row["part"]),
        name=row["name"],
        gloss=row["gloss"],
        kind=row["kind"],
        unit=row["unit"],
        fragility=Fragility(int(row["fragility"])),
        when_to_look=row["when_to_look"],
        how_to_look=row["how_to_look"],
        view=row["view"],
        forms=() if forms == ("all",) else forms,
        cost=row["cost"] or "picture",
        figure=row["figure"],
    )


def _state(row: Row) -> State:
    return State(row["feature"], row["state"], row["name"], row["gloss"], row["figure"], row["hex"])


def _taxon(row: Row, pack: str) -> Taxon:
    return Taxon(
        id=row["taxon"],
        name=row["name"],
        authority=row["authority"],
        rank=row["rank"] or "species",
        genus=row["genus"] or row["name"].split(" ")[0],
        section=row["section"],
        english=row["english"],
        forms=split_list(row["forms"]),
        group=row["group"],
        note=row["note"],
        source=row["source"],
        pack=pack,
    )


def _size(row: Row, pack: str, features: dict[str, Row]) -> SizeRange:
    return SizeRange(
        taxon=row["taxon"],
        feature=row["feature"],
        low=float(row["low"]),
        high=float(row["high"]),
        extreme_low=_optional(row["extreme_low"]),
        extreme_high=_optional(row["extreme_high"]),
        unit=row["unit"] or features[row["feature"]]["unit"],
        source=row["source"],
        note=row["note"],
        pack=pack,
    )


def _stage(row: Row, pack: str) -> Stage:
    return Stage(
        syndrome=row["syndrome"],
        number=int(row["stage"]),
        what=row["what"],
        low=_optional(row["low"]),
        high=_optional(row["high"]),
        unit=row["unit"],
        counts=split_list(row["counts"]),
        may_be_missing=row["may_be_missing"] == "yes",
        source=row["source"],
        note=row["note"],
        pack=pack,
    )


def _hazard(row: Row, pack: str) -> Hazard:
    return Hazard(
        taxon=row["taxon"],
        syndrome=row["syndrome"],
        severity=Severity(row["severity"]),
        toxin=row["toxin"],
        onset_low=_optional(row["onset_low"]),
        onset_high=_optional(row["onset_high"]),
        onset_unit=row["onset_unit"],
        onset_counts=row["onset_counts"],
        misleads=row["misleads"],
        source=row["source"],
        note=row["note"],
        pack=pack,
        further=split_list(row.get("further", "")),
    )


def _confusion(row: Row, pack: str) -> Confusion:
    return Confusion(
        row["taxon"],
        row["lookalike"],
        split_list(row["separates"]),
        split_list(row["does_not_separate"]),
        row["note"],
        row["source"],
        pack,
        split_list(row.get("further", "")),
    )


def _optional(cell: str) -> float | None:
    return float(cell) if cell else None


def split_list(cell: str) -> tuple[str, ...]:
    """A cell that holds a list: parts between bars."""
    return tuple(part.strip() for part in cell.split("|") if part.strip())
