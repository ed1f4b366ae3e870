"""Two bodies of one model: apart by the makers' notes once the pictures stand, and never under anybody's hands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.photo import Camera
from catalog_gui.workflows.import_photos import take_in
from catalog_gui.workflows.ports import Surroundings
from catalog_gui.workflows.tell_cameras_apart import SAMPLE, tell_cameras_apart
from tests.grouping.walks import walk
from tests.workflows.conftest import FakeFiles

TWIN = Camera("Aldermoor", "AM-20")


@pytest.fixture
def records(tmp_path: Path, surroundings: Surroundings) -> Iterator[Catalogue]:
    opened = open_catalogue(tmp_path / "catalogue", now=surroundings.now)
    yield opened
    opened.close()


def two_bodies(count: int = 12) -> FakeFiles:
    """A walk with one body, and the same pictures half a minute later with another of the same model."""
    one = [
        replace(p, camera=TWIN, path=f"/card/a{n:04d}.jpg", counter=None) for n, p in enumerate(walk(count))
    ]
    two = []
    for n, photo in enumerate(one):
        assert photo.written.local is not None
        later = photo.written.local + timedelta(hours=1, seconds=3)
        written = replace(photo.written, local=later)
        two.append(replace(photo, path=f"/card/b{n:04d}.jpg", written=written))
    files = FakeFiles([*one, *two])
    files.notes = {path: MakersNotes(serial="1111" if "/a" in path else "2222") for path in files.photos}
    return files


def taken(records: Catalogue, files: FakeFiles, surroundings: Surroundings) -> tuple[str, object]:
    foray = take_in(records, files, ["/card"], surroundings).foray_id
    with records.read() as work:
        return foray, work.position()


def clocks(records: Catalogue) -> set[str]:
    with records.read() as work:
        return {clock.camera_key for clock in work.clocks.all()}


def never() -> bool:
    return False


def test_two_bodies_get_a_clock_each_in_one_step(records: Catalogue, surroundings: Surroundings) -> None:
    files = two_bodies()
    foray, since = taken(records, files, surroundings)
    assert not files.notes_read, "taking pictures in never waits for makers' notes"
    assert clocks(records) == {TWIN.key}
    assert tell_cameras_apart(records, files, foray, since, surroundings, cancelled=never)
    assert clocks(records) == {"Aldermoor AM-20 #1111", "Aldermoor AM-20 #2222"}
    with records.read() as work:
        assert {p.camera.serial for p in work.photos.all() if "/b" in p.path} == {"2222"}
    assert records.undo() is not None
    assert clocks(records) == {TWIN.key}


def test_one_body_stays_as_it_is_and_only_a_sample_is_read(
    records: Catalogue, surroundings: Surroundings
) -> None:
    files = two_bodies(40)
    files.notes = dict.fromkeys(files.photos, MakersNotes(serial="1111"))
    foray, since = taken(records, files, surroundings)
    before = len(records.steps())
    assert not tell_cameras_apart(records, files, foray, since, surroundings, cancelled=never)
    assert len(records.steps()) == before
    assert len(files.notes_read) <= 2 * SAMPLE < len(files.photos)


def test_nothing_moves_once_somebody_has_begun(records: Catalogue, surroundings: Surroundings) -> None:
    files = two_bodies()
    foray, since = taken(records, files, surroundings)
    with records.step("Note") as work:
        group = work.groups.where(foray_id=foray)[0]
        work.groups.put(replace(group, note="mine"))
    assert not tell_cameras_apart(records, files, foray, since, surroundings, cancelled=never)
    assert clocks(records) == {TWIN.key}


def test_a_card_pulled_out_or_a_wish_to_stop_changes_nothing(
    records: Catalogue, surroundings: Surroundings
) -> None:
    files = two_bodies()
    foray, since = taken(records, files, surroundings)
    assert not tell_cameras_apart(records, files, foray, since, surroundings, cancelled=lambda: True)
    files.gone = set(files.photos)
    assert not tell_cameras_apart(records, files, foray, since, surroundings, cancelled=never)
    assert clocks(records) == {TWIN.key}
