"""A bench with the five finds that the Compare page has to get right, and the shipped reference."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.catalogue.store import open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.settings import Preferences, Theme
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.page import ComparePage
from tests.views.plain import plain_bench

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
PATIENCE = 30_000
"""How long a busy machine may take, ms; no test is decided by it."""

SEEN, NOT_THERE, GONE = Standing.SEEN, Standing.NOT_THERE, Standing.GONE
Rows = list[tuple[str, Standing, tuple[str, ...]]]

WHITE: Rows = [
    ("whole.form", SEEN, ("agaric",)),
    ("cap.colour", SEEN, ("white",)),
    ("gills.colour", SEEN, ("white",)),
    ("gills.attachment", SEEN, ("free",)),
    ("ring.kind", NOT_THERE, ()),
    ("stem.colour", SEEN, ("white",)),
]
FINDS: dict[str, Rows] = {
    "base-missing": [*WHITE, ("base.volva", GONE, ())],
    "volva-seen": [*WHITE, ("base.volva", SEEN, ("sac",))],
    "brown-on-wood": [
        ("whole.form", SEEN, ("agaric",)),
        ("whole.growth", SEEN, ("tuft",)),
        ("cap.colour", SEEN, ("brown",)),
        ("gills.colour", SEEN, ("brown",)),
        ("place.substrate", SEEN, ("stump",)),
    ],
    "chanterelle-like": [
        ("whole.form", SEEN, ("fold-bearing",)),
        ("cap.colour", SEEN, ("yellow",)),
        ("gills.kind", SEEN, ("folds",)),
        ("gills.attachment", SEEN, ("decurrent",)),
    ],
    "nothing": [],
    "base-unseen": [*WHITE],
    "red-bolete": [
        ("whole.form", SEEN, ("bolete",)),
        ("cap.colour", SEEN, ("brown",)),
        ("gills.kind", SEEN, ("pores",)),
        ("gills.pore-colour", SEEN, ("red",)),
        ("stem.surface", SEEN, ("net",)),
        ("flesh.change", SEEN, ("blue",)),
    ],
    "brown-ringed": [
        ("whole.form", SEEN, ("agaric",)),
        ("whole.growth", SEEN, ("tuft",)),
        ("cap.colour", SEEN, ("brown",)),
        ("gills.kind", SEEN, ("gills",)),
        ("gills.colour", SEEN, ("brown",)),
        ("ring.kind", SEEN, ("narrow",)),
        ("print.colour", SEEN, ("brown",)),
        ("place.substrate", SEEN, ("stump",)),
    ],
}
SIX = ("base-unseen", "volva-seen", "nothing", "chanterelle-like", "red-bolete", "brown-ringed")
"""The finds that the banner, the papers and the command line are looked at with."""


@pytest.fixture
def bench(tmp_path: Path, reference: Reference, qapp: object) -> Iterator[Bench]:
    catalogue = open_catalogue(tmp_path / "catalogue", now=lambda: NOON)
    records = catalogue.another()
    with records.step("Foray") as work:
        work.forays.put(Foray("walk", "A walk", "Hobbin Shaw", NOON, time_zone="UTC"))
        for number, (key, rows) in enumerate(FINDS.items(), 1):
            work.specimens.put(Specimen(key, f"2025-{number:03d}", "walk", NOON))
            work.photos.put(
                *(
                    Photo(
                        f"{key}-{n}",
                        f"/card/{key}-{n}.jpg",
                        width=400,
                        height=300,
                        foray_id="walk",
                        group_id=key,
                    )
                    for n in range(2)
                )
            )
            work.groups.put(Group(key, "walk", (f"{key}-0", f"{key}-1"), NOON, NOON, specimen_id=key))
            work.marks.put(
                Mark(
                    f"{key}-cap", f"{key}-1", MarkKind.CROP, ((10, 10), (90, 90)), specimen_id=key, part="cap"
                )
            )
            work.evidence.put(
                *(
                    Evidence(f"{key}{n}", key, f, standing, states)
                    for n, (f, standing, states) in enumerate(rows)
                )
            )
        work.determinations.put(
            Determination("d1", "volva-seen", "Amanita verna", "amanita-verna", entered_at=NOON)
        )
    records.close()
    made = plain_bench(catalogue, reference, NOON, preferences=Preferences(theme=Theme.LIGHT))
    yield made
    made.close()


@pytest.fixture
def page(bench: Bench, qtbot: QtBot) -> Iterator[ComparePage]:
    made = ComparePage(bench)
    qtbot.addWidget(made)
    made.resize(1366, 600)
    bench.choose_foray("walk")
    made.show()
    made.enter()
    qtbot.waitUntil(
        lambda: made.comparison.specimen is not None and not bench.records_queue.busy, timeout=PATIENCE
    )
    yield made
    qtbot.waitUntil(lambda: not bench.records_queue.busy, timeout=PATIENCE)


@pytest.fixture
def settle(page: ComparePage, bench: Bench, qtbot: QtBot) -> Callable[[], None]:
    def wait() -> None:
        qtbot.waitUntil(lambda: not bench.records_queue.busy and not page.table_waiting, timeout=PATIENCE)

    return wait


@pytest.fixture
def show(page: ComparePage, bench: Bench, qtbot: QtBot, settle: Callable[[], None]) -> Callable[[str], None]:
    def choose(key: str) -> None:
        bench.choose_specimen(key)
        qtbot.waitUntil(
            lambda: page.comparison.specimen is not None and page.comparison.specimen.id == key,
            timeout=PATIENCE,
        )
        settle()

    return choose


@pytest.fixture
def record(bench: Bench, settle: Callable[[], None]) -> Callable[[Evidence], None]:
    def put(row: Evidence) -> None:
        bench.do("Recorded", lambda work: work.evidence.put(row))
        settle()

    return put
