"""Safety copies: an equal catalogue comes back; damaged and hostile archives do not; no half file is left."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import stat
import sys
import zipfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from catalog_gui import assets
from catalog_gui.catalogue.backup import make_copy, scheduled_copy
from catalog_gui.catalogue.restore import CopyRefused, restore, verify_copy
from catalog_gui.catalogue.safety_copy import OWN_TAXA
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.catalogue.upkeep import CatalogueUpkeep
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Cancelled, Problem
from catalog_gui.domain.specimen import Specimen
from catalog_gui.packs.own import OwnPackFolder
from tests.catalogue.values import NOON, dump


@pytest.fixture
def filled(catalogue: Catalogue, tmp_path: Path) -> Catalogue:
    """Two pictures, one vanished; a paper; a step taken back."""
    card = tmp_path / "card"
    card.mkdir()
    (card / "a.JPG").write_bytes(os.urandom(300_000))
    (card / "b.heic").write_bytes(b"picture b")
    (catalogue.papers / "2025").mkdir()
    (catalogue.papers / "2025" / "Blätter.pdf").write_bytes(b"%PDF paper")
    with catalogue.step("pictures") as work:
        work.photos.put(
            Photo("a", str(card / "a.JPG")),
            Photo("b", str(card / "b.heic")),
            Photo("c", str(card / "gone.jpg")),
        )
    with catalogue.step("foray") as work:
        work.forays.put(Foray("f", "Beech wood"))
        work.specimens.put(Specimen("s", "1", foray_id="f", note="honey"))
    catalogue.undo()
    return catalogue


def _left(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_a_copy_restores_to_an_equal_catalogue(filled: Catalogue, tmp_path: Path) -> None:
    target = tmp_path / "copies" / "one.zip"
    target.parent.mkdir()
    seen: list[tuple[int, int]] = []
    report = make_copy(filled, target, progress=lambda done, total: seen.append((done, total)))
    assert (report.pictures, report.papers, report.left_out) == (0, 1, ())
    assert report.size_bytes == target.stat().st_size
    assert seen[-1][0] == seen[-1][1]
    assert _left(target.parent) == {"one.zip"}
    assert verify_copy(target) == 2

    restore(target, tmp_path / "back")
    assert dump(tmp_path / "back") == dump(filled.folder)
    assert (tmp_path / "back" / "papers" / "2025" / "Blätter.pdf").read_bytes() == b"%PDF paper"
    back = open_catalogue(tmp_path / "back", now=lambda: NOON)
    assert [(step.label, step.undone) for step in back.steps()] == [("foray", True), ("pictures", False)]
    back.redo()
    filled.redo()
    assert dump(tmp_path / "back") == dump(filled.folder)
    assert back.search_count("honey") == 1
    back.close()


def test_pictures_come_along_when_asked_and_vanished_ones_are_named(
    filled: Catalogue, tmp_path: Path
) -> None:
    originals = {path.name: path.read_bytes() for path in (tmp_path / "card").iterdir()}
    report = make_copy(filled, tmp_path / "all.zip", pictures=True)
    assert report.pictures == 2
    assert [Path(path).name for path, _reason in report.left_out] == ["gone.jpg"]
    assert "No such file" in report.left_out[0][1]
    (tmp_path / "empty").mkdir()
    restore(tmp_path / "all.zip", tmp_path / "empty")
    back = {path.suffix: path.read_bytes() for path in (tmp_path / "empty" / "pictures").iterdir()}
    assert back == {".JPG": originals["a.JPG"], ".heic": originals["b.heic"]}
    assert {path.name: path.read_bytes() for path in (tmp_path / "card").iterdir()} == originals


def test_an_existing_file_is_never_overwritten(filled: Catalogue, tmp_path: Path) -> None:
    (tmp_path / "one.zip").write_text("precious")
    with pytest.raises(Problem, match="already a file of this name"):
        make_copy(filled, tmp_path / "one.zip")
    assert (tmp_path / "one.zip").read_text() == "precious"


def test_stopping_leaves_no_half_file(filled: Catalogue, tmp_path: Path) -> None:
    with pytest.raises(Cancelled):
        make_copy(filled, tmp_path / "one.zip", pictures=True, cancelled=lambda: True)
    assert _left(tmp_path) == {"card", "finds"}
    make_copy(filled, tmp_path / "one.zip")
    with pytest.raises(Cancelled):
        restore(tmp_path / "one.zip", tmp_path / "back", cancelled=lambda: True)
    assert _left(tmp_path) == {"card", "finds", "one.zip"}


def test_a_full_disk_and_a_missing_folder_leave_no_half_file(
    filled: Catalogue, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(Problem, match="The safety copy was not made"):
        make_copy(filled, tmp_path / "nowhere" / "one.zip")

    def full(_self: zipfile.ZipFile, *_args: Any, **_kwargs: Any) -> Any:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "writestr", full)
    with pytest.raises(Problem, match=r"No space left on device\. The safety copy was not made"):
        make_copy(filled, tmp_path / "one.zip")
    assert _left(tmp_path) == {"card", "finds"}
    monkeypatch.undo()
    make_copy(filled, tmp_path / "one.zip")
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: usage._replace(free=1000))
    with pytest.raises(Problem, match="the disk has 0 MB free"):
        restore(tmp_path / "one.zip", tmp_path / "back")
    assert _left(tmp_path) == {"card", "finds", "one.zip"}


def test_only_an_empty_folder_is_restored_into(filled: Catalogue, tmp_path: Path) -> None:
    make_copy(filled, tmp_path / "one.zip")
    before = dump(filled.folder)
    with pytest.raises(Problem, match="only restored into an empty folder"):
        restore(tmp_path / "one.zip", filled.folder)
    with pytest.raises(Problem, match="only restored into an empty folder"):
        restore(tmp_path / "one.zip", tmp_path / "one.zip")
    assert dump(filled.folder) == before


def _rewritten(
    source: Path, target: Path, change: Callable[[dict[str, bytes], dict[str, Any]], object]
) -> Path:
    """The archive with its members and manifest changed, the manifest written last as ours is."""
    with zipfile.ZipFile(source) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(members.pop("manifest.json"))
    change(members, manifest)
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        archive.writestr("manifest.json", json.dumps(manifest))
    return target


def _add(members: dict[str, bytes], manifest: dict[str, Any], name: str, content: bytes = b"evil") -> None:
    members[name] = content
    manifest["members"][name] = {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}


HOSTILE_NAMES = (
    "../evil.txt",
    "papers/../../evil.txt",
    "papers/..",
    "/root/evil.txt",
    "//server/share/evil.txt",
    "C:/evil.txt",
    "papers\\..\\..\\evil.txt",
    "papers/C:evil.txt",
    "papers//evil.txt",
    "papers/./evil.txt",
    "papers/evil.txt/",
    "papers/con.txt",
    "papers/evil\n.txt",
    "papers/trailing. ",
    "catalogue.sqlite-wal",
    "catalogue.lock",
    "previews/evil.txt",
    "evil.txt",
    "papers",
)


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_names_that_lead_elsewhere_are_refused(filled: Catalogue, tmp_path: Path, name: str) -> None:
    make_copy(filled, tmp_path / "one.zip")
    bad = _rewritten(
        tmp_path / "one.zip", tmp_path / "bad.zip", lambda members, manifest: _add(members, manifest, name)
    )
    before = set(tmp_path.parent.rglob("*"))
    with pytest.raises(CopyRefused, match=r"leads somewhere else.*Nothing was restored"):
        restore(bad, tmp_path / "deep" / "back")
    (tmp_path / "deep").rmdir()
    assert set(tmp_path.parent.rglob("*")) == before


def _refused(bad: Path, folder: Path, words: str) -> None:
    with pytest.raises(CopyRefused, match=words):
        restore(bad, folder / "back")
    assert not (folder / "back").exists()
    assert not list(folder.glob(".back*"))


def test_a_bomb_is_refused_before_it_unpacks(filled: Catalogue, tmp_path: Path) -> None:
    make_copy(filled, tmp_path / "one.zip")
    zeros = bytes(40_000_000)
    bad = _rewritten(
        tmp_path / "one.zip",
        tmp_path / "bad.zip",
        lambda m, manifest: _add(m, manifest, "papers/zeros", zeros),
    )
    assert bad.stat().st_size < 100_000
    _refused(bad, tmp_path, "may be an attack")


def test_a_member_that_lies_about_its_size_is_not_read_beyond_it(filled: Catalogue, tmp_path: Path) -> None:
    make_copy(filled, tmp_path / "one.zip")
    bad = _rewritten(
        tmp_path / "one.zip",
        tmp_path / "bad.zip",
        lambda m, manifest: _add(m, manifest, "papers/x", b"y" * 5000),
    )
    raw = bad.read_bytes()
    size = (5000).to_bytes(4, "little")
    assert raw.count(size) >= 2  # local header and directory
    bad.write_bytes(raw.replace(size, (100).to_bytes(4, "little")))
    _refused(bad, tmp_path, "damaged|do not agree|is not what it was")


def test_links_and_devices_are_refused(filled: Catalogue, tmp_path: Path) -> None:
    make_copy(filled, tmp_path / "one.zip")
    for kind in (stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR):
        link = zipfile.ZipInfo("papers/link")
        link.external_attr = (kind | 0o777) << 16
        shutil.copy(tmp_path / "one.zip", tmp_path / "bad.zip")
        with zipfile.ZipFile(tmp_path / "bad.zip", "a") as archive:
            archive.writestr(link, "/etc/passwd")
        _refused(tmp_path / "bad.zip", tmp_path, "a link or device")


def test_wrong_hashes_missing_and_surplus_members_are_refused(filled: Catalogue, tmp_path: Path) -> None:
    make_copy(filled, tmp_path / "one.zip")

    def bad(change: Callable[[dict[str, bytes], dict[str, Any]], object]) -> Path:
        return _rewritten(tmp_path / "one.zip", tmp_path / "bad.zip", change)

    paper = "papers/2025/Blätter.pdf"
    _refused(bad(lambda m, _: m.update({paper: b"%PDF PAPER"})), tmp_path, "'papers/.*' is not what it was")
    _refused(bad(lambda m, _: m.pop(paper) and None), tmp_path, "do not agree")
    _refused(bad(lambda m, _: m.update({"papers/more": b"x"})), tmp_path, "do not agree")
    _refused(bad(lambda m, _: m.update({paper: b"longer than it was"})), tmp_path, "do not agree in size")
    _refused(bad(lambda _, manifest: manifest.update(format="other")), tmp_path, "not a safety copy")
    _refused(bad(lambda _, manifest: manifest.update(version=99)), tmp_path, "newer version")
    _refused(bad(lambda _, manifest: manifest.pop("members")), tmp_path, "cannot be read")
    _refused(bad(lambda _, manifest: manifest.update(members=[1])), tmp_path, "cannot be read")

    def tampered(members: dict[str, bytes], manifest: dict[str, Any]) -> None:
        content = bytearray(members["catalogue.sqlite"])
        content[100:3000] = bytes(2900)
        _add(members, manifest, "catalogue.sqlite", bytes(content))

    _refused(bad(tampered), tmp_path, "damaged")


def test_a_database_that_would_run_something_by_itself_is_refused(filled: Catalogue, tmp_path: Path) -> None:
    import sqlite3

    make_copy(filled, tmp_path / "one.zip")

    def trigger(members: dict[str, bytes], manifest: dict[str, Any]) -> None:
        path = tmp_path / "evil.sqlite"
        path.write_bytes(members["catalogue.sqlite"])
        connection = sqlite3.connect(path)
        connection.execute("CREATE TRIGGER t AFTER INSERT ON photos BEGIN DELETE FROM specimens; END")
        connection.commit()
        connection.close()
        _add(members, manifest, "catalogue.sqlite", path.read_bytes())

    bad = _rewritten(tmp_path / "one.zip", tmp_path / "bad.zip", trigger)
    _refused(bad, tmp_path, "tampered with")


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 broken", b"no archive at all" * 1000])
def test_what_is_no_archive_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bad.zip").write_bytes(content)
    _refused(tmp_path / "bad.zip", tmp_path, "damaged or is not a safety copy")
    with pytest.raises(CopyRefused):
        verify_copy(tmp_path / "bad.zip")
    with pytest.raises(CopyRefused, match="No such file"):
        verify_copy(tmp_path / "missing.zip")


def test_an_ordinary_archive_is_not_a_safety_copy(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "bad.zip", "w") as archive:
        archive.writestr("readme.txt", "hello")
    _refused(tmp_path / "bad.zip", tmp_path, "no list of its contents")


def test_every_flipped_byte_is_either_harmless_or_refused(filled: Catalogue, tmp_path: Path) -> None:
    make_copy(filled, tmp_path / "one.zip")
    raw = (tmp_path / "one.zip").read_bytes()
    wanted = dump(filled.folder)
    refused = 0
    places = range(0, len(raw), max(len(raw) // 60, 1))
    for at in places:
        spoiled = bytearray(raw)
        spoiled[at] ^= 0x41
        (tmp_path / "bad.zip").write_bytes(spoiled)
        try:
            restore(tmp_path / "bad.zip", tmp_path / "back")
        except CopyRefused:
            refused += 1
        else:  # a byte that carries nothing: dates in headers
            assert dump(tmp_path / "back") == wanted
            shutil.rmtree(tmp_path / "back")
        assert _left(tmp_path) == {"card", "finds", "one.zip", "bad.zip"}
    assert refused > len(places) * 0.8


def test_a_directory_that_lies_about_its_place_is_refused(filled: Catalogue, tmp_path: Path) -> None:
    """The offset of the central directory (APPNOTE.TXT 4.3.16) beyond the end puts files before the beginning."""
    make_copy(filled, tmp_path / "one.zip")
    raw = bytearray((tmp_path / "one.zip").read_bytes())
    end = raw.rindex(b"PK\x05\x06")
    raw[end + 16 : end + 20] = (int.from_bytes(raw[end + 16 : end + 20], "little") + 70_000).to_bytes(
        4, "little"
    )
    (tmp_path / "bad.zip").write_bytes(raw)
    with pytest.raises(CopyRefused, match="damaged"):
        restore(tmp_path / "bad.zip", tmp_path / "back")
    assert not (tmp_path / "back").exists()


def test_scheduled_copies_come_when_due_and_old_ones_go(filled: Catalogue, tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    for day in range(0, 40, 2):
        made = scheduled_copy(filled, folder, now=NOON + timedelta(days=day), keep=3)
        assert (made is not None) == (day % 8 == 0)
        if day == 0:
            (folder / "mine.zip").write_text("not ours to delete")
    names = sorted(_left(folder))
    assert names == [
        "finds-2025-10-20-120000.zip",
        "finds-2025-10-28-120000.zip",
        "finds-2025-11-05-120000.zip",
        "mine.zip",
    ]
    restore(folder / names[0], tmp_path / "back")
    assert dump(tmp_path / "back") == dump(filled.folder)


def test_a_copy_can_be_made_while_another_thread_writes(filled: Catalogue, tmp_path: Path) -> None:
    other = filled.another()
    with filled.step("half way") as work:
        work.forays.put(Foray("g", "not yet saved"))
        make_copy(other, tmp_path / "one.zip")
    restore(tmp_path / "one.zip", tmp_path / "back")
    assert [row[1] for row in dump(tmp_path / "back")["forays"]] == []
    other.close()


def test_a_copy_dated_after_now_does_not_stop_the_others(filled: Catalogue, tmp_path: Path) -> None:
    """The clock was wrong for one evening: that copy neither counts nor is lost."""
    folder = tmp_path / "copies"
    assert scheduled_copy(filled, folder, now=NOON.replace(year=2099), keep=2) is not None
    for day in range(0, 40, 8):
        assert scheduled_copy(filled, folder, now=NOON + timedelta(days=day), keep=2) is not None
    assert sorted(_left(folder)) == [
        "finds-2025-10-28-120000.zip",
        "finds-2025-11-05-120000.zip",
        f"finds-2099-{NOON:%m-%d}-120000.zip",
    ]


@pytest.mark.parametrize("says_rows", [True, False])
def test_an_emptied_catalogue_pushes_no_fuller_copy_out(
    filled: Catalogue, tmp_path: Path, says_rows: bool
) -> None:
    folder = tmp_path / "copies"
    with filled.step("many") as work:
        work.photos.put(*(Photo(f"p{n}", f"/card/{'x' * 400}/{n}.jpg") for n in range(3000)))
    scheduled_copy(filled, folder, now=NOON, keep=2)
    full = folder / "finds-2025-10-04-120000.zip"
    if not says_rows:  # as earlier versions wrote it
        with zipfile.ZipFile(full) as archive:
            members = {name: archive.read(name) for name in archive.namelist()}
        manifest = json.loads(members["manifest.json"])
        del manifest["rows"]
        members["manifest.json"] = json.dumps(manifest).encode()
        with zipfile.ZipFile(full, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in members.items():
                archive.writestr(name, content)
    empty = open_catalogue(tmp_path / "new", now=lambda: NOON)
    for day in range(8, 80, 8):
        assert scheduled_copy(empty, folder, now=NOON + timedelta(days=day), keep=2) is not None
    empty.close()
    assert full.exists()
    assert len(_left(folder)) == 3  # the empty ones among themselves are pushed out as ever
    restore(full, tmp_path / "back")
    assert dump(tmp_path / "back") == dump(filled.folder)


def test_what_killed_copies_left_is_swept_and_in_nobodys_way(filled: Catalogue, tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    for name in ("finds-2025-10-01-120000.zip.part", "finds-2025-10-01-120000.zip.sqlite.part.part"):
        (folder / name).write_bytes(b"half")
        os.utime(folder / name, (NOON.timestamp() - 90_000,) * 2)
    (folder / "finds-2025-10-04-115900.zip.part").write_bytes(b"somebody writes it now")
    os.utime(folder / "finds-2025-10-04-115900.zip.part", (NOON.timestamp() - 60,) * 2)
    (folder / "letter.part").write_bytes(b"not ours")
    os.utime(folder / "letter.part", (0, 0))
    assert scheduled_copy(filled, folder, now=NOON) is not None
    assert _left(folder) == {
        "finds-2025-10-04-120000.zip",
        "finds-2025-10-04-115900.zip.part",
        "letter.part",
    }
    (tmp_path / "one.zip.part").write_bytes(b"killed")
    make_copy(filled, tmp_path / "one.zip")
    (tmp_path / ".back-abc123.part").mkdir()
    (tmp_path / ".back-abc123.part" / "catalogue.sqlite").write_bytes(b"half")
    (tmp_path / ".backup").mkdir()
    restore(tmp_path / "one.zip", tmp_path / "back")
    assert _left(tmp_path) == {"card", "finds", "copies", "one.zip", "back", ".backup"}


def test_own_taxa_go_along_and_come_back_equal(filled: Catalogue, tmp_path: Path) -> None:
    shipped, own = assets.reference_pack(), tmp_path / "elsewhere" / OWN_TAXA
    pack = OwnPackFolder(shipped, own)
    for key, name in (("mine", "Amanita mea"), ("two", "Amanita duo")):
        cells = {"taxon": key, "name": name, "rank": "species", "genus": "Amanita", "forms": "agaric"}
        pack.change(name, [RowEdit("taxa", {**cells, "source": "memory"})], at=NOON)
    pack.undo()
    upkeep = CatalogueUpkeep(filled, pack.files)
    quiet = {"progress": lambda *_: None, "cancelled": lambda: False}
    told = upkeep.copy_now(tmp_path / "one.zip", pictures=False, **quiet)  # type: ignore[arg-type]
    assert "your own taxa and values" in told
    assert verify_copy(tmp_path / "one.zip") > 2
    words = upkeep.restore(tmp_path / "one.zip", tmp_path / "back", **quiet)  # type: ignore[arg-type]
    back = OwnPackFolder(shipped, tmp_path / "back" / OWN_TAXA)
    assert str(back.folder) in words
    assert back.files() == pack.files()
    mine, theirs = pack.read(), back.read()
    assert theirs.taxa == mine.taxa
    assert theirs.taxon("mine") is not None
    assert back.steps() == pack.steps()
    done = back.redo()
    assert done is not None
    assert done[1].taxon("two") is not None


def test_own_taxa_that_cannot_be_read_are_left_out_with_the_reason(filled: Catalogue, tmp_path: Path) -> None:
    def broken() -> dict[str, bytes]:
        raise Problem("Your own pack cannot be read: Input/output error.", path="/own/taxa.csv")

    told = CatalogueUpkeep(filled, broken).copy_now(
        tmp_path / "one.zip", pictures=False, progress=lambda *_: None, cancelled=lambda: False
    )
    assert "Left out: your own taxa and values. " in told
    assert "Input/output error" in told
    assert (tmp_path / "one.zip").exists()


@pytest.mark.parametrize("table", ["marks", "journal", "not_excluded", "alembic_version"])
def test_a_copy_without_a_needed_table_is_refused_by_name(
    filled: Catalogue, tmp_path: Path, table: str
) -> None:
    import sqlite3

    make_copy(filled, tmp_path / "one.zip")

    def dropped(members: dict[str, bytes], manifest: dict[str, Any]) -> None:
        path = tmp_path / "less.sqlite"
        path.write_bytes(members["catalogue.sqlite"])
        connection = sqlite3.connect(path)
        connection.execute(f"DROP TABLE {table}")
        connection.commit()
        connection.close()
        _add(members, manifest, "catalogue.sqlite", path.read_bytes())

    bad = _rewritten(tmp_path / "one.zip", tmp_path / "bad.zip", dropped)
    _refused(bad, tmp_path, f"lacks the table '{table}'.*choose an older copy")


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere every file is flushed by itself")
def test_many_members_are_put_on_the_disk_at_once(
    filled: Catalogue, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(300):
        (filled.papers / f"{number}.txt").write_bytes(b"x")
    make_copy(filled, tmp_path / "one.zip")
    calls: list[str] = []
    monkeypatch.setattr(os, "fsync", lambda _: calls.append("file"))
    monkeypatch.setattr(os, "sync", lambda: calls.append("all"))
    restore(tmp_path / "one.zip", tmp_path / "back")
    assert calls == ["all", "file"]  # everything, then the name of the folder
    assert len(list((tmp_path / "back" / "papers").glob("*.txt"))) == 300
