"""What may stand in a cell and in a row; each check gives a sentence about what is wrong, or ''."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from catalog_gui.domain.problem import PackRefused
from catalog_gui.lookalikes.reference import ABSENT
from catalog_gui.packs.columns import CONFUSIONS, HAZARDS, STAGES, TAXON_SIZES, Cell, Column, TableForm
from catalog_gui.packs.gathered import Gathered, Row, split_list

Check = Callable[[str, Row, Column, Gathered], str]


def _anything(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return ""


def _id(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    if any(sign in cell for sign in "|, \t\n"):
        return f"'{cell}' is not an id: it holds a space, a comma or a bar."
    return "'absent' is kept for what is not there." if cell == ABSENT else ""


def _number(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    try:
        number = float(cell)
    except ValueError:
        return f"'{cell}' is not a number."
    return "" if 0 <= number < float("inf") else f"'{cell}' is not a number that can be measured."


def _colour(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    digits = cell.removeprefix("#")
    good = len(digits) == 6 and len(cell) == 7 and all(d in "0123456789abcdefABCDEF" for d in digits)
    return "" if good else f"'{cell}' is not a colour like #a0b1c2."


def _choice(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return "" if cell in column.choices else f"'{cell}' is not one of {', '.join(column.choices)}."


def _known_feature(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.features else f"There is no feature '{cell}'."


def _known_features(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return next((f"There is no feature '{f}'." for f in split_list(cell) if f not in gathered.features), "")


def _known_state(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    feature = row["feature"]
    if (feature, cell) in gathered.states:
        return ""
    if cell != ABSENT:
        return f"There is no state '{cell}' of {feature}."
    if gathered.says_absence and not gathered.features[feature].get("absent_name"):
        return f"{feature} cannot be absent: it has no absent_name."
    return ""


def _known_taxon(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.taxa else f"There is no taxon '{cell}'."


def _known_source(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.sources else f"There is no source '{cell}'."


def _known_sources(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return next((f"There is no source '{s}'." for s in split_list(cell) if s not in gathered.sources), "")


def _known_syndrome(cell: str, row: Row, column: Column, gathered: Gathered) -> str:  # noqa: ARG001
    return "" if cell in gathered.syndromes else f"There is no syndrome '{cell}'."


CHECKS: dict[Cell, Check] = {
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
    Cell.SOURCES: _known_sources,
    Cell.SYNDROME: _known_syndrome,
}


ROW_CHECKED = (TAXON_SIZES, CONFUSIONS, HAZARDS, STAGES)
"""The tables for which `check_row` has something to say."""


def check_cell(cell: str, row: Row, column: Column, gathered: Gathered) -> str:
    """What is wrong with a cell, as a sentence, or ''. Depends on the row only for the state of a feature."""
    if not cell:
        return f"'{column.name}' must not be empty." if column.wanted else ""
    return CHECKS[column.cell](cell, row, column, gathered)


def check_row(path: Path, form: TableForm, row: Row, line: int, gathered: Gathered) -> None:
    """What no single cell shows."""

    def refuse(reason: str, column: str) -> None:
        raise PackRefused(reason, path=str(path), line=line, column=column)

    if form is TAXON_SIZES:
        low, high = float(row["low"]), float(row["high"])
        feature = gathered.features[row["feature"]]
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
