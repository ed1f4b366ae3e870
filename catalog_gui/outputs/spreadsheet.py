"""Records as a plain spreadsheet: who, what, where, when, one find a row."""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Sequence
from pathlib import Path

from catalog_gui.domain.last_look import LastLook
from catalog_gui.domain.record import Record
from catalog_gui.outputs.whole_file import whole_file

HEAD = (
    "Number",
    "Scientific name",
    "Doubt",
    "English name",
    "Determiner",
    "Determined on",
    "Basis",
    "Recorder",
    "Date",
    "Country",
    "Country code",
    "Province or state",
    "County",
    "Site",
    "Grid reference",
    "Latitude",
    "Longitude",
    "Uncertainty in m",
    "Habitat",
    "Substrate",
    "Associated organism",
    "Fruit bodies",
    "Voucher",
    "Notes",
    "Place made coarse",
    "Withheld",
    "Record id",
)
_NUMBERS = frozenset({"Latitude", "Longitude", "Uncertainty in m", "Fruit bodies"})
# A cell that begins like this is taken for a formula by spreadsheet programs (OWASP, CSV injection).
_FORMULA = re.compile(r"\s*[=+\-@|%]|[\t\r\n]")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


def rows_of(records: Sequence[Record]) -> list[tuple[str, ...]]:
    """The cells of every record, in the order of `HEAD`, as text."""
    rows: list[tuple[str, ...]] = []
    for record in records:
        now = record.present
        rows.append(
            (
                record.number,
                now.scientific_name if now is not None else "",
                now.qualifier if now is not None else "",
                record.english,
                now.by if now is not None else "",
                now.on if now is not None else "",
                now.basis if now is not None else "",
                record.recorder,
                record.event_date or record.verbatim_date,
                record.country,
                record.country_code,
                record.state_province,
                record.county,
                record.site,
                record.grid_reference,
                record.latitude,
                record.longitude,
                f"{record.uncertainty_m}" if record.uncertainty_m and record.latitude else "",
                record.habitat,
                record.substrate,
                record.associated,
                f"{record.fruit_bodies}" if record.fruit_bodies else "",
                record.voucher,
                record.note,
                record.generalised,
                record.withheld,
                record.occurrence_id,
            )
        )
    return rows


def guarded(words: str) -> str:
    """Text that no spreadsheet program takes for a formula: an apostrophe goes before a dangerous start."""
    words = _CONTROL.sub(" ", words)
    return "'" + words if _begins_formula(words) else words


def _begins_formula(words: str) -> bool:
    """Whether it begins like a formula, behind what cannot be seen and in full-width signs too."""
    seen = "".join(c for c in words[:80] if unicodedata.category(c) not in ("Cf", "Mn"))
    return _FORMULA.match(unicodedata.normalize("NFKC", seen)) is not None


def write_csv(
    records: Sequence[Record], target: Path, *, replace: bool = False, look: LastLook | None = None
) -> int:
    """UTF-8 with a byte order mark (so that spreadsheet programs read it right), comma, quotes where needed."""
    with (
        whole_file(target, replace=replace, look=look) as draft,
        draft.open("w", encoding="utf-8-sig", newline="") as file,
    ):
        writer = csv.writer(file, lineterminator="\r\n")  # RFC 4180
        writer.writerow(HEAD)
        for row in rows_of(records):
            writer.writerow(
                [cell if name in _NUMBERS else guarded(cell) for name, cell in zip(HEAD, row, strict=True)]
            )
    return len(records)


def write_xlsx(
    records: Sequence[Record], target: Path, *, replace: bool = False, look: LastLook | None = None
) -> int:
    """The same as an Office Open XML workbook (ISO/IEC 29500); text cells are text, never formulas."""
    from openpyxl import Workbook  # type: ignore[import-untyped]  # noqa: PLC0415 - loaded only when somebody wants a workbook
    from openpyxl.cell.cell import TYPE_STRING  # type: ignore[import-untyped]  # noqa: PLC0415
    from openpyxl.styles import Font  # type: ignore[import-untyped]  # noqa: PLC0415

    book = Workbook()
    sheet = book.active
    assert sheet is not None  # noqa: S101 - a new workbook has one sheet
    sheet.title = "Records"
    book.properties.creator = "Foray Bench"
    book.properties.lastModifiedBy = "Foray Bench"
    sheet.append(HEAD)
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for number, row in enumerate(rows_of(records), 2):
        for column, (name, words) in enumerate(zip(HEAD, row, strict=True), 1):
            if not words:
                continue
            cell = sheet.cell(number, column)
            if name in _NUMBERS:
                cell.value = float(words) if "." in words else int(words)
            else:
                cell.value = _CONTROL.sub(" ", words)
                cell.data_type = TYPE_STRING
                cell.quotePrefix = _begins_formula(words)
    sheet.freeze_panes = "B2"
    for column, name in enumerate(HEAD, 1):
        sheet.column_dimensions[sheet.cell(1, column).column_letter].width = max(12, len(name) + 2)
    with whole_file(target, replace=replace, look=look) as draft:
        book.save(draft)
    return len(records)
