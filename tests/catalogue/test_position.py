"""Where the records stand, and what changed since: for those who remember what they read."""

from __future__ import annotations

import json
import tempfile
import zlib
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_gui.catalogue import journal
from catalog_gui.catalogue.rows import readable
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.photo import Photo
from tests.catalogue.values import NOON

RECORD_TABLES = ("forays", "photos")


def everything(catalogue: Catalogue) -> dict[str, dict[str, Any]]:
    with catalogue.read() as work:
        return {name: {value.id: value for value in getattr(work, name).all()} for name in RECORD_TABLES}


def differing(old: dict[str, dict[str, Any]], new: dict[str, dict[str, Any]]) -> dict[str, set[str]]:
    found = {
        name: {k for k in old[name].keys() | new[name].keys() if old[name].get(k) != new[name].get(k)}
        for name in RECORD_TABLES
    }
    return {name: ids for name, ids in found.items() if ids}


acts = st.lists(
    st.tuples(
        st.sampled_from(["put", "put", "put", "quiet", "remove", "undo", "undo", "redo"]),
        st.sampled_from("abc"),
        st.sampled_from(["one", "two", "three"]),
    ),
    max_size=14,
)


def act(catalogue: Catalogue, verb: str, key: str, word: str) -> None:
    if verb in ("undo", "redo"):
        getattr(catalogue, verb)()
        return
    with catalogue.step(verb, undoable=verb != "quiet") as work:
        if verb == "remove":
            work.photos.remove(key)
        else:
            work.photos.put(Photo(key, f"/card/{word}.jpg", foray_id="f"))


@settings(max_examples=60, deadline=None)
@given(first=acts, then=acts)
def test_what_changed_is_always_told(first: list[Any], then: list[Any]) -> None:
    """Everything that differs is named, whatever was done, taken back and done again; or nothing is promised."""
    with tempfile.TemporaryDirectory() as name:
        catalogue = open_catalogue(Path(name), now=lambda: NOON)
        with catalogue.step("begin", undoable=False) as work:
            work.forays.put(Foray("f", "Coppice"))
        for one in first:
            act(catalogue, *one)
        with catalogue.read() as work:
            position = work.position()
        before = everything(catalogue)
        for one in then:
            act(catalogue, *one)
        catalogue.close()
        again = open_catalogue(Path(name), now=lambda: NOON)
        with again.read() as work:
            told = work.changed_since(position)
        really = differing(before, everything(again))
        again.close()
    if told is not None:
        assert all(ids <= told.get(shelf, frozenset()) for shelf, ids in really.items())
    if not then:
        assert told == {}


def test_a_step_knows_its_own_changes_and_others_those_of_everybody(tmp_path: Path) -> None:
    catalogue = open_catalogue(tmp_path, now=lambda: NOON)
    with catalogue.step("begin") as work:
        work.forays.put(Foray("f", "Coppice"))
    with catalogue.step("one") as work:
        position = work.position()
        work.photos.put(Photo("a", "/card/a.jpg", foray_id="f"))
        assert work.changed_since(position) == {"photos": {"a"}}
    other = catalogue.another()
    with other.step("two", undoable=False) as work:
        work.photos.put(Photo("b", "/card/b.jpg", foray_id="f"))
    other.close()
    with catalogue.read() as work:
        assert work.changed_since(position) == {"photos": {"a", "b"}}
        assert work.changed_since(None) is None
    catalogue.close()


def test_a_step_that_was_taken_back_and_replaced_cannot_be_told(tmp_path: Path) -> None:
    """The journal forgets a branch that was left: then everything has to be read again."""
    catalogue = open_catalogue(tmp_path, now=lambda: NOON)
    with catalogue.step("begin") as work:
        work.forays.put(Foray("f", "Coppice"))
    with catalogue.step("one") as work:
        work.photos.put(Photo("a", "/card/a.jpg", foray_id="f"))
    with catalogue.read() as work:
        position = work.position()
    catalogue.undo()
    with catalogue.read() as work:
        assert work.changed_since(position) == {"photos": {"a"}}
    with catalogue.step("two") as work:
        work.photos.put(Photo("b", "/card/b.jpg", foray_id="f"))
    with catalogue.read() as work:
        assert work.changed_since(position) is None
    catalogue.close()


def test_a_step_too_large_to_look_through_is_not_looked_through(tmp_path: Path) -> None:
    catalogue = open_catalogue(tmp_path, now=lambda: NOON)
    with catalogue.read() as work:
        position = work.position()
    with catalogue.step("many") as work:
        work.forays.put(Foray("f", "Coppice"))
        work.photos.put(
            *(
                Photo(f"{n}", f"/card/{n * 7919 % 10_007}", foray_id="f", quick_key=f"{n**5}")
                for n in range(20_000)
            )
        )
    with catalogue.read() as work:
        assert work.changed_since(position) is None
    catalogue.close()


cells = st.one_of(
    st.none(),
    st.integers(-9, 9),
    st.text(max_size=3),
    st.floats(allow_nan=False),
    st.just("\ud800".encode("utf-8", "surrogatepass")),
)
rows = st.lists(st.tuples(cells, cells), max_size=7)


@settings(max_examples=60)
@given(
    made=rows, gone=rows, changed=st.dictionaries(st.text(max_size=3), st.tuples(cells, cells), max_size=7)
)
def test_packed_in_slices_as_in_one_piece(made: list[Any], gone: list[Any], changed: dict[str, Any]) -> None:
    """The bytes are those of the standard library's encoder at one go, whatever the slices."""
    part = journal.TableImages(["id", "a"], made, gone, {key: {"a": pair} for key, pair in changed.items()})
    images = {"photos": part, "joins": journal.TableImages(["id"])}
    plain = {
        name: {"columns": p.columns, "made": p.made, "gone": p.gone, "changed": p.changed}
        for name, p in images.items()
    }
    whole = zlib.compress(json.dumps(plain, default=readable, separators=(",", ":")).encode(), 1)
    kept, journal.SLICE = journal.SLICE, 2
    try:
        assert journal.packed(images) == whole
        again = journal.unpacked(whole)
        assert journal.packed(again) == whole
        assert list(again) == list(images)
        assert again["photos"].columns == part.columns
        assert journal.packed({}) == zlib.compress(b"{}", 1)
    finally:
        journal.SLICE = kept
