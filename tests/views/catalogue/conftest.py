"""A bench over three forays: a small one written in full, an old one, and one of 230 finds for the pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from catalog_gui.app import _lexicon
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Foray, Group, Place
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Qualifier, Specimen, Task
from catalog_gui.geo.position import Position
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.page import CataloguePage
from tests.views.plain import plain_bench

NOON = datetime(2025, 10, 18, 12, 0, tzinfo=UTC)
EVENING = NOON + timedelta(hours=5)
MANY = 230


def fill(catalogue: Catalogue) -> None:
    """What the three forays hold."""
    with catalogue.step("Fill") as work:
        work.forays.put(
            Foray("old", "Spring walk", "Tansy Fen", NOON - timedelta(days=540), time_zone="Europe/London"),
            Foray("many", "Long walk", "Quillmoor", NOON - timedelta(days=380), time_zone="UTC"),
            Foray(
                "walk",
                "Autumn walk",
                "Hobbin Shaw",
                NOON,
                time_zone="Europe/London",
                people=("Hedda Moss",),
                permission="by word of the warden",
            ),
        )
        place = Place(Position(51.812784, -2.578561), 9.2)
        work.specimens.put(
            Specimen(
                "s1", "25-001", "walk", NOON, place, "Wilma Thorn", habitat="beech wood", cover_photo="p1"
            ),
            Specimen("s2", "25-002", "walk", NOON + timedelta(minutes=9), replace(place, uncertainty_m=40.0)),
            Specimen("s3", "24-009", "old", NOON - timedelta(days=540), cover_photo="p3"),
        )
        for n in range(MANY):
            work.specimens.put(
                Specimen(
                    f"m{n}",
                    f"24-{100 + n}",
                    "many",
                    NOON - timedelta(days=380) + timedelta(minutes=n),
                    Place(Position(52 + n / 1000, -2 - n / 2000), 5.0),
                    note="moss",
                )
            )
        work.groups.put(Group("g1", "walk", ("p1",), NOON, NOON, specimen_id="s1"))
        work.groups.put(Group("g3", "old", ("p3",), specimen_id="s3"))
        work.photos.put(
            Photo("p1", "/card/whole.jpg", width=400, height=300, foray_id="walk", group_id="g1"),
            Photo("p3", "/card/gone.jpg", width=400, height=300, foray_id="old", group_id="g3"),
        )
        work.evidence.put(
            Evidence("e1", "s1", "cap.width", Standing.SEEN, low=65.0, high=88.0, unit="mm"),
            Evidence("e2", "s1", "base.volva", Standing.NOT_LOOKED_AT),
        )
        work.determinations.put(
            Determination("d1", "s1", "Amanita virosa", "amanita-virosa", Qualifier.CF),
            Determination("d3", "s3", "Cantharellus cibarius", "cantharellus-cibarius"),
        )
        work.tasks.put(
            Task("t1", "s1", "smell", "Smell it", due=NOON + timedelta(hours=3, minutes=20)),
            Task("t2", "s2", "print", "Start a spore print", due=NOON + timedelta(hours=6)),
            Task("t3", "s2", "drying", "Dry it"),
        )


@pytest.fixture
def catalogue(tmp_path: Path, reference: Reference) -> Catalogue:
    """The filled catalogue; the bench closes it."""
    made = open_catalogue(tmp_path / "catalogue", now=lambda: EVENING, lexicon=_lexicon(reference))
    fill(made)
    return made


@pytest.fixture
def bench(catalogue: Catalogue, reference: Reference, qapp: object) -> Iterator[Bench]:
    made = plain_bench(catalogue, reference, EVENING)
    yield made
    made.close()


@pytest.fixture
def settle(bench: Bench, qtbot: QtBot) -> Callable[[CataloguePage], None]:
    """Waits until everything asked of the records has been answered and nothing waits to be asked."""

    def wait(page: CataloguePage) -> None:
        qtbot.waitUntil(
            lambda: not (bench.records_queue.busy or page.busy),
            timeout=20_000,
        )

    return wait


@pytest.fixture
def page(bench: Bench, qtbot: QtBot, settle: Callable[[CataloguePage], None]) -> CataloguePage:
    made = CataloguePage(bench)
    qtbot.addWidget(made)
    made.resize(1366, 575)
    bench.choose_foray("walk")
    made.show()
    made.enter()
    qtbot.waitUntil(lambda: made.model.rowCount() > 0)
    settle(made)
    return made
