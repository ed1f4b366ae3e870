"""Opening: new, again, twice, damaged, foreign, read-only, full; and two threads on one catalogue."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from catalog_gui.catalogue import store
from catalog_gui.catalogue.backup import scheduled_copy
from catalog_gui.catalogue.sqlite_errors import NotSaved
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import CatalogueRefused
from tests.catalogue.values import NOON, dump

REPOSITORY = Path(__file__).parents[2]


def now() -> datetime:
    return NOON


def test_a_new_catalogue_has_its_folders_and_survives_being_opened_again(tmp_path: Path) -> None:
    folder = tmp_path / "Pilze & Läuse" / "finds"
    first = open_catalogue(folder, now=now)
    with first.step("one") as work:
        work.forays.put(Foray("f", "x"))
    first.close()
    first.close()
    assert {path.name for path in folder.iterdir()} == {
        "catalogue.sqlite",
        "catalogue.lock",
        "previews",
        "papers",
    }
    second = open_catalogue(str(folder), now=now)
    with second.read() as work:
        assert work.forays.all() == (Foray("f", "x"),)
    second.close()
    with pytest.raises(RuntimeError, match="was closed"), second.read():
        pass


def test_the_connection_is_as_careful_as_promised(catalogue: Catalogue) -> None:
    with catalogue.read() as work:
        setting = {
            name: work.connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "trusted_schema")
        }
    assert setting == {
        "journal_mode": "wal",
        "synchronous": 2,  # FULL
        "foreign_keys": 1,
        "busy_timeout": int(store.WAIT_S * 1000),
        "trusted_schema": 0,
    }


def test_a_second_window_is_told_who_has_it(tmp_path: Path) -> None:
    first = open_catalogue(tmp_path, now=now)
    with pytest.raises(
        CatalogueRefused, match=rf"open in another window \(process {os.getpid()}, since 2025"
    ):
        open_catalogue(tmp_path, now=now)
    other = (
        "import sys; from datetime import datetime, UTC\n"
        "from catalog_gui.catalogue.store import open_catalogue\n"
        "try: open_catalogue(sys.argv[1], now=lambda: datetime.now(UTC))\n"
        "except Exception as error: print(error)"
    )
    told = subprocess.run(
        [sys.executable, "-c", other, str(tmp_path)],
        capture_output=True,
        text=True,
        cwd=REPOSITORY,
        check=True,
    )
    assert "already open in another window" in told.stdout
    worker = first.another()
    first.close()
    with pytest.raises(CatalogueRefused, match="open in another window"):
        open_catalogue(tmp_path, now=now)  # the worker has not finished yet
    worker.close()
    open_catalogue(tmp_path, now=now).close()


def _spoil(path: Path, at: int, length: int) -> None:
    with path.open("rb+") as handle:
        handle.seek(at)
        handle.write(b"\x5a" * length)


@pytest.fixture
def closed(tmp_path: Path) -> Path:
    """The folder of a closed catalogue with some rows."""
    catalogue = open_catalogue(tmp_path / "finds", now=now)
    with catalogue.step("pictures") as work:
        work.photos.put(*(Photo(str(n), f"/card/{n}.jpg") for n in range(500)))
    catalogue.close()
    return tmp_path / "finds"


def test_a_damaged_beginning_is_refused_and_nothing_is_changed(closed: Path) -> None:
    path = closed / "catalogue.sqlite"
    _spoil(path, 0, 64)
    content = path.read_bytes()
    with pytest.raises(CatalogueRefused, match=r"not a catalogue, or its beginning is damaged.*safety copy"):
        open_catalogue(closed, now=now)
    assert path.read_bytes() == content


def test_a_damaged_table_of_contents_is_refused(closed: Path) -> None:
    _spoil(closed / "catalogue.sqlite", 100, 3000)
    with pytest.raises(CatalogueRefused, match=r"damaged\. Restore a safety copy"):
        open_catalogue(closed, now=now)


def test_damage_further_in_gives_a_sentence_when_it_is_met(closed: Path) -> None:
    path = closed / "catalogue.sqlite"
    with sqlite3.connect(path) as connection:
        pages = connection.execute(
            "SELECT pageno FROM dbstat WHERE name = 'photos' ORDER BY pageno"
        ).fetchall()
    connection.close()
    _spoil(path, 4096 * (pages[len(pages) // 2][0] - 1), 4096)
    catalogue = open_catalogue(closed, now=now)
    with pytest.raises(CatalogueRefused, match="damaged"), catalogue.read() as work:
        work.photos.all()
    catalogue.close()


@pytest.mark.parametrize("content", ["text", "database"])
def test_somebody_elses_file_is_refused_and_kept(tmp_path: Path, content: str) -> None:
    path = tmp_path / "catalogue.sqlite"
    if content == "text":
        path.write_text("Shopping list: twine, paper bags, chalk\n" * 200)
    else:
        with sqlite3.connect(path) as connection:
            connection.execute("CREATE TABLE recipes (name TEXT)")
        connection.close()
    before = path.read_bytes()
    with pytest.raises(CatalogueRefused, match=r"not a catalogue|holds something else"):
        open_catalogue(tmp_path, now=now)
    if content == "text":
        assert path.read_bytes() == before


def test_an_empty_file_left_by_a_crash_at_the_very_beginning_becomes_a_catalogue(tmp_path: Path) -> None:
    (tmp_path / "catalogue.sqlite").touch()
    catalogue = open_catalogue(tmp_path, now=now)
    with catalogue.step("one") as work:
        work.forays.put(Foray("f", "x"))
    catalogue.close()
    with closing(open_catalogue(tmp_path, now=now)) as again, again.read() as work:
        assert work.forays.all() == (Foray("f", "x"),)


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="needs a user whom permissions hold back")
def test_a_read_only_folder_is_refused(closed: Path) -> None:
    closed.chmod(stat.S_IRUSR | stat.S_IXUSR)
    try:
        with pytest.raises(CatalogueRefused, match="read-only"):
            open_catalogue(closed, now=now)
    finally:
        closed.chmod(stat.S_IRWXU)


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(CatalogueRefused, match="The disk refused"):
        open_catalogue(tmp_path / "file" / "finds", now=now)


def test_a_read_only_database_gives_a_sentence(catalogue: Catalogue) -> None:
    with catalogue.read() as work:
        work.connection.exec_driver_sql("PRAGMA query_only = ON")
    with pytest.raises(NotSaved, match="read-only"), catalogue.step("one") as work:
        work.forays.put(Foray("f", "x"))


def test_a_full_disk_loses_only_the_step_that_did_not_fit(catalogue: Catalogue) -> None:
    with catalogue.step("fits") as work:
        work.forays.put(Foray("f", "x"))
    before = dump(catalogue.folder)
    with catalogue.read() as work:
        pages = work.connection.exec_driver_sql("PRAGMA page_count").scalar()
        work.connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")

    def too_much() -> None:
        with catalogue.step("Take in pictures") as work:
            work.photos.put(*(Photo(str(n), "/card/" + "x" * 500 + str(n)) for n in range(2000)))

    with pytest.raises(
        NotSaved, match=r"The disk is full.*'Take in pictures' was not saved; everything before"
    ):
        too_much()
    assert dump(catalogue.folder) == before
    with catalogue.read() as work:
        work.connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
    too_much()
    with catalogue.read() as work:
        assert work.photos.count() == 2000


def test_a_writer_that_waits_in_vain_is_told_and_can_try_again(
    catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "WAIT_S", 0.05)
    other = catalogue.another()
    with catalogue.step("long one") as work:
        work.forays.put(Foray("f", "x"))
        with (
            pytest.raises(NotSaved, match=r"busy.*Try again.*'short one' was not saved"),
            other.step("short one"),
        ):
            pass
        with other.read() as reading:  # reading never waits
            assert reading.forays.count() == 0
    with other.step("short one") as work:
        work.forays.put(Foray("g", "y"))
    with catalogue.read() as work:
        assert work.forays.count() == 2
    other.close()


def test_a_reading_is_one_moment_even_while_another_thread_writes(catalogue: Catalogue) -> None:
    other = catalogue.another()
    with catalogue.read() as work:
        assert work.forays.count() == 0
        with other.step("meanwhile") as writing:
            writing.forays.put(Foray("f", "x"))
        assert work.forays.count() == 0
    with catalogue.read() as work:
        assert work.forays.count() == 1
    other.close()


def test_several_threads_write_and_read_and_nothing_is_lost(catalogue: Catalogue) -> None:
    troubles: list[BaseException] = []

    def write(name: str) -> None:
        try:
            mine = catalogue.another()
            for number in range(25):
                with mine.step(f"{name} {number}") as work:
                    work.forays.put(Foray(f"{name}{number}", str(work.forays.count())))
                with mine.read() as work:
                    assert work.forays.get(f"{name}{number}") is not None
            mine.close()
        except BaseException as error:  # noqa: BLE001  (a thread's failure must reach the test)
            troubles.append(error)

    threads = [threading.Thread(target=write, args=(name,)) for name in "abc"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert troubles == []
    with catalogue.read() as work:
        # Each step saw all the steps before it: the counts are 0 to 74, each once.
        assert sorted(int(foray.title) for foray in work.forays.all()) == list(range(75))
    assert len(catalogue.steps(limit=100)) == 75


def test_a_whole_catalogue_folder_can_be_moved(closed: Path, tmp_path: Path) -> None:
    shutil.move(closed, tmp_path / "elsewhere")
    catalogue = open_catalogue(tmp_path / "elsewhere", now=now)
    with catalogue.read() as work:
        assert work.photos.count() == 500
    catalogue.close()


def test_progress_is_silent_when_there_is_nothing_to_wait_for(tmp_path: Path) -> None:
    said: list[str] = []
    say: Callable[[str], None] = said.append
    open_catalogue(tmp_path, now=now, progress=say).close()
    assert said == []


def _lived_in(folder: Path) -> Path:
    """A catalogue that was in use: a paper and a safety copy stand beside it."""
    catalogue = open_catalogue(folder, now=lambda: NOON)
    with catalogue.step("one") as work:
        work.forays.put(Foray("f", "Beech wood"))
    (catalogue.papers / "sheet.pdf").write_bytes(b"%PDF")
    scheduled_copy(catalogue, folder / "copies", now=NOON)
    catalogue.close()
    return folder / "catalogue.sqlite"


def _emptied_file(path: Path) -> None:
    path.write_bytes(b"")


def _one_byte(path: Path) -> None:
    path.write_bytes(b"S")


def _no_tables(path: Path) -> None:
    path.unlink()
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("VACUUM")
    connection.close()
    assert path.stat().st_size >= 100


@pytest.mark.parametrize("damage", [_emptied_file, _one_byte, Path.unlink, _no_tables])
def test_an_emptied_catalogue_is_refused_and_points_to_its_copies(
    tmp_path: Path, damage: Callable[[Path], object]
) -> None:
    path = _lived_in(tmp_path / "finds")
    damage(path)
    before = {file: file.read_bytes() for file in path.parent.rglob("*") if file.is_file()}
    with pytest.raises(CatalogueRefused) as caught:
        open_catalogue(path.parent, now=lambda: NOON)
    words = str(caught.value)
    assert caught.value.path == str(path)
    assert "Nothing was changed" in words
    assert "restore a safety copy" in words
    assert f"finds-{NOON:%Y-%m-%d-%H%M%S}.zip" in words
    after = {file: file.read_bytes() for file in path.parent.rglob("*") if file.is_file()}
    for log in ("catalogue.sqlite-wal", "catalogue.sqlite-shm"):
        after.pop(path.parent / log, None)
    lock = {file for file in after if "lock" in file.name}
    assert {f: c for f, c in after.items() if f not in lock} == {
        f: c for f, c in before.items() if f not in lock
    }


@pytest.mark.parametrize("left", [None, b""])
def test_what_a_killed_first_start_left_is_begun_anew(tmp_path: Path, left: bytes | None) -> None:
    for name in ("papers", "previews"):
        (tmp_path / "finds" / name).mkdir(parents=True)
    if left is not None:
        (tmp_path / "finds" / "catalogue.sqlite").write_bytes(left)
    with closing(open_catalogue(tmp_path / "finds", now=lambda: NOON)) as catalogue, catalogue.read() as work:
        assert work.forays.all() == ()
    assert (tmp_path / "finds" / "catalogue.sqlite").stat().st_size > 0
