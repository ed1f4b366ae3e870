"""How fast the catalogue is at 10,000 specimens and 100,000 photos; ratios against bare SQLite in one run.

Run: `python -m pytest -s -o addopts= tests/benchmarks/catalogue/bench_speed.py`.
"""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median

import pytest

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.photo import Photo
from tests.simulated.catalogue import START, generate, lexicon

REPOSITORY = Path(__file__).parents[3]

SEARCHES = (
    "", "honey", "white", "a", "honey damp", '"after rain"', "base: white", "base thing 1: white sac-like",
    "ring: gone", "ring: not looked at", "missing: base", "undetermined", "hazard:", "hazard: danger",
    "taxon: amanita", "amanita", "russula oak", "site: quillmoor", "collector: ollerton", "date: 2015",
    "date: 2010-09..2015-11", "date: october", "missing: picture",
    "ring: gone base: white site: fen date: 2008..",
    "white -honey", "nothingofthiskind", "25-099-0",
)  # fmt: skip


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalogue]:
    """The generated catalogue."""
    began = time.perf_counter()
    catalogue = generate(tmp_path_factory.mktemp("large"))
    size = (catalogue.folder / "catalogue.sqlite").stat().st_size / 1e6
    print(f"\ngenerated in {time.perf_counter() - began:.0f} s, {size:.0f} MB")
    yield catalogue
    catalogue.close()


def timed(work: Callable[[], object], times: int = 5) -> float:
    """Median seconds."""
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        work()
        taken.append(time.perf_counter() - began)
    return median(taken)


def test_first_page_of_any_search(large: Catalogue) -> None:
    # The reference: bare SQLite reading the same number of specimens by the date index, no search at all.
    bare = sqlite3.connect(large.folder / "catalogue.sqlite")
    page = "SELECT * FROM specimens ORDER BY collected_at DESC, seq DESC LIMIT 200"
    reference = timed(lambda: bare.execute(page).fetchall(), 20)
    bare.close()
    print(f"\nbare page of 200 specimens: {reference * 1000:.1f} ms")
    worst = 0.0
    for text in SEARCHES:
        first = timed(lambda text=text: large.search(text), 1)  # type: ignore[misc]  # a default in a lambda
        taken = timed(lambda text=text: large.search(text))  # type: ignore[misc]  # a default in a lambda
        worst = max(worst, taken, first)
        print(
            f"  {taken * 1000:6.1f} ms ({taken / reference:5.1f} x bare), first time {first * 1000:6.1f} ms,"
            f" {large.search_count(text):6} found: {text!r}"
        )
    deep = timed(lambda: large.search("", offset=9800))
    print(
        f"  {deep * 1000:6.1f} ms for the last page of everything;"
        f" worst of all first pages {worst * 1000:.0f} ms"
    )
    assert len(large.search("")) == 200


def test_pages_that_ask_the_whole_catalogue(large: Catalogue) -> None:
    for name, work in {
        "season of all": large.season,
        "season of one": lambda: large.season("amanita alboboous"),
        "tally of a foray": lambda: large.tally("f3"),
        "counts of all forays": large.foray_counts,
        "open tasks": large.open_tasks,
        "1,000 known photos": lambda: large.known_photos(quick_keys=[f"q1-{n}-0" for n in range(1000)]),
    }.items():
        print(f"\n  {timed(work) * 1000:6.1f} ms: {name}", end="")
    assert sum(line.specimens for line in large.tally("f3")) == 100


_OPEN = """
import json, sys, time
began = time.perf_counter()
from datetime import UTC, datetime
from catalog_gui.catalogue.store import open_catalogue
imported = time.perf_counter()
catalogue = open_catalogue(sys.argv[1], now=lambda: datetime.now(UTC))
opened = time.perf_counter()
catalogue.search("")
print(json.dumps([imported - began, opened - imported, time.perf_counter() - opened]))
catalogue.close()
"""


def test_opening_costs_little_more_than_an_empty_one(large: Catalogue, tmp_path: Path) -> None:
    large.close()
    for name, folder in (("new", tmp_path / "new"), ("empty", tmp_path / "new"), ("large", large.folder)):
        ran = subprocess.run(
            [sys.executable, "-c", _OPEN, str(folder)],
            capture_output=True,
            text=True,
            check=True,
            cwd=REPOSITORY,
        )
        imports, opening, page = json.loads(ran.stdout)
        print(
            f"\n  {name:5}: imports {imports * 1000:.0f} ms, opening {opening * 1000:.1f} ms,"
            f" first page {page * 1000:.1f} ms",
            end="",
        )


def test_taking_in_ten_thousand_photos(tmp_path: Path) -> None:
    photos = [Photo(str(n), f"/card/{n:05}.jpg", quick_key=f"q{n}", foray_id="f") for n in range(10_000)]
    catalogue = open_catalogue(tmp_path / "finds", now=lambda: START, lexicon=lexicon())
    with catalogue.step("foray") as work:
        work.forays.put(Foray("f", "x"))

    def take_in() -> None:
        with catalogue.step("Take in pictures") as work:
            work.photos.put(*photos)

    bare = sqlite3.connect(tmp_path / "bare.sqlite")
    bare.execute("PRAGMA journal_mode = WAL")
    bare.execute("PRAGMA synchronous = FULL")
    bare.execute("CREATE TABLE photos (id TEXT PRIMARY KEY, path TEXT, quick_key TEXT, foray_id TEXT)")
    rows = [(photo.id, photo.path, photo.quick_key, photo.foray_id) for photo in photos]

    def bare_insert() -> None:
        bare.executemany("INSERT INTO photos VALUES (?, ?, ?, ?)", rows)
        bare.commit()

    reference = timed(bare_insert, 1)
    ours = timed(take_in, 1)
    changed = [replace(photo, content_hash="x" * 64) for photo in photos]

    def hashes() -> None:
        with catalogue.step("Content hashes", undoable=False) as work:
            work.photos.put(*changed)

    print(f"\n  bare insert of four columns {reference * 1000:.0f} ms")
    print(f"  put with undo step {ours * 1000:.0f} ms ({ours / reference:.1f} x bare)")
    print(f"  changing all of them {timed(hashes, 1) * 1000:.0f} ms")
    print(f"  undo {timed(catalogue.undo, 1) * 1000:.0f} ms, redo {timed(catalogue.redo, 1) * 1000:.0f} ms")
    with catalogue.read() as work:
        assert work.photos.count() == 10_000
    bare.close()
    catalogue.close()


def test_what_surviving_a_power_cut_costs(tmp_path: Path) -> None:
    catalogue = open_catalogue(tmp_path, now=lambda: START)
    taken: dict[str, float] = {}
    for mode in ("OFF", "NORMAL", "FULL"):
        with catalogue.read() as work:
            connection = work.connection
        driver = connection.connection.driver_connection
        assert driver is not None
        driver.execute(f"PRAGMA synchronous = {mode}")

        def small_step() -> None:
            with catalogue.step("one") as work:
                work.forays.put(Foray("f", str(time.perf_counter())))

        taken[mode] = timed(small_step, 100)
    catalogue.close()
    print(
        "\n  one small step: "
        + ", ".join(f"{mode} {seconds * 1000:.2f} ms" for mode, seconds in taken.items())
        + f"; FULL is {taken['FULL'] / taken['NORMAL']:.1f} x NORMAL"
    )
    assert taken
