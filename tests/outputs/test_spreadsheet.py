"""Spreadsheets: guarded cells, honest numbers, and old ones read back in."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from catalog_gui.domain.privacy import Reader
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.record import Record
from catalog_gui.domain.sheet import Precision
from catalog_gui.outputs.spreadsheet import HEAD, guarded, write_csv, write_xlsx
from catalog_gui.outputs.table_reader import read_table
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.press import Press
from catalog_gui.workflows.publish.records import record_of

EXACT = Reader(Precision.EXACT, names=True, notes=True, site=True, deliberate=True)
SOUTH_WEST = {"latitude": "-33.85700", "longitude": "-70.66930", "uncertainty_m": 12}


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
