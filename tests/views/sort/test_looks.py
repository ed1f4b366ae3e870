"""A take-in from the window: sorted at once by time and place, then once more by what the pictures look like."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.views.bench import Bench
from catalog_gui.views.intake import Intake
from catalog_gui.views.sort.page import SortPage
from catalog_gui.workflows.weigh_looks import LABEL
from tests.views.sort.conftest import Hands
from tests.workflows.conftest import FakeFiles
from tests.workflows.test_tell_cameras_apart import two_bodies
from tests.workflows.test_weigh_looks import FINDS, alike, day

__all__ = ["day"]


@pytest.fixture
def bench(make_bench: Callable[..., Bench], day: FakeFiles, monkeypatch: pytest.MonkeyPatch) -> Bench:
    bench, seen = make_bench(day), set[str]()

    def first_look(photo: Photo, _edge: int) -> Raster:
        seen.add(photo.id)
        return Raster(16, 12, b"\x80" * 16 * 12 * 3)

    def of_seen(one: Photo, two: Photo) -> float | None:
        return alike(one, two) if {one.id, two.id} <= seen else None

    bench.surroundings = replace(bench.surroundings, likeness=of_seen)
    monkeypatch.setattr(bench.pictures.decoder, "first_look", first_look)
    return bench


def start(bench: Bench, page: SortPage, qtbot: QtBot) -> tuple[Hands, list[str]]:
    hands, ready = Hands(bench, page, qtbot), list[str]()
    bench.looks_ready.connect(lambda foray, _since: ready.append(foray))
    intake = Intake(bench, page)
    with qtbot.waitSignal(intake.finished, timeout=20_000):
        intake.start(["/card"])
    return hands, ready


def test_the_trail_is_refined_when_the_pictures_have_been_seen(
    bench: Bench, page: SortPage, qtbot: QtBot
) -> None:
    hands, ready = start(bench, page, qtbot)
    qtbot.waitUntil(lambda: bool(ready), timeout=20_000)
    hands.settle()
    qtbot.waitUntil(lambda: LABEL in hands.said, timeout=20_000)
    hands.settle()
    assert len(hands.names) == FINDS
    hands.undo()
    assert len(hands.names) != FINDS


def test_without_a_likeness_nothing_follows(bench: Bench, page: SortPage, qtbot: QtBot) -> None:
    bench.surroundings = replace(bench.surroundings, likeness=None)
    hands, ready = start(bench, page, qtbot)
    hands.settle()
    qtbot.waitUntil(lambda: not bench.quiet_queue.busy, timeout=20_000)
    hands.settle()
    assert not ready
    assert len(hands.names) != FINDS


def test_two_bodies_of_one_model_are_told_apart_after_the_first_proposal(
    bench: Bench, page: SortPage, qtbot: QtBot
) -> None:
    files = two_bodies()
    bench.files, bench.surroundings = files, replace(bench.surroundings, likeness=None)
    hands, _ = start(bench, page, qtbot)
    qtbot.waitUntil(lambda: not bench.quiet_queue.busy, timeout=20_000)
    hands.settle()
    assert {clock.camera_key for clock in page.state.clocks} == {
        "Aldermoor AM-20 #1111",
        "Aldermoor AM-20 #2222",
    }


def test_the_large_picture_shows_what_the_makers_notes_add(
    bench: Bench, page: SortPage, qtbot: QtBot
) -> None:
    hands, _ = start(bench, page, qtbot)
    hands.settle()
    photo = next(iter(page.state.photos.values()))
    notes = MakersNotes("991", "Continuous", "On (shot 2)", "60 mm macro")
    bench.files.notes[photo.path] = notes  # type: ignore[attr-defined]
    page._show_large(photo.id)
    words = page.findChild(QLabel, "large-picture-words")
    assert words is not None
    qtbot.waitUntil(lambda: "60 mm macro" in words.text(), timeout=20_000)
    assert "drive: Continuous" in words.text()
    assert "bracketing: On (shot 2)" in words.text()
    assert "991" not in words.text()
