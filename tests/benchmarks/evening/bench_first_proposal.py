"""First proposal for 1,000 pictures against the bare metadata scan of the same files.

Run: `python -m tests.benchmarks.evening.bench_first_proposal [COUNT]`. Pictures of 12 MP in finds of eight;
both sides read the same warm files in the same run, best of three. The first proposal includes
finding the files, reading them, writing them to a catalogue on disk (synchronous FULL) with their undo
step, and the proposal itself. Aim: at most 1.5 times the scan.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
import uuid
from datetime import UTC, datetime
from pathlib import Path

from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.photos.files import DiskPictures
from catalog_gui.workflows.import_photos import take_in
from catalog_gui.workflows.ports import Surroundings
from tests.simulated import pictures

ROUNDS = 3


def many(folder: Path, count: int) -> None:
    """`count` pictures in finds of eight: ten seconds apart, a find every four minutes."""
    pictures.make(folder, count, lambda number: number // 8 * 240 + number % 8 * 10)


def main(count: int = 1000) -> None:
    """Print both times and their ratio."""
    files = DiskPictures()
    surroundings = Surroundings(lambda: datetime.now(UTC), lambda: uuid.uuid4().hex)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "card"
        folder.mkdir()
        many(folder, count)
        os.sync()

        def scan() -> int:
            found = [one for one in files.find([str(folder)]) if isinstance(one, str)]
            return len(list(files.read_many(found, progress=lambda _: None, cancelled=lambda: False)))

        scans, proposals = [], []
        scan()
        for turn in range(ROUNDS):
            begun = time.perf_counter()
            assert scan() == count
            scans.append(time.perf_counter() - begun)
            catalogue = open_catalogue(Path(place) / f"catalogue-{turn}", now=surroundings.now)
            begun = time.perf_counter()
            report = take_in(catalogue, files, [str(folder)], surroundings)
            proposals.append(time.perf_counter() - begun)
            assert len(report.taken) == count
            with catalogue.read() as work:
                groups = work.groups.count()
            catalogue.close()
    print(f"{count} pictures of 12 MP, best of {ROUNDS}, {groups} groups proposed")
    print(f"bare metadata scan          {min(scans):7.3f} s   ({1e3 * min(scans) / count:.3f} ms a picture)")
    print(f"first proposal, written     {min(proposals):7.3f} s")
    print(f"ratio                       {min(proposals) / min(scans):7.2f}   (aim: at most 1.5)")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
