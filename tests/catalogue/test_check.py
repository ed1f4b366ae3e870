"""Checking hashes and links, and finding moved pictures again by their content."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path

import pytest

from catalog_gui.catalogue.check import (
    FindingKind,
    Moved,
    check,
    find_moved,
    repair_fingerprints,
    repair_groups,
    repair_moved,
)
from catalog_gui.catalogue.store import Catalogue, open_catalogue
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.foray import Group
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import Cancelled
from catalog_gui.domain.specimen import Specimen
from tests.catalogue.values import NOON, dump


def _picture(path: Path, content: bytes, *, hashed: bool = True) -> Photo:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    digest = hashlib.sha256(content).hexdigest() if hashed else ""
    return Photo(path.stem, str(path), size_bytes=len(content), content_hash=digest)


@pytest.fixture
def card(catalogue: Catalogue, tmp_path: Path) -> Path:
    """Four pictures on a card, all well; the last one not yet fingerprinted. Two have the same size."""
    folder = tmp_path / "card"
    with catalogue.step("Take in pictures") as work:
        work.photos.put(
            _picture(folder / "a.jpg", b"picture a"),
            _picture(folder / "b.jpg", b"picture b"),
            _picture(folder / "deep" / "c.jpg", b"the third picture"),
            _picture(folder / "d.jpg", b"picture d, new", hashed=False),
        )
    return folder


def test_a_sound_catalogue_has_only_offers(catalogue: Catalogue, card: Path) -> None:
    seen: list[tuple[int, int]] = []
    report = check(catalogue, progress=lambda done, total: seen.append((done, total)))
    assert report.photos == 4
    assert report.bytes_read == 9 + 9 + 17 + 14
    assert seen == [(1, 4), (2, 4), (3, 4), (4, 4)]
    (finding,) = report.findings
    assert (finding.kind, finding.photo_id) == (FindingKind.NOT_HASHED, "d")
    assert finding.found_hash == hashlib.sha256(b"picture d, new").hexdigest()

    change = repair_fingerprints(catalogue, report.findings)
    assert change is not None
    assert change.ids == {"photos": frozenset({"d"})}
    assert check(catalogue).findings == ()
    assert [step.label for step in catalogue.steps()] == ["Take in pictures"]
    assert repair_fingerprints(catalogue, ()) is None


def test_gone_changed_and_unreadable_pictures_are_named(catalogue: Catalogue, card: Path) -> None:
    (card / "a.jpg").unlink()
    (card / "b.jpg").write_bytes(b"picture B")  # as long as before
    (card / "deep" / "c.jpg").write_bytes(b"cut")
    with catalogue.step("odd") as work:
        work.photos.put(Photo("e", str(card)), Photo("f", "/card/\x00.jpg"))
    report = check(catalogue)
    kinds = {finding.photo_id: finding.kind for finding in report.findings}
    assert kinds == {
        "a": FindingKind.GONE,
        "b": FindingKind.CHANGED,
        "c": FindingKind.CHANGED,
        "d": FindingKind.NOT_HASHED,
        "e": FindingKind.UNREADABLE,
        "f": FindingKind.UNREADABLE,
    }
    assert {finding.path for finding in report.of(FindingKind.GONE)} == {str(card / "a.jpg")}
    quick = check(catalogue, read_pictures=False)
    assert {f.photo_id for f in quick.of(FindingKind.CHANGED)} == {"c"}  # only the size is looked at


def test_a_moved_and_renamed_folder_is_found_again_by_content(
    catalogue: Catalogue, card: Path, tmp_path: Path
) -> None:
    moved = tmp_path / "Archive 2025"
    card.rename(moved)
    (moved / "b.jpg").rename(moved / "renamed.jpeg")
    (moved / "a.jpg").rename(moved / "b.jpg")  # the name of another picture: only content counts
    (tmp_path / "Archive 2025" / "same size").write_bytes(b"picture x")
    report = check(catalogue)
    assert len(report.of(FindingKind.GONE)) == 4
    before = dump(catalogue.folder)
    found = find_moved(catalogue, report.findings, [tmp_path / "nowhere", moved])
    assert set(found) == {
        Moved("a", str(card / "a.jpg"), str(moved / "b.jpg")),
        Moved("b", str(card / "b.jpg"), str(moved / "renamed.jpeg")),
        Moved("c", str(card / "deep" / "c.jpg"), str(moved / "deep" / "c.jpg")),
    }  # d has no fingerprint to be recognised by
    assert dump(catalogue.folder) == before
    change = repair_moved(catalogue, found)
    assert change is not None
    assert change.ids == {"photos": frozenset("abc")}
    assert [finding.photo_id for finding in check(catalogue).findings] == ["d"]
    catalogue.undo()
    assert dump(catalogue.folder) == before
    assert repair_moved(catalogue, ()) is None


def test_of_two_copies_the_one_with_its_own_name_is_taken(
    catalogue: Catalogue, card: Path, tmp_path: Path
) -> None:
    (card / "a.jpg").unlink()
    for name in ("0.jpg", "a.jpg", "z.jpg"):
        _picture(tmp_path / "more" / name, b"picture a")
    (card / "b.jpg").unlink()
    report = check(catalogue)
    (found,) = find_moved(catalogue, report.findings, [tmp_path / "more"])
    assert found.now == str(tmp_path / "more" / "a.jpg")


def test_groups_and_pictures_that_disagree_are_found_and_put_right(catalogue: Catalogue, card: Path) -> None:
    with catalogue.step("groups") as work:
        a, b, c, d = (work.photos.get(key) for key in "abcd")
        assert a
        assert b
        assert c
        assert d
        work.groups.put(Group("g", "", ("c", "a", "ghost")), Group("h", "", ()))
        from dataclasses import replace

        work.photos.put(replace(a, group_id="g"), replace(b, group_id="g"), replace(c, group_id="h"))
    report = check(catalogue)
    sentences = sorted(finding.sentence for finding in report.of(FindingKind.GROUP))
    assert sentences == [
        "A group lists a picture that is not in the catalogue.",
        "A group lists the picture 'c.jpg', which belongs elsewhere.",
        "The picture 'b.jpg' belongs to a group that does not list it.",
        "The picture 'c.jpg' belongs to a group that does not list it.",
    ]
    assert repair_groups(catalogue) is not None
    with catalogue.read() as work:
        assert {group.id: group.photos for group in work.groups.all()} == {"g": ("a", "b"), "h": ("c",)}
    assert check(catalogue).of(FindingKind.GROUP) == ()
    assert repair_groups(catalogue) is None


def test_numbers_and_features_written_twice_are_named(catalogue: Catalogue) -> None:
    with catalogue.step("twice") as work:
        work.specimens.put(
            Specimen("s", "25-001"), Specimen("t", "25-001"), Specimen("u", ""), Specimen("v", "")
        )
        work.evidence.put(
            Evidence("1", "s", "ring.kind", Standing.GONE),
            Evidence("2", "s", "ring.kind", Standing.SEEN),
            Evidence("3", "s", "ring.kind", Standing.SEEN, fruit_body="B"),
        )
    report = check(catalogue)
    assert [finding.sentence for finding in report.findings] == [
        "2 specimens have the number 25-001.",
        "Specimen 25-001 has 'ring.kind' written 2 times.",
    ]


def test_a_damaged_catalogue_file_and_a_broken_link_are_named(tmp_path: Path) -> None:
    catalogue = open_catalogue(tmp_path, now=lambda: NOON)
    with catalogue.step("rows") as work:
        work.specimens.put(Specimen("s", "1"))
        work.evidence.put(Evidence("1", "s", "ring.kind", Standing.GONE))
    catalogue.close()
    connection = sqlite3.connect(tmp_path / "catalogue.sqlite")  # foreign keys are off here
    connection.execute("DELETE FROM specimens")
    connection.execute("PRAGMA writable_schema = ON")
    connection.execute(
        "DELETE FROM sqlite_master WHERE name = 'ix_photos_quick_key'"
    )  # its page stays behind
    connection.commit()
    connection.close()
    catalogue = open_catalogue(tmp_path, now=lambda: NOON)
    report = check(catalogue)
    assert [f.sentence for f in report.of(FindingKind.LINK)] == [
        "A row of 'evidence' points at a row of 'specimens' that is not there."
    ]
    assert "Restore a safety copy" in report.of(FindingKind.DAMAGED)[0].sentence
    catalogue.close()


def test_checking_can_be_stopped_and_leaves_originals_alone(catalogue: Catalogue, card: Path) -> None:
    with pytest.raises(Cancelled):
        check(catalogue, cancelled=lambda: True)
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in card.rglob("*.jpg")}
    (card / "a.jpg").rename(card / "moved.jpg")
    report = check(catalogue)
    with pytest.raises(Cancelled):
        find_moved(catalogue, report.findings, [card], cancelled=lambda: True)
    find_moved(catalogue, report.findings, [card])
    (card / "moved.jpg").rename(card / "a.jpg")
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in card.rglob("*.jpg")} == before
