"""The process is killed at random moments while it writes: nothing acknowledged is lost, undo still works."""

from __future__ import annotations

import random
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from catalog_gui.catalogue import journal
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.catalogue.tables import RECORD_TABLES
from catalog_gui.catalogue.tables import journal as JOURNAL  # noqa: N812 - a table, beside the module of that name
from catalog_gui.catalogue.write_buffer import WriteBuffer
from catalog_gui.domain.foray import Foray
from tests.catalogue.values import NOON, dump

REPOSITORY = Path(__file__).parents[2]
KILLS = 20

CHILD = """
import sys
from datetime import UTC, datetime
from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Specimen

catalogue = open_catalogue(sys.argv[1], now=lambda: datetime.now(UTC))
start = int(sys.argv[2])
for number in range(start, start + 100_000):
    key = str(number)
    with catalogue.step(f"step {key}") as work:
        work.forays.put(Foray("last", key))
        work.specimens.put(Specimen(key, key, foray_id="last", note="x" * (number % 5000)))
        names = [f"{key}-{n}" for n in range(number % 40)]
        work.photos.put(*(Photo(name, f"/card/{name}.jpg", foray_id="last") for name in names))
        work.evidence.put(Evidence(key, key, "ring.kind", Standing.GONE))
        if number % 7 == 6:
            work.evidence.remove(str(number - 3))
    with catalogue.step("hashes", undoable=False) as work:
        work.specimens.put(Specimen(key, key, foray_id="last", note="seen"))
    if number % 5 == 4:
        catalogue.undo()
        catalogue.redo()
    print(number, flush=True)
"""


def _run_and_kill(folder: Path, start: int, acknowledgements: int, delay_s: float) -> int:
    """Let the child work, kill it a moment after some acknowledgement; the last number it acknowledged."""
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(folder), str(start)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=REPOSITORY,
    )
    assert child.stdout is not None
    for _ in range(acknowledgements):
        assert child.stdout.readline(), child.stderr.read() if child.stderr else ""
    try:
        child.wait(timeout=delay_s)
    except subprocess.TimeoutExpired:
        child.send_signal(signal.SIGKILL)
    rest, complaints = child.communicate()
    assert child.returncode == -signal.SIGKILL, complaints
    # A last line without its end was cut off by the kill: not acknowledged.
    finished = [line for line in rest.splitlines(keepends=True) if line.endswith("\n")]
    return start + acknowledgements + len(finished) - 1


def _replayed(catalogue: Catalogue, into: Path) -> dict[str, list[tuple[object, ...]]]:
    """All tables as the journal alone tells them, step after step from nothing."""
    with catalogue.read() as work:
        entries = work.connection.execute(
            JOURNAL.select().where(~JOURNAL.c.undone).order_by(JOURNAL.c.id)
        ).all()
    empty = open_catalogue(into, now=lambda: NOON)
    with empty._writing_step("replay") as (_session, buffer):
        assert isinstance(buffer, WriteBuffer)
        for entry in entries:
            journal.apply(buffer, journal.unpacked(entry.images))
    empty.close()
    return dump(into)


@pytest.mark.kill
@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is POSIX")
def test_killed_at_twenty_random_moments(tmp_path: Path) -> None:
    chance = random.Random(20251004)
    folder = tmp_path / "finds"
    done = 0
    for _ in range(KILLS):
        acknowledged = _run_and_kill(folder, done, chance.randint(1, 4), chance.uniform(0, 0.03))
        catalogue = open_catalogue(folder, now=lambda: NOON)
        with catalogue.read() as work:
            last = work.forays.get("last")
            assert last is not None
            # What was acknowledged stands; at most one further step was saved but not yet acknowledged.
            done = int(last.title)
            assert acknowledged <= done <= acknowledged + 1
            for number in range(acknowledged + 1):
                assert work.specimens.get(str(number)) is not None
                assert work.photos.count(path=[f"/card/{number}-{n}.jpg" for n in range(40)]) == number % 40
        newest = catalogue.steps(1)[0]
        assert newest.undone or newest.label == f"step {done}"
        catalogue.close()
        done += 1

    connection = sqlite3.connect(folder / "catalogue.sqlite")
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    connection.close()

    catalogue = open_catalogue(folder, now=lambda: NOON)
    while catalogue.redo() is not None:
        pass
    assert _replayed(catalogue, tmp_path / "replayed") == dump(folder)
    with catalogue.step("after it all") as work:
        work.forays.put(Foray("new", "still writing"))
    before = dump(folder)
    count = 0
    while catalogue.undo() is not None:
        count += 1
    assert count >= done
    assert all(not rows for rows in dump(folder).values())
    while catalogue.redo() is not None:
        count -= 1
    assert count == 0
    assert dump(folder) == before
    catalogue.close()
    assert set(before) == set(RECORD_TABLES)
