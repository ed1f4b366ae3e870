"""Every value comes back from its row exactly as it was put in."""

from __future__ import annotations

import dataclasses
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog_gui.catalogue.repository import mapper_of
from catalog_gui.catalogue.store import Catalogue
from catalog_gui.catalogue.tables import RECORD_TABLES
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.photo import Camera, Fix, Photo, WrittenTime
from catalog_gui.domain.specimen import Specimen
from catalog_gui.geo.position import Position
from tests.catalogue.values import KINDS, links, values


@pytest.mark.parametrize("name", KINDS)
def test_every_field_has_columns_and_every_column_a_field(name: str) -> None:
    shape = mapper_of(name)
    assert list(shape.fields) == [field.name for field in dataclasses.fields(KINDS[name])]
    assert ["seq", *shape.columns] == [column.name for column in RECORD_TABLES[name].c]


@pytest.mark.parametrize("name", KINDS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_value_comes_back_exactly(name: str, data: st.DataObject, catalogue: Catalogue) -> None:
    value = data.draw(values(KINDS[name], **links(name), id=st.uuids().map(str)))
    with catalogue.step("put") as work:
        getattr(work, name).put(value)
    with catalogue.read() as work:
        back = getattr(work, name).get(value.id)
    assert back == value
    assert _types(back) == _types(value)


def _types(value: object) -> object:
    """The types all through a value: 1 equals True and 1.0, but it is not the same thing."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return type(value), [_types(getattr(value, field.name)) for field in dataclasses.fields(value)]
    if isinstance(value, tuple):
        return tuple, [_types(member) for member in value]
    return type(value)


def test_naive_and_aware_times_are_not_mixed_up(catalogue: Catalogue) -> None:
    local = datetime(2025, 10, 4, 9, 0, 0, 123456)  # noqa: DTZ001
    written = WrittenTime(raw="2025:10:04 09:00:00", local=local, offset=timedelta(hours=2))
    east = datetime(2025, 10, 4, 9, tzinfo=timezone(timedelta(hours=2)))
    with catalogue.step("put") as work:
        work.photos.put(Photo("p", "/card/a.jpg", written=written))
        work.specimens.put(Specimen("s", "1", collected_at=east))
    with catalogue.read() as work:
        photo, specimen = work.photos.get("p"), work.specimens.get("s")
    assert photo is not None
    assert photo.written == written
    assert photo.written.local is not None
    assert photo.written.local.tzinfo is None
    assert specimen is not None
    assert specimen.collected_at == east
    assert specimen.collected_at.tzinfo is UTC
    with pytest.raises(ValueError, match="no time zone"), catalogue.step("naive") as work:
        work.specimens.put(Specimen("t", "2", collected_at=datetime(2025, 10, 4)))  # noqa: DTZ001
    with pytest.raises(ValueError, match="kept without one"), catalogue.step("aware") as work:
        work.photos.put(Photo("q", "/card/b.jpg", written=WrittenTime(local=east)))
    with catalogue.read() as work:
        assert work.specimens.count() == work.photos.count() == 1


def test_where_finds_by_fields_columns_nested_values_and_sequences(catalogue: Catalogue) -> None:
    near = Fix(Position(51.5, 0.25), error_m=4.0)
    photos = (
        Photo("a", "/c.jpg", camera=Camera("Holz", "H1", "77"), fix=near, foray_id="f", quick_key="k1"),
        Photo("b", "/b.jpg", camera=Camera("Holz", "H1", "78"), foray_id="f", quick_key="k2"),
        Photo("c", "/a.jpg", camera=Camera("Holz", "H2"), quick_key="k3"),
    )
    with catalogue.step("put") as work:
        work.forays.put(Foray("f", "Invented Wood"))
        work.photos.put(*photos)
    a, b, c = photos
    with catalogue.read() as work:
        shelf = work.photos
        assert shelf.all() == (c, b, a)  # by path
        assert shelf.where(foray_id="f") == (b, a)
        assert shelf.where(foray_id="") == (c,)
        assert shelf.where(quick_key=("k1", "k3", "none")) == (c, a)
        assert shelf.where(foray_id=["f", ""]) == (c, b, a)
        assert shelf.where(quick_key=()) == ()
        assert shelf.where(camera_serial="78") == (b,)
        assert shelf.where(camera=Camera("Holz", "H1", "77")) == (a,)
        assert shelf.where(camera=[Camera("Holz", "H2"), Camera("Holz", "H1", "78")]) == (c, b)
        assert shelf.where(fix=None) == (c, b)
        assert shelf.where(fix=near, foray_id="f") == (a,)
        assert shelf.count() == 3
        assert shelf.count(foray_id="f") == 2
        assert shelf.where(quick_key=[f"k{n}" for n in range(40_000)]) == (c, b, a)
        with pytest.raises(TypeError, match="no field called 'colour'"):
            shelf.where(colour="white")


def test_a_path_that_is_not_utf8_is_kept_and_found(catalogue: Catalogue, tmp_path: Path) -> None:
    path = bytes("/card/Pilzausflug_\xe4.JPG", "latin-1").decode("utf-8", "surrogateescape")
    with catalogue.step("put") as work:
        work.photos.put(Photo("p", path))
    with catalogue.read() as work:
        assert work.photos.where(path=path) == (Photo("p", path),)
        assert work.photos.where(path=[path, "x"]) == (Photo("p", path),)
    catalogue.undo()
    catalogue.redo()
    with catalogue.read() as work:
        assert work.photos.all() == (Photo("p", path),)


def test_type_hints_of_all_kinds_can_be_read() -> None:
    for kind in KINDS.values():
        assert get_type_hints(kind)
