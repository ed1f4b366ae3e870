"""Spreadsheets: guarded cells, honest numbers, and old ones read back in."""

from __future__ import annotations

import contextlib
import csv
import zipfile
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook  # type: ignore[import-untyped]

from catalog_gui.domain.privacy import Reader
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.record import Record
from catalog_gui.domain.sheet import Precision
from catalog_gui.outputs import table_reader
from catalog_gui.outputs.spreadsheet import HEAD, guarded, write_csv, write_xlsx
from catalog_gui.outputs.table_reader import read_table
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.press import Press
from catalog_gui.workflows.publish.records import record_of

EXACT = Reader(Precision.EXACT, names=True, notes=True, site=True, deliberate=True)
SOUTH_WEST: dict[str, Any] = {"latitude": "-33.85700", "longitude": "-70.66930", "uncertainty_m": 12}


@pytest.fixture
def record(found: tuple[Gathered, ...], press: Press) -> Record:
    return replace(record_of(found[0], EXACT, press), **SOUTH_WEST)


# OWASP, CSV injection: = + - @ tab and carriage return begin a formula.
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", " =", "|", "%"])
def test_formula_signs_are_guarded(start: str, record: Record, tmp_path: Path) -> None:
    note = f'{start}cmd|" /C calc"!A0'
    target = tmp_path / "out.csv"
    write_csv([replace(record, note=note)], target)
    with target.open(encoding="utf-8-sig", newline="") as file:
        row = next(csv.DictReader(file))
    assert row["Notes"].startswith("'")
    assert row["Latitude"] == "-33.85700"  # a number may begin with a minus
    target = tmp_path / "out.xlsx"
    write_xlsx([replace(record, note=note)], target)
    sheet = load_workbook(target).active
    cell = sheet.cell(2, HEAD.index("Notes") + 1)
    assert cell.data_type == "s"
    assert sheet.cell(2, HEAD.index("Latitude") + 1).value == pytest.approx(-33.857)


@pytest.mark.parametrize(
    "words", ['"quoted" at the start', "semi;colon, comma", "two\nlines", "🍄 שלום", "'tis"]
)
def test_words_come_back_as_written(words: str, record: Record, tmp_path: Path) -> None:
    for suffix, write in ((".csv", write_csv), (".xlsx", write_xlsx)):
        target = tmp_path / f"out{suffix}"
        write([replace(record, note=words)], target)
        table = read_table(target)
        assert table.head == HEAD
        assert table.rows[0][HEAD.index("Notes")] == words


def test_guard_leaves_plain_words(record: Record) -> None:
    assert guarded("under oak") == "under oak"
    assert guarded("") == ""


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_old_text_of_every_kind(coding: str, separator: str, tmp_path: Path) -> None:
    path = tmp_path / "old.csv"
    rows = [
        ["Species", "Date", "Finder"],
        ["Boletus edulis", "3/10/1998", "Zoë Möhr"],
        ["", "", ""],
        ["Russula", "", ""],
    ]
    path.write_bytes("\r\n".join(separator.join(row) for row in rows).encode(coding))
    table = read_table(path)
    assert table.head == ("Species", "Date", "Finder")
    assert table.rows == (("Boletus edulis", "3/10/1998", "Zoë Möhr"), ("Russula", "", ""))


def test_old_workbook(tmp_path: Path) -> None:
    from datetime import datetime

    book = Workbook()
    sheet = book.active
    sheet.append([None, None])
    sheet.append(["No", "Name", "Date", "Count"])
    sheet.append([12, "Amanita muscaria", datetime(2003, 10, 5), 3.0])  # noqa: DTZ001 - as a workbook holds it
    path = tmp_path / "old.xlsx"
    book.save(path)
    table = read_table(path)
    assert table.rows == (("12", "Amanita muscaria", "2003-10-05", "3"),)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.csv", b""),
        ("blank.csv", b"\n\n,,\n"),
        ("picture.csv", b"\xff\xd8\xff\xe0\x00\x10JFIF\x00" + bytes(200)),
        ("broken.xlsx", b"PK\x05\x06" + bytes(18)),
    ],
)
def test_what_is_no_spreadsheet_is_refused(name: str, data: bytes, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(BadInput) as refused:
        read_table(path)
    assert name in str(refused.value)
    with pytest.raises(BadInput):
        read_table(tmp_path / "missing.csv")


def _workbook_of(path: Path, sheet: str, strings: str = "") -> Path:
    """A small workbook whose first sheet, and whose shared strings, are these."""
    from openpyxl import Workbook

    plain = path.with_name("plain.xlsx")
    Workbook().save(plain)
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            if name.endswith("sheet1.xml"):
                content = sheet.encode()
            new.writestr(name, content)
        if strings:
            new.writestr("xl/sharedStrings.xml", strings)
    return path


_SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{}</sheetData>'
    "</worksheet>"
)


def test_a_small_file_that_claims_endless_cells_is_refused_before_it_fills_the_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each took gigabytes once: the padding of short rows, cells in the last column, strings nobody uses."""
    wide = tmp_path / "wide.csv"
    wide.write_text("a," * 100_000 + "\n" + "1\n" * 20_000)
    far = _workbook_of(
        tmp_path / "far.xlsx",
        _SHEET.format(
            "".join(
                f'<row r="{n}"><c r="A{n}"><v>1</v></c><c r="XFD{n}"><v>1</v></c></row>'
                for n in range(1, 40_001)
            )
        ),
    )
    strings = _workbook_of(
        tmp_path / "strings.xlsx",
        _SHEET.format('<row r="1"><c r="A1"><v>1</v></c></row>'),
        '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        + "<si><t/></si>" * 10_001
        + "</sst>",
    )
    monkeypatch.setattr(table_reader, "MOST_STRINGS", 10_000)
    for path in (wide, far, strings):
        with pytest.raises(BadInput, match=r"More than .* columns or .* cells") as caught:
            read_table(path)
        assert caught.value.path == str(path)


def test_padding_counts_before_it_is_done(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A wide head over many short lines: 0.7 MB of them would have been two thousand million cells."""
    monkeypatch.setattr(table_reader, "MOST_CELLS", 10_000)
    path = tmp_path / "a.csv"
    path.write_text(",".join(["a"] * 900) + "\n" + "1\n" * 20)
    with pytest.raises(BadInput, match="keep only the columns"):
        read_table(path)


def test_lines_beyond_the_most_are_never_dropped_in_silence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(table_reader, "MOST_ROWS", 50)
    rows = "".join(f'<row r="{n}"><c r="A{n}"><v>{n}</v></c></row>' for n in range(1, 53))
    with pytest.raises(BadInput, match="More than 50 lines: split the file first"):
        read_table(_workbook_of(tmp_path / "long.xlsx", _SHEET.format(rows)))
    blank = rows[: rows.index('<row r="51"')] + '<row r="900"><c r="A900"/></row>'
    assert len(read_table(_workbook_of(tmp_path / "blank.xlsx", _SHEET.format(blank))).rows) == 49


@pytest.mark.parametrize("sign", list(",;\t|"))
def test_what_stands_between_the_cells_is_found_without_guessing_at_length(tmp_path: Path, sign: str) -> None:
    path = tmp_path / "a.csv"
    path.write_text(
        f'name{sign}note\nAmanita virosa{sign}"white, tall; {sign} ""slender"""\nBoletus edulis{sign}brown\n'
    )
    table = read_table(path)
    assert table.head == ("name", "note")
    assert table.rows[0] == ("Amanita virosa", f'white, tall; {sign} "slender"')
    counted = Counter[str]()
    reader = csv.reader

    def counting(*args: Any, **more: Any) -> Any:
        counted["read"] += 1
        return reader(*args, **more)

    path.write_text('",' * 10_000)  # cost 4.7 s of guessing
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(csv, "reader", counting)
        patch.setattr(csv, "Sniffer", None)
        with contextlib.suppress(BadInput):
            read_table(path)
    assert counted["read"] <= 5


@pytest.mark.parametrize("coding", ["utf-32", "utf-32-be", "utf-32-le", "utf-16", "utf-8-sig"])
def test_wide_codings_are_read(tmp_path: Path, coding: str) -> None:
    path = tmp_path / "a.csv"
    mark = {"utf-32-be": b"\x00\x00\xfe\xff", "utf-32-le": b"\xff\xfe\x00\x00"}.get(coding, b"")
    path.write_bytes(mark + "name,site\nAmanita virosa,Thörn\n".encode(coding))
    assert read_table(path).rows == (("Amanita virosa", "Thörn"),)


@pytest.mark.parametrize(
    "words", ["＝1+1", "\u00ad=1+1", "\u200b\u200b @SUM(A1)", "＠x", "－1+2", "\ufeff\u2060+1"]
)
def test_formulas_in_disguise_are_guarded(words: str) -> None:
    assert guarded(words) == "'" + words
