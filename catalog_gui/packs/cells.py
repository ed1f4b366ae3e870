"""What may stand in a cell and in a row; each check gives a sentence about what is wrong, or ''."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from catalog_gui.domain.problem import PackRefused
from catalog_gui.lookalikes.reference import ABSENT
from catalog_gui.packs.columns import (
    CONFUSIONS,
    HAZARDS,
    STAGES,
    TAXON_SIZES,
    CellKind,
    TableColumn,
    TableForm,
)
from catalog_gui.packs.pack_rows import PackRows, Row, split_list

Check = Callable[[str, Row, TableColumn, PackRows], str]


def _anything(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return ""


def _id(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    if any(sign in cell for sign in "|, \t\n"):
        return f"'{cell}' is not an id: it holds a space, a comma or a bar."
    return "'absent' is kept for what is not there." if cell == ABSENT else ""


def _number(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    try:
        number = float(cell)
    except ValueError:
        return f"'{cell}' is not a number."
    return "" if 0 <= number < float("inf") else f"'{cell}' is not a number that can be measured."


def _colour(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    digits = cell.removeprefix("#")
    good = len(digits) == 6 and len(cell) == 7 and all(d in "0123456789abcdefABCDEF" for d in digits)
    return "" if good else f"'{cell}' is not a colour like #a0b1c2."


def _choice(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return "" if cell in column.choices else f"'{cell}' is not one of {', '.join(column.choices)}."


def _known_feature(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return "" if cell in pack_rows.features else f"There is no feature '{cell}'."


def _known_features(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return next((f"There is no feature '{f}'." for f in split_list(cell) if f not in pack_rows.features), "")


def _known_state(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    feature = row["feature"]
    if (feature, cell) in pack_rows.states:
        return ""
    if cell != ABSENT:
        return f"There is no state '{cell}' of {feature}."
    if pack_rows.says_absence and not pack_rows.features[feature].get("absent_name"):
        return f"{feature} cannot be absent: it has no absent_name."
    return ""


def _known_taxon(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return "" if cell in pack_rows.taxa else f"There is no taxon '{cell}'."


def _known_source(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return "" if cell in pack_rows.sources else f"There is no source '{cell}'."


def _known_sources(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return next((f"There is no source '{s}'." for s in split_list(cell) if s not in pack_rows.sources), "")


def _known_syndrome(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:  # noqa: ARG001
    return "" if cell in pack_rows.syndromes else f"There is no syndrome '{cell}'."


CHECKS: dict[CellKind, Check] = {
    CellKind.TEXT: _anything,
    CellKind.LIST: _anything,
    CellKind.KEY: _id,
    CellKind.NEW_KEY: _id,
    CellKind.NUMBER: _number,
    CellKind.COLOUR: _colour,
    CellKind.CHOICE: _choice,
    CellKind.FEATURE: _known_feature,
    CellKind.FEATURES: _known_features,
    CellKind.STATE: _known_state,
    CellKind.TAXON: _known_taxon,
    CellKind.SOURCE: _known_source,
    CellKind.SOURCES: _known_sources,
    CellKind.SYNDROME: _known_syndrome,
}


ROW_CHECKED = (TAXON_SIZES, CONFUSIONS, HAZARDS, STAGES)
"""The tables for which `check_row` has something to say."""


def check_cell(cell: str, row: Row, column: TableColumn, pack_rows: PackRows) -> str:
    """What is wrong with a cell, as a sentence, or ''. Depends on the row only for the state of a feature."""
    if not cell:
        return f"'{column.name}' must not be empty." if column.wanted else ""
    return CHECKS[column.cell](cell, row, column, pack_rows)


def check_row(path: Path, form: TableForm, row: Row, line: int, pack_rows: PackRows) -> None:
    """What no single cell shows."""

    def refuse(reason: str, column: str) -> None:
        raise PackRefused(reason, path=str(path), line=line, column=column)

    if form is TAXON_SIZES:
        low, high = float(row["low"]), float(row["high"])
        feature = pack_rows.features[row["feature"]]
        if low > high:
            refuse(f"The range runs from {low:g} down to {high:g}.", "high")
        if row["extreme_low"] and float(row["extreme_low"]) > low:
            refuse(f"The lowest extreme {row['extreme_low']} is above {low:g}.", "extreme_low")
        if row["extreme_high"] and float(row["extreme_high"]) < high:
            refuse(f"The highest extreme {row['extreme_high']} is below {high:g}.", "extreme_high")
        if feature["kind"] != "number":
            refuse(f"{row['feature']} takes states, not sizes.", "feature")
        if row["unit"] and row["unit"] != feature["unit"]:
            refuse(f"{row['feature']} is measured in {feature['unit']}, not in {row['unit']}.", "unit")
    elif form is HAZARDS:
        if row["onset_low"] and row["onset_high"] and float(row["onset_low"]) > float(row["onset_high"]):
            refuse("The onset begins later than it ends.", "onset_low")
    elif form is STAGES:
        if len({bool(row[name]) for name in ("low", "high", "unit")}) > 1:
            refuse("A window needs a beginning, an end and a unit.", "low")
        if row["low"] and float(row["low"]) > float(row["high"]):
            refuse("The stage begins later than it ends.", "low")
    elif form is CONFUSIONS and row["taxon"] == row["lookalike"]:
        refuse("A taxon is not its own lookalike.", "lookalike")
