"""Damaged cells: a sentence with table and row, never an exception of the language; the check finds each."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.catalogue.check import FindingKind, check
from catalog_gui.catalogue.damaged import DamagedRow, DamagedStep
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group, Place, Track
from catalog_gui.domain.photo import Fix, Photo
from catalog_gui.domain.problem import Problem
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.geo.position import Position
from tests.catalogue.values import NOON

HERE = Position(54.5, -3.2)


@pytest.fixture
def full(tmp_path: Path) -> Path:
    """A closed catalogue with a row on many shelves, in one step each."""
    catalogue = open_catalogue(tmp_path, now=lambda: NOON)
    with catalogue.step("A foray") as work:
        work.forays.put(Foray("f", "A walk", started=NOON))
        work.photos.put(Photo("p", "/card/p.jpg", fix=Fix(HERE), foray_id="f", counter=3))
        work.tracks.put(Track("t", "f", "walk", (1.0, 2.0), (54.0, 54.1), (-3.0, -3.1)))
        work.groups.put(Group("g", "f", (), NOON, NOON))
        work.specimens.put(Specimen("s", "25-001", "f", NOON, place=Place(HERE, 10.0)))
    with catalogue.step("A feature") as work:
        work.evidence.put(Evidence("e", "s", "ring.kind", Standing.SEEN, ("skirt",), noted_at=NOON))
        work.determinations.put(Determination("d", "s", "Amanita", entered_at=NOON))
        work.marks.put(Mark("m", "p", MarkKind.LINE, ((1.0, 2.0), (3.0, 4.0))))
    with catalogue.step("Another feature") as work:
        work.evidence.put(Evidence("e", "s", "ring.kind", Standing.SEEN, ("absent",), noted_at=NOON))
    catalogue.close()
    return tmp_path


def _set(folder: Path, table: str, column: str, value: object) -> None:
    connection = sqlite3.connect(folder / "catalogue.sqlite")
    changed = connection.execute(f"UPDATE {table} SET {column} = ?", (value,)).rowcount  # noqa: S608
    assert changed
    connection.commit()
    connection.close()


CELLS = [
    ("forays", "started", "yesterday"),
    ("forays", "started", "2025-10-04T12:00:00"),
    ("forays", "people", "[["),
    ("forays", "people", '{"a":1}'),
    ("forays", "people", "[1]"),
    ("forays", "people", "[" * 100_000),
    ("photos", "width", "wide"),
    ("photos", "counter", 1.5),
    ("photos", "written_local", "2025-10-04T12:00:00+00:00"),
    ("photos", "written_offset_us", 2**62),
    ("photos", "fix_latitude", "north"),
    ("photos", "fix_latitude", 1e300),
    ("photos", "fix_latitude", None),
    ("photos", "fix_longitude", None),
    ("photos", "fix_date_inferred", 7),
    ("photos", "fix_satellite_time", b"\xff\xfe"),
    ("photos", "path", b"\xff\xfe"),
    ("groups", "photos", "7"),
    ("groups", "start", "no time"),
    ("tracks", "times", '["a"]'),
    ("tracks", "latitudes", "NaN"),
    ("specimens", "place_latitude", "x"),
    ("specimens", "collected_at", "x"),
    ("specimens", "private_place", "perhaps"),
    ("evidence", "standing", "seen twice"),
    ("evidence", "states", "["),
    ("evidence", "states", "[[1]]"),
    ("evidence", "low", "deep"),
    ("determinations", "qualifier", "maybe"),
    ("determinations", "determined_on", "2025"),
    ("marks", "kind", "smear"),
    ("marks", "points", "[1,2]"),
    ("marks", "points", "[[1,2,3],[4,5,6]]"),
    ("marks", "points", '[["a","b"],["c","d"]]'),
]


@pytest.mark.parametrize(("table", "column", "value"), CELLS)
def test_a_damaged_cell_is_a_sentence_and_the_check_finds_it(
    full: Path, table: str, column: str, value: object
) -> None:
    _set(full, table, column, value)
    catalogue = open_catalogue(full, now=lambda: NOON)
    with pytest.raises(DamagedRow) as told, catalogue.read() as work:
        getattr(work, table).all()
    assert f"of the table '{table}' is damaged" in told.value.reason
    assert f"The row '{table[0]}'" in told.value.reason
    assert "Safety copies and check" in told.value.reason
    assert len(told.value.reason) < 400
    found = check(catalogue).of(FindingKind.ROW)
    assert [finding.sentence for finding in found] == [told.value.reason]
    catalogue.close()


@pytest.mark.parametrize(("table", "column", "value"), CELLS)
def test_lists_and_the_search_go_on_beside_a_damaged_cell(
    full: Path, table: str, column: str, value: object
) -> None:
    _set(full, table, column, value)
    _set(full, "alembic_version", "version_num", "0004")
    connection = sqlite3.connect(full / "catalogue.sqlite")
    connection.execute("PRAGMA user_version = 0")  # the index is to be made anew, over the damage
    connection.commit()
    connection.close()
    catalogue = open_catalogue(full, now=lambda: NOON)
    assert [one.specimen_id for one in catalogue.search("")] == ["s"]
    catalogue.search("ring.kind skirt")
    catalogue.search_season("")
    catalogue.search_season("amanita")
    catalogue.search_places("")
    catalogue.season()
    with catalogue.step("Another specimen beside it") as work:
        work.specimens.put(Specimen("s2", "25-002"))
    assert catalogue.search_count("") == 2
    catalogue.close()


def test_a_text_that_is_no_utf8_is_a_sentence_and_the_row_is_named_by_the_check(full: Path) -> None:
    connection = sqlite3.connect(full / "catalogue.sqlite")
    connection.execute("UPDATE specimens SET habitat = CAST(x'ff41' AS TEXT)")
    connection.commit()
    connection.close()
    catalogue = open_catalogue(full, now=lambda: NOON)
    with pytest.raises(Problem, match="A text in the catalogue is damaged"), catalogue.read() as work:
        work.specimens.all()
    (found,) = check(catalogue).of(FindingKind.ROW)
    assert "The row 's' of the table 'specimens'" in found.sentence
    assert "'habitat'" in found.sentence
    with catalogue.read() as work:
        assert work.forays.all()[0].title == "A walk"
    catalogue.close()


def _json(text: str) -> Callable[[bytes], bytes]:
    return lambda _old: zlib.compress(text.encode())


def _swap(old: str, new: str) -> Callable[[bytes], bytes]:
    def swapped(blob: bytes) -> bytes:
        text = zlib.decompress(blob).decode()
        assert old in text
        return zlib.compress(text.replace(old, new).encode())

    return swapped


STEPS = [
    lambda blob: blob[:-4],
    lambda _old: b"",
    lambda _old: "no bytes",
    lambda _old: zlib.compress(b"\xff\xfe"),
    _json(""),
    _json("{"),
    _json("[]"),
    _json('{"evidence":{"columns":[],"made":[],"gone":[],"changed":{}}}'),
    _json('{"evidence":{"columns":["id"],"made":[[1,2]],"gone":[],"changed":{}}}'),
    _json('{"evidence":{"columns":["id"],"made":[["e"]],"gone":[],"changed":{"e":{"note":1}}}}'),
    _swap('"changed":{"e"', '"changed":[{"e"'),
    _swap('["[\\"skirt\\"]","[\\"absent\\"]"]', '["[\\"skirt\\"]",{"a":1}]'),
    _swap('["[\\"skirt\\"]","[\\"absent\\"]"]', '["[\\"skirt\\"",""]'),
]


@pytest.mark.parametrize("number", range(len(STEPS)))
def test_a_damaged_step_is_a_sentence_and_the_check_finds_it(full: Path, number: int) -> None:
    connection = sqlite3.connect(full / "catalogue.sqlite")
    step, blob = connection.execute("SELECT id, images FROM journal ORDER BY id DESC").fetchone()
    connection.execute("UPDATE journal SET images = ? WHERE id = ?", (STEPS[number](blob), step))
    connection.commit()
    connection.close()
    catalogue = open_catalogue(full, now=lambda: NOON)
    (found,) = check(catalogue).of(FindingKind.STEP)
    assert f"The step {step} ('Another feature') of the journal is damaged" in found.sentence
    assert "Safety copies and check" in found.sentence
    # What was struck out speaks for a danger: it is never passed over, not the second time either.
    if number < len(STEPS) - 1:
        for _ in range(2):
            with pytest.raises(DamagedStep), catalogue.read() as work:
                work.struck_out(["s"])
        with pytest.raises(DamagedStep):
            catalogue.undo()
    with catalogue.read() as work:
        assert work.evidence.all()[0].states == ("absent",)
        assert work.changed_since(object()) is None
    catalogue.close()


def test_a_step_with_a_damaged_time_is_named(full: Path) -> None:
    _set(full, "journal", "at", "late")
    catalogue = open_catalogue(full, now=lambda: NOON)
    with pytest.raises(DamagedStep, match="its time cannot be read"):
        catalogue.steps()
    assert len(check(catalogue).of(FindingKind.STEP)) == 3
    catalogue.close()


def test_a_mark_that_cannot_be_drawn_is_named_with_what_to_do(full: Path) -> None:
    _set(full, "marks", "points", "[[1,2]]")
    catalogue = open_catalogue(full, now=lambda: NOON)
    (found,) = check(catalogue).of(FindingKind.MARK)
    assert found.photo_id == "p"
    assert "The mark 'm' of the table 'marks'" in found.sentence
    assert "draw it again" in found.sentence
    catalogue.close()


def test_flipped_bytes_are_opened_named_or_refused(full: Path, tmp_path: Path) -> None:
    """A byte flipped, a page zeroed: a sentence or a reading, never anything else. `FLIPS=200` tries more."""
    catalogue = open_catalogue(full, now=lambda: NOON)
    catalogue.close()
    connection = sqlite3.connect(full / "catalogue.sqlite")
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.close()
    whole = (full / "catalogue.sqlite").read_bytes()
    size = len(whole)
    states: list[bytes] = []
    many = int(os.environ.get("FLIPS", "16"))
    for number in range(many):
        at = (number * 7919 * 13 + 100) % size
        states.append(whole[:at] + bytes([whole[at] ^ (1 << number % 8)]) + whole[at + 1 :])
    states += [
        whole[:page] + bytes(4096) + whole[page + 4096 :]
        for page in range(0, size, 4096 * max(1, 100 // many))
    ]
    for number, state in enumerate(states):
        place = tmp_path / "flips" / str(number)
        place.mkdir(parents=True)
        (place / "catalogue.sqlite").write_bytes(state)
        _read_all(place)


def _read_all(place: Path) -> None:
    try:
        catalogue = open_catalogue(place, now=lambda: NOON)
    except Problem:
        return
    try:
        for ask in (_shelves, _questions, check, lambda one: one.undo()):
            with contextlib.suppress(Problem):
                ask(catalogue)
    finally:
        catalogue.close()


def _shelves(catalogue: Catalogue) -> None:
    with catalogue.read() as work:
        for name in ("forays", "photos", "tracks", "groups", "specimens", "evidence", "marks"):
            try:
                getattr(work, name).all()
            except DamagedRow:
                continue
        work.struck_out(["s"])


def _questions(catalogue: Catalogue) -> None:
    catalogue.search("")
    catalogue.search_season("")
    catalogue.steps()
