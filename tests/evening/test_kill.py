"""The program is killed at random moments: what was acknowledged is there, the originals are unchanged."""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from catalog_gui import assets
from catalog_gui.catalogue.store import open_catalogue

KILLS = 20
REPOSITORY = Path(__file__).resolve().parents[2]


def fingerprints(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def run_and_kill(catalogue: Path, pictures: Path, seconds: float) -> list[str]:
    """Start the child, kill it `seconds` after it began to work, return what it had acknowledged."""
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.evening.edit_until_killed", str(catalogue), str(pictures)],
        cwd=REPOSITORY,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
    )
    lines: list[str] = []
    assert child.stdout is not None
    reader = threading.Thread(target=lambda: lines.extend(line.strip() for line in child.stdout or ()))
    reader.start()
    until = time.monotonic() + 30
    while not (catalogue / "catalogue.sqlite").exists() and time.monotonic() < until:
        time.sleep(0.005)
    time.sleep(seconds)
    child.send_signal(signal.SIGKILL)
    child.wait(30)
    reader.join(30)
    child.stdout.close()
    return lines


@pytest.mark.kill
def test_killed_at_twenty_random_moments(tmp_path: Path) -> None:
    pictures = tmp_path / "card"
    shutil.copytree(assets.demo_foray(), pictures)
    before = fingerprints(pictures)
    moments = random.Random(20251018)
    wanted = {"taken", "accepted", "evidence", "mark", "undone"}
    reached: set[str] = set()
    for turn in range(2 * KILLS):
        if turn >= KILLS and wanted <= reached:
            break
        catalogue = tmp_path / f"catalogue-{turn}"
        latest = 2.5 if turn < KILLS else 10.0  # a busy machine comes less far before it is killed
        lines = run_and_kill(catalogue, pictures, moments.uniform(0.0, latest))
        assert not [line for line in lines if line.startswith("trouble")], lines
        opened = open_catalogue(catalogue, now=lambda: datetime.now(UTC))
        try:
            check(opened, lines)
        finally:
            opened.close()
        reached.update(line.split()[0] for line in lines)
    assert fingerprints(pictures) == before
    assert wanted <= reached, reached


def check(opened: object, lines: list[str]) -> None:
    """Every acknowledged thing is there, unless a later acknowledged 'undone' took it back."""
    expected: dict[str, str] = {}
    taken = 0
    for line in lines:
        kind, _, rest = line.partition(" ")
        if kind == "taken":
            taken = int(rest)
        elif kind == "undone":
            expected.pop(rest.partition(" ")[2], None)
        else:
            expected[rest] = kind
    # The last undo may have been saved but not acknowledged: it can only concern the newest thing.
    with opened.read() as work:  # type: ignore[attr-defined]
        photos = work.photos.all()
        assert len(photos) >= taken
        assert all(photo.group_id or photo.aside for photo in photos)
        shelves = {"evidence": work.evidence, "mark": work.marks, "accepted": work.specimens}
        missing = [key for key, kind in expected.items() if shelves[kind].get(key) is None]
    newest = list(expected)[-1:] if expected else []
    assert [key for key in missing if key not in newest] == []
    steps = opened.steps(5)  # type: ignore[attr-defined]
    if steps:
        label = opened.undo()  # type: ignore[attr-defined]
        assert label is not None or all(step.undone for step in steps)
