"""Old spreadsheets as rows of text: CSV of any usual kind, and XLSX."""

from __future__ import annotations

import contextlib
import csv
import io
import zipfile
from collections import Counter
from collections.abc import Iterable
from datetime import date, datetime, time
from pathlib import Path

from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.record import Table

MOST_BYTES = 200_000_000
MOST_ROWS = 200_000
MOST_COLUMNS = 1_000
MOST_CELLS = 10_000_000
MOST_STRINGS = 2_000_000
"""More than any list of finds has; beyond it a small file fills the memory."""

_DELIMITERS = ",;\t|"


def read_table(path: Path) -> Table:
    """The first row with words as the head, every later one as a row of as many cells, text as written.

    Raises BadInput with the file and the reason: missing, not a spreadsheet, damaged, too large, empty.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise BadInput("The file is too large for a spreadsheet of finds.", path=str(path))
        rows = _workbook(path) if zipfile.is_zipfile(path) else _text(path)
    except OSError as error:
        raise BadInput(
            f"The file cannot be read: {error.strerror}. Close it elsewhere and try again.", path=str(path)
        ) from error
    filled = rows
    if not filled:
        raise BadInput("There is nothing in this file.", path=str(path))
    width = len(filled[0])
    while width and not filled[0][width - 1]:
        width -= 1
    if width > MOST_COLUMNS or width * len(filled) > MOST_CELLS:
        raise _too_many(path)
    padded = tuple(tuple((row + [""] * width)[:width]) for row in filled)
    return Table(path.name, padded[0], padded[1:])


def _text(path: Path) -> list[list[str]]:
    data = path.read_bytes()
    if b"\x00" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")):
        raise BadInput("This is not a spreadsheet: CSV or XLSX can be read.", path=str(path))
    text = _decoded(data)
    try:
        rows = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text[:20_000]))
        return _bounded(rows, path)
    except csv.Error as error:
        raise BadInput(
            f"The cells of line {rows.line_num} cannot be told apart; save the table again as CSV or XLSX.",
            path=str(path),
        ) from error


def _delimiter(text: str) -> str:
    """What stands between the cells: the sign by which most lines have equally many, and more than one."""
    best, most = ",", (0, 0)
    for sign in _DELIMITERS:
        counts: Counter[int] = Counter()
        with contextlib.suppress(csv.Error):  # a cell that never ends is told when the whole is read
            counts.update(len(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=sign))
        of_several = {width: lines for width, lines in counts.items() if width > 1}
        width, lines = max(of_several.items(), key=lambda pair: (pair[1], pair[0]), default=(0, 0))
        if (lines, width) > most:
            best, most = sign, (lines, width)
    return best


def _bounded(rows: Iterable[Iterable[object]], path: Path) -> list[list[str]]:
    """The rows that hold anything. Raises BadInput for more than a list of finds has, before they are kept."""
    read, cells = [], 0
    for row in rows:
        words = [_cell(cell) for cell in row]
        while words and not words[-1]:
            words.pop()
        if not words:
            continue
        cells += len(words)
        read.append(words)
        if len(read) > MOST_ROWS:
            raise BadInput(f"More than {MOST_ROWS} lines: split the file first.", path=str(path))
        if len(words) > MOST_COLUMNS or cells > MOST_CELLS:
            raise _too_many(path)
    return read


def _too_many(path: Path) -> BadInput:
    return BadInput(
        f"More than {MOST_COLUMNS} columns or {MOST_CELLS} cells: keep only the columns that are needed.",
        path=str(path),
    )


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return data.decode("utf-32", errors="replace")
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
        if _strings_in(archive) > MOST_STRINGS:
            raise _too_many(path)
    try:
        book = load_workbook(path, read_only=True, data_only=True)
        rows: Iterable[Iterable[object]] = book.worksheets[0].iter_rows(values_only=True)
        read = _bounded(rows, path)
        book.close()
    except BadInput:
        raise
    except Exception as error:
        raise BadInput(
            "The workbook is damaged or of a kind that cannot be read; save it again as XLSX or CSV.",
            path=str(path),
        ) from error
    return read


def _strings_in(archive: zipfile.ZipFile) -> int:
    """How many shared strings a workbook announces by their tags; counting stops beyond `MOST_STRINGS`."""
    count, tail = 0, b""
    for name in archive.namelist():
        if name.casefold().endswith("sharedstrings.xml"):
            with archive.open(name) as strings:
                while count <= MOST_STRINGS and (piece := strings.read(1 << 20)):
                    count += (tail + piece).count(b"<si") - tail.count(b"<si")
                    tail = piece[-2:]
    return count


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
