"""Files that are there whole or not at all, also after a power cut."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from catalog_gui import durable


def _watched(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Note each flush and rename, in order."""
    done: list[str] = []
    real_sync, real_replace = os.fsync, os.replace

    def sync(handle: int) -> None:
        done.append("flush folder" if Path(f"/dev/fd/{handle}").is_dir() else "flush file")
        real_sync(handle)

    def replace(draft: Path, target: Path) -> None:
        done.append("rename")
        real_replace(draft, target)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(os, "replace", replace)
    return done


@pytest.mark.skipif(os.name != "posix", reason="Windows opens no folders")
def test_the_file_is_flushed_before_and_its_name_after_the_rename(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = _watched(monkeypatch)
    durable.write_whole(tmp_path / "one", b"new")
    assert done == ["flush file", "rename", "flush folder"]
    assert (tmp_path / "one").read_bytes() == b"new"


def test_what_can_be_made_again_is_not_flushed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done = _watched(monkeypatch)
    durable.write_whole(tmp_path / "one", b"new", flush=False)
    assert done == ["rename"]


def test_a_failure_leaves_the_earlier_file_and_no_draft(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "one").write_bytes(b"earlier")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        durable.write_whole(tmp_path / "one", b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["one"]
    assert (tmp_path / "one").read_bytes() == b"earlier"


def test_a_folder_is_put_in_place(tmp_path: Path) -> None:
    (tmp_path / "draft").mkdir()
    (tmp_path / "draft" / "page").write_bytes(b"1")
    durable.put_in_place(tmp_path / "draft", tmp_path / "papers")
    assert (tmp_path / "papers" / "page").read_bytes() == b"1"
