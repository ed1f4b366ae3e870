"""Reference packs read from folders of CSV tables, checked cell by cell."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from os import PathLike
from pathlib import Path

from catalog_gui.domain.feature import Feature, Fragility, Part, State, Vocabulary
from catalog_gui.domain.problem import PackRefused
from catalog_gui.lookalikes.reference import (
    ABSENT,
    Confusion,
    FeatureTies,
    Frequency,
    Hazard,
    Override,
    Reference,
    Severity,
    SizeRange,
    Source,
    StateFrequency,
    Syndrome,
    Synonym,
    Taxon,
)
from catalog_gui.packs.columns import (
    CONFUSIONS,
    FEATURES,
    HAZARDS,
    SOURCES,
    STATES,
    SYNDROMES,
    SYNONYMS,
    TABLES,
    TAXA,
    TAXON_SIZES,
    TAXON_STATES,
    Cell,
    Column,
    TableForm,
)

Row = dict[str, str]


def read_packs(*folders: str | PathLike[str]) -> Reference:
    """Read one or more pack folders into one reference; later ones add to or override earlier ones.

    A row of a later pack takes the place of the earlier rows with the same key (see `_KEYS`), and each such
    case is listed in `Reference.overrides`. A hazard is never taken away: hazards of all packs stand.
    Raises PackRefused naming file, line and column for anything that is not as resources/reference/README.md
    says, and for a folder that is missing a needed table or holds a table that nobody would read.
    """
    if not folders:
        raise PackRefused("No reference pack was given.", path="")
    gathered = _Gathered()
    names: list[str] = []
    for folder in map(Path, folders):
        name = folder.name
        while name in names:
            name += "'"
        names.append(name)
        _read_folder(folder, name, gathered, first=len(names) == 1)
    return gathered.reference(tuple(names))


# --- one folder ---------------------------------------------------------------------------------


@dataclass
class _Gathered:
    """Rows of all packs so far, by table and key; and the ids that cells may refer to."""

    rows: dict[str, dict[tuple[str, ...], list[tuple[Row, str]]]] = field(default_factory=dict)
    overrides: list[Override] = field(default_factory=list)
    features: dict[str, Row] = field(default_factory=dict)
    states: set[tuple[str, str]] = field(default_factory=set)
    taxa: set[str] = field(default_factory=set)
    sources: set[str] = field(default_factory=set)
    syndromes: set[str] = field(default_factory=set)
    says_absence: bool = False

    def put(self, form: TableForm, key: tuple[str, ...], row: Row, pack: str) -> None:
        table = self.rows.setdefault(form.name, {})
        there = table.get(key)
        if there is None:
            table[key] = [(row, pack)]
        elif there[0][1] == pack or form is HAZARDS:
            there.append((row, pack))
        else:
            self.overrides.append(Override(form.name, key, there[0][1], pack))
            table[key] = [(row, pack)]

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
                    r["taxon"], r["feature"], r["state"], Frequency(r["frequency"]), r["source"], r["note"], p
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
                Syndrome(r["syndrome"], r["name"], r["what_happens"], r["source"], p)
                for r, p in self.all(SYNDROMES)
            ),
            ties=ties,
            packs=packs,
            overrides=tuple(self.overrides),
        )


_KEYS: dict[str, tuple[str, ...]] = {
    SOURCES.name: ("source",),
    FEATURES.name: ("feature",),
    STATES.name: ("feature", "state"),
    TAXA.name: ("taxon",),
    SYNONYMS.name: ("taxon", "name"),
    TAXON_STATES.name: ("taxon", "feature", "state"),
    TAXON_SIZES.name: ("taxon", "feature"),
    SYNDROMES.name: ("syndrome",),
    HAZARDS.name: ("taxon", "syndrome"),
    CONFUSIONS.name: ("taxon", "lookalike"),
}
"""Which columns say that two rows are about the same thing. Sources that disagree may repeat a key."""

_SEVERAL_SOURCES = frozenset(
    {TAXON_STATES.name, TAXON_SIZES.name, HAZARDS.name, CONFUSIONS.name, SYNONYMS.name}
)


def _read_folder(folder: Path, pack: str, gathered: _Gathered, *, first: bool) -> None:
    if not folder.is_dir():
        raise PackRefused("There is no such folder.", path=str(folder))
    known = {form.file for form in TABLES}
    present = {path.name for path in folder.iterdir() if path.suffix.casefold() == ".csv"}
    for stranger in sorted(present - known):
        raise PackRefused(
            f"This is not a table of a reference pack; the tables are {', '.join(sorted(known))}.",
            path=str(folder / stranger),
        )
    if not present:
        raise PackRefused("The folder holds no table of a reference pack.", path=str(folder))
    for form in TABLES:
        path = folder / form.file
        if form.file in present:
            _read_table(path, form, pack, gathered)
        elif first and form.needed:
            raise PackRefused("The table is missing.", path=str(path))


def _read_table(path: Path, form: TableForm, pack: str, gathered: _Gathered) -> None:
    seen: set[tuple[str, ...]] = set()
    key_names = _KEYS[form.name]
    if form.name in _SEVERAL_SOURCES:
        key_names = (*key_names, "source")
    if form is HAZARDS:
        key_names = (*key_names, "onset_counts", "toxin", "onset_low")
    key_width = len(_KEYS[form.name])
    remember = _remembering(form, gathered)
    reader = _lines(path)
    header = next(reader, None)
    if header is None:
        raise PackRefused("The table is empty.", path=str(path), line=1)
    columns = _checked_header(path, form, header[1])
    names = [column.name for column in columns]
    checks = [
        (place, column, _CHECKS[column.cell])
        for place, column in enumerate(columns)
        if column.wanted or column.cell is not Cell.TEXT
    ]
    if form is FEATURES and "absent_name" in names:
        gathered.says_absence = True
    width = len(names)
    for line, cells in reader:
        if not any(cells):
            continue
        if len(cells) != width:
            raise PackRefused(
                f"The row has {len(cells)} cells, the table has {width} columns.", path=str(path), line=line
            )
        row = dict(zip(names, cells, strict=True))
        for place, column, check in checks:
            cell = cells[place]
            complaint = (
                (f"'{column.name}' must not be empty." if column.wanted else "")
                if not cell
                else check(cell, row, column, gathered)
            )
            if complaint:
                raise PackRefused(complaint, path=str(path), line=line, column=column.name)
        key = tuple([row[name] for name in key_names])
        if key in seen:
            raise PackRefused(
                f"The row repeats {', '.join(repr(part) for part in key if part)}.",
                path=str(path),
                line=line,
                column=key_names[0],
            )
        seen.add(key)
        _check_row(path, form, row, line)
        gathered.put(form, key[:key_width], row, pack)
        remember(row)


def _lines(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Line number and stripped cells. The number is that of the line on which the row ends."""
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = path.read_bytes()[: problem.start].count(b"\n") + 1
        raise PackRefused("The table is not written in UTF-8.", path=str(path), line=line) from problem
    except OSError as problem:
        reason = problem.strerror or "it cannot be opened"
        raise PackRefused(f"The table cannot be read: {reason}.", path=str(path)) from problem
    reader = csv.reader(text.splitlines(keepends=True), strict=True)
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as problem:
            raise PackRefused(
                f"The row cannot be split into cells: {problem}.",
                path=str(path),
                line=max(reader.line_num, 1),
            ) from problem
        yield reader.line_num, [cell.strip() for cell in cells]


def _checked_header(path: Path, form: TableForm, header: list[str]) -> list[Column]:
    for place, column in enumerate(form.columns):
        found = header[place] if place < len(header) else ""
        if found != column.name:
            said = f"says '{found}'" if found else "is missing"
            raise PackRefused(
                f"Column {place + 1} should be '{column.name}' and {said}.",
                path=str(path),
                line=1,
                column=column.name,
            )
    further = {column.name: column for column in form.may_have}
    extra = header[len(form.columns) :]
    for name in extra:
        if header.count(name) > 1:
            raise PackRefused(f"The column '{name}' stands twice.", path=str(path), line=1, column=name)
    return [*form.columns, *(further.get(name, Column(name)) for name in extra)]


def _remembering(form: TableForm, gathered: _Gathered) -> Callable[[Row], None]:
    """What later cells may refer to."""
    if form is FEATURES:
        return lambda row: gathered.features.update({row["feature"]: row})
    if form is STATES:
        return lambda row: gathered.states.add((row["feature"], row["state"]))
    known = {
        SOURCES.name: (gathered.sources, "source"),
        TAXA.name: (gathered.taxa, "taxon"),
        SYNDROMES.name: (gathered.syndromes, "syndrome"),
    }.get(form.name)
    if known is None:
        return lambda _row: None
    ids, name = known
    return lambda row: ids.add(row[name])


# --- one cell -----------------------------------------------------------------------------------

Check = Callable[[str, Row, Column, _Gathered], str]


def _anything(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    return ""


def _id(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    if any(sign in cell for sign in "|, \t\n"):
        return f"'{cell}' is not an id: it holds a space, a comma or a bar."
    return "'absent' is kept for what is not there." if cell == ABSENT else ""


def _number(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    try:
        number = float(cell)
    except ValueError:
        return f"'{cell}' is not a number."
    return "" if 0 <= number < float("inf") else f"'{cell}' is not a number that can be measured."


def _colour(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    digits = cell.removeprefix("#")
    good = len(digits) == 6 and len(cell) == 7 and all(d in "0123456789abcdefABCDEF" for d in digits)
    return "" if good else f"'{cell}' is not a colour like #a0b1c2."


def _choice(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    return "" if cell in column.choices else f"'{cell}' is not one of {', '.join(column.choices)}."


def _known_feature(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.features or column.name == "needs" else f"There is no feature '{cell}'."


def _known_features(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    return next((f"There is no feature '{f}'." for f in _list(cell) if f not in gathered.features), "")


def _known_state(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    feature = row["feature"]
    if (feature, cell) in gathered.states:
        return ""
    if cell != ABSENT:
        return f"There is no state '{cell}' of {feature}."
    if gathered.says_absence and not gathered.features[feature].get("absent_name"):
        return f"{feature} cannot be absent: it has no absent_name."
    return ""


def _known_taxon(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.taxa else f"There is no taxon '{cell}'."


def _known_source(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.sources else f"There is no source '{cell}'."


def _known_syndrome(cell: str, row: Row, column: Column, gathered: _Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.syndromes else f"There is no syndrome '{cell}'."


_CHECKS: dict[Cell, Check] = {
    Cell.TEXT: _anything,
    Cell.LIST: _anything,
    Cell.KEY: _id,
    Cell.NEW_KEY: _id,
    Cell.NUMBER: _number,
    Cell.COLOUR: _colour,
    Cell.CHOICE: _choice,
    Cell.FEATURE: _known_feature,
    Cell.FEATURES: _known_features,
    Cell.STATE: _known_state,
    Cell.TAXON: _known_taxon,
    Cell.SOURCE: _known_source,
    Cell.SYNDROME: _known_syndrome,
}


def _check_row(path: Path, form: TableForm, row: Row, line: int) -> None:
    """What no single cell shows."""

    def refuse(reason: str, column: str) -> None:
        raise PackRefused(reason, path=str(path), line=line, column=column)

    if form is TAXON_SIZES:
        low, high = float(row["low"]), float(row["high"])
        if low > high:
            refuse(f"The range runs from {low:g} down to {high:g}.", "high")
        if row["extreme_low"] and float(row["extreme_low"]) > low:
            refuse(f"The lowest extreme {row['extreme_low']} is above {low:g}.", "extreme_low")
        if row["extreme_high"] and float(row["extreme_high"]) < high:
            refuse(f"The highest extreme {row['extreme_high']} is below {high:g}.", "extreme_high")
    elif form is CONFUSIONS and row["taxon"] == row["lookalike"]:
        refuse("A taxon is not its own lookalike.", "lookalike")


def _list(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split("|") if part.strip())


# --- rows to values -------------------------------------------------------------------------------


def _feature(row: Row) -> Feature:
    forms = _list(row["forms"])
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
        forms=_list(row["forms"]),
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
    )


def _confusion(row: Row, pack: str) -> Confusion:
    return Confusion(
        row["taxon"],
        row["lookalike"],
        _list(row["separates"]),
        _list(row["does_not_separate"]),
        row["note"],
        row["source"],
        pack,
    )


def _optional(cell: str) -> float | None:
    return float(cell) if cell else None
