"""Old spreadsheets as rows of text: CSV of any usual kind, and XLSX."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable
from datetime import date, datetime, time
from pathlib import Path

from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.record import Table

MOST_BYTES = 200_000_000
MOST_ROWS = 200_000


def read_table(path: Path) -> Table:
    """The first row with words as the head, every later one as a row of as many cells, text as written.

    Raises BadInput with the file and the reason: missing, not a spreadsheet, damaged, too large, empty.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise BadInput("The file is too large for a spreadsheet of finds.", path=str(path))
        rows = _workbook(path) if zipfile.is_zipfile(path) else _text(path)
    except OSError as error:
        raise BadInput(f"The file cannot be read: {error.strerror}.", path=str(path)) from error
    filled = [row for row in rows if any(row)]
    if not filled:
        raise BadInput("There is nothing in this file.", path=str(path))
    if len(filled) > MOST_ROWS:
        raise BadInput(f"More than {MOST_ROWS} lines: split the file first.", path=str(path))
    width = len(filled[0])
    while width and not filled[0][width - 1]:
        width -= 1
    padded = tuple(tuple((row + [""] * width)[:width]) for row in filled)
    return Table(path.name, padded[0], padded[1:])


def _text(path: Path) -> list[list[str]]:
    data = path.read_bytes()
    if b"\x00" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadInput("This is not a spreadsheet: CSV or XLSX can be read.", path=str(path))
    text = _decoded(data)
    first = text[:20_000]
    try:
        dialect: type[csv.Dialect] | csv.Dialect = csv.Sniffer().sniff(first, delimiters=",;\t|")
        dialect.doublequote = True
    except csv.Error:
        dialect = csv.excel
    try:
        rows = csv.reader(io.StringIO(text, newline=""), dialect)
        return [[_cell(cell) for cell in row] for row in rows]
    except csv.Error as error:
        raise BadInput(f"The lines cannot be told apart: {error}.", path=str(path)) from error


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")  # what old spreadsheet programs wrote


def _workbook(path: Path) -> list[list[str]]:
    from openpyxl import load_workbook  # type: ignore[import-untyped]  # noqa: PLC0415

    with zipfile.ZipFile(path) as archive:
        if sum(member.file_size for member in archive.infolist()) > MOST_BYTES * 2:
            raise BadInput("The workbook unpacks to far more than its size.", path=str(path))
    try:
        book = load_workbook(path, read_only=True, data_only=True)
        rows: Iterable[Iterable[object]] = book.worksheets[0].iter_rows(values_only=True)
        read = []
        for number, row in enumerate(rows):
            if number > MOST_ROWS:
                break
            read.append([_cell(cell) for cell in row])
        book.close()
    except BadInput:
        raise
    except Exception as error:
        raise BadInput(f"The workbook cannot be read: {error}.", path=str(path)) from error
    return read


def _cell(value: object) -> str:
    """A cell as text; a guard against formulas (an apostrophe before a sign) is taken off again."""
    match value:
        case None:
            return ""
        case datetime() if value.time() == time(0):
            return value.date().isoformat()
        case datetime():
            return value.isoformat(timespec="minutes")
        case date() | time():
            return value.isoformat()
        case float() if value.is_integer():
            return f"{int(value)}"
        case _:
            words = str(value).strip()
            return words[1:] if words[:1] == "'" and words[1:2] in tuple("=+-@|%") else words
