"""Reference packs read from folders of CSV tables, checked cell by cell."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from operator import itemgetter
from os import PathLike
from pathlib import Path

from catalog_gui.domain.problem import PackRefused
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.packs.cells import ROW_CHECKED, check_cell, check_row
from catalog_gui.packs.columns import (
    CONFUSIONS,
    FEATURES,
    HAZARDS,
    SOURCES,
    STAGES,
    STATES,
    SYNDROMES,
    SYNONYMS,
    TABLES,
    TAXA,
    TAXON_SIZES,
    TAXON_STATES,
    CellKind,
    TableColumn,
    TableForm,
)
from catalog_gui.packs.pack_rows import PackRows, Row
from catalog_gui.packs.plain_file import read_plain


def read_packs(*folders: str | PathLike[str], drafts: Mapping[Path, bytes | None] | None = None) -> Reference:
    """Read one or more pack folders into one reference; later ones add to or override earlier ones.

    A row of a later pack takes the place of the earlier rows with the same key (see `KEYS`), and each such
    case is listed in `Reference.overrides`. Nothing that makes a taxon dangerous is ever taken away:
    `guard` says what stands beside what. `drafts` are tables (folder / file) read as if these bytes stood
    there already, or as if they were gone (None).
    Raises PackRefused naming file, line and column for anything that is not as resources/reference/README.md
    says, and for a folder that is missing a needed table or holds a table that nobody would read.
    """
    if not folders:
        raise PackRefused("No reference pack was given.", path="")
    pack_rows = PackRows()
    names: list[str] = []
    for folder in map(Path, folders):
        name = folder.name
        while name in names:
            name += "'"
        names.append(name)
        pack_rows.begin_pack()
        _read_folder(folder, name, pack_rows, drafts or {}, first=len(names) == 1)
    return pack_rows.reference(tuple(names))


KEYS: dict[str, tuple[str, ...]] = {
    SOURCES.name: ("source",),
    FEATURES.name: ("feature",),
    STATES.name: ("feature", "state"),
    TAXA.name: ("taxon",),
    SYNONYMS.name: ("taxon", "name"),
    TAXON_STATES.name: ("taxon", "feature", "state"),
    TAXON_SIZES.name: ("taxon", "feature"),
    SYNDROMES.name: ("syndrome",),
    STAGES.name: ("syndrome", "stage"),
    HAZARDS.name: ("taxon", "syndrome"),
    CONFUSIONS.name: ("taxon", "lookalike"),
}
"""Which columns say that two rows are about the same thing. Sources that disagree may repeat a key."""

SEVERAL_SOURCES = frozenset(
    {TAXON_STATES.name, TAXON_SIZES.name, STAGES.name, HAZARDS.name, CONFUSIONS.name, SYNONYMS.name}
)


def tables_in(folder: Path, drafts: Mapping[Path, bytes | None] | None = None) -> set[str]:
    """The names of the table files of a folder, as `drafts` would leave it. Empty where there is no folder."""
    present = (
        {path.name for path in folder.iterdir() if path.suffix.casefold() == ".csv"}
        if folder.is_dir()
        else set()
    )
    mine = {path.name: text for path, text in (drafts or {}).items() if path.parent == folder}
    return {name for name in present | set(mine) if name not in mine or mine[name] is not None}


def _read_folder(
    folder: Path, pack: str, pack_rows: PackRows, drafts: Mapping[Path, bytes | None], *, first: bool
) -> None:
    present = tables_in(folder, drafts)
    if not present and not folder.is_dir():
        raise PackRefused("There is no such folder.", path=str(folder))
    known = {form.file for form in TABLES}
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
            _read_table(path, form, pack, pack_rows, drafts.get(path))
        elif first and form.needed:
            raise PackRefused("The table is missing.", path=str(path))


def _read_table(path: Path, form: TableForm, pack: str, pack_rows: PackRows, draft: bytes | None) -> None:
    lines = lines_of(path, draft)
    header = next(lines, None)
    if header is None:
        raise PackRefused("The table is empty.", path=str(path), line=1)
    columns = _checked_header(path, form, header[1])
    names = [column.name for column in columns]
    rows = [(line, cells) for line, cells in lines if any(cells)]
    if form is FEATURES:
        pack_rows.says_absence |= "absent_name" in names
        pack_rows.features.update({cells[0]: {} for _, cells in rows})  # one may need another further down
    key_of = key_reader(form, names)
    key_width = len(KEYS[form.name])
    remember = _remembering(form, pack_rows)
    checks: list[tuple[int, TableColumn, set[str]]] = [
        (place, column, set())  # the cells that were found good: the same cell is checked once
        for place, column in enumerate(columns)
        if column.wanted or column.cell not in {CellKind.TEXT, CellKind.LIST}
    ]
    row_checked = form in ROW_CHECKED
    about_feature = names.index("feature") if form is TAXON_STATES else -1
    seen: set[tuple[str, ...]] = set()
    for line, cells in rows:
        if len(cells) != len(names):
            reason = f"The row has {len(cells)} cells, the table has {len(names)} columns."
            raise PackRefused(reason, path=str(path), line=line)
        row = dict(zip(names, cells, strict=False))
        for place, column, good in checks:
            cell = cells[place]
            if column.cell is CellKind.STATE:  # good for its feature only
                cell = f"{cells[about_feature]} {cell}"
            if cell not in good:
                complaint = check_cell(cells[place], row, column, pack_rows)
                if complaint:
                    raise PackRefused(complaint, path=str(path), line=line, column=column.name)
                good.add(cell)
        key = key_of(cells)
        if key in seen:
            reason = f"The row repeats {', '.join(part for part in key if part)}."
            raise PackRefused(reason, path=str(path), line=line, column=KEYS[form.name][-1])
        seen.add(key)
        if row_checked:
            check_row(path, form, row, line, pack_rows)
        pack_rows.put(form, key[:key_width], row, pack)
        remember(row)


def key_reader(form: TableForm, names: list[str]) -> Callable[[list[str]], tuple[str, ...]]:
    """Takes the cells that must not be repeated within a pack out of a row whose columns are `names`."""
    key = KEYS[form.name]
    if form.name in SEVERAL_SOURCES:
        key = (*key, "source")
    if form is HAZARDS:
        key = (*key, "onset_counts", "toxin", "onset_low")
    places = [names.index(name) for name in key]
    if len(places) == 1:
        return lambda cells: (cells[places[0]],)
    return itemgetter(*places)


def lines_of(path: Path, draft: bytes | None = None) -> Iterator[tuple[int, list[str]]]:
    """Line number and stripped cells. The number is that of the line on which the row ends.

    Reads `draft` in place of the file where it is given. Raises PackRefused.
    """
    try:
        raw = read_plain(path) if draft is None else draft
    except OSError as problem:
        reason = problem.strerror or "it cannot be opened"
        raise PackRefused(f"The table cannot be read: {reason}.", path=str(path)) from problem
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = raw[: problem.start].count(b"\n") + 1
        raise PackRefused("The table is not written in UTF-8.", path=str(path), line=line) from problem
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
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


def _checked_header(path: Path, form: TableForm, header: list[str]) -> list[TableColumn]:
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
    return [*form.columns, *(further.get(name, TableColumn(name)) for name in extra)]


def _remembering(form: TableForm, pack_rows: PackRows) -> Callable[[Row], None]:
    """What later cells may refer to."""
    if form is FEATURES:
        return lambda row: pack_rows.features.update({row["feature"]: row})
    if form is STATES:
        return lambda row: pack_rows.states.add((row["feature"], row["state"]))
    known = {
        SOURCES.name: (pack_rows.sources, "source"),
        TAXA.name: (pack_rows.taxa, "taxon"),
        SYNDROMES.name: (pack_rows.syndromes, "syndrome"),
    }.get(form.name)
    if known is None:
        return lambda _row: None
    ids, name = known
    return lambda row: ids.add(row[name])
