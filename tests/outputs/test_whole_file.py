"""Written whole or not at all: target there, folder missing or locked, disk full, stopped half way."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from catalog_gui.domain.privacy import Reader
from catalog_gui.domain.problem import BadInput, Cancelled, PictureRefused
from catalog_gui.outputs.papers import PaperMaker
from catalog_gui.outputs.whole_file import whole_file, whole_folder
from catalog_gui.views.outputs.painter import burn_marks
from catalog_gui.workflows.publish.files import write_files
from catalog_gui.workflows.publish.gathered import Gathered
from catalog_gui.workflows.publish.order import Kind, Order
from catalog_gui.workflows.publish.press import Press

FILE_KINDS = (
    (Kind.ARCHIVE, "a.zip"),
    (Kind.TABLE, "a.csv"),
    (Kind.TABLE, "a.xlsx"),
    (Kind.PICTURES, "folder"),
)

Write = Callable[..., int]


@pytest.fixture
def write(found: tuple[Gathered, ...], press: Press, makers: PaperMaker, fonts: object) -> Write:
    def call(kind: Kind, target: Path, **more: object) -> int:
        order = Order(kind, ("s1", "s2", "s3"), reader=Reader(), with_pictures=True, marks=True)
        return write_files(order, found, press, makers, target, draw=burn_marks, **more)  # type: ignore[arg-type]

    return call


@pytest.mark.parametrize(("kind", "name"), FILE_KINDS)
def test_what_is_there_stays(kind: Kind, name: str, write: Write, tmp_path: Path) -> None:
    target = tmp_path / name
    target.write_text("mine")
    with pytest.raises(BadInput) as refused:
        write(kind, target)
    assert name in str(refused.value)
    assert target.read_text() == "mine"
    assert [p.name for p in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize(("kind", "name"), FILE_KINDS[:3])
def test_replaced_when_she_says_so(kind: Kind, name: str, write: Write, tmp_path: Path) -> None:
    target = tmp_path / name
    target.write_text("old")
    assert write(kind, target, replace=True) == 3
    assert target.stat().st_size > 200
    assert [p.name for p in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize(("kind", "name"), FILE_KINDS)
def test_missing_and_locked_folders(kind: Kind, name: str, write: Write, tmp_path: Path) -> None:
    with pytest.raises(BadInput):
        write(kind, tmp_path / "nowhere" / name)
    # Nobody, not even the superuser, can write there.
    with pytest.raises(BadInput):
        write(kind, Path("/proc") / name)


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write into read-only folders")
@pytest.mark.parametrize(("kind", "name"), FILE_KINDS)
def test_read_only_folder(kind: Kind, name: str, write: Write, tmp_path: Path) -> None:
    locked = tmp_path / "locked"
    locked.mkdir()
    locked.chmod(0o555)
    with pytest.raises(BadInput):
        write(kind, locked / name)
    locked.chmod(0o755)
    assert list(locked.iterdir()) == []


@pytest.mark.parametrize(("kind", "name"), [FILE_KINDS[0], FILE_KINDS[3]])
@pytest.mark.parametrize("after", [0, 1, 3])
def test_stopped_half_way(kind: Kind, name: str, after: int, write: Write, tmp_path: Path) -> None:
    done: list[int] = []
    with pytest.raises(Cancelled):
        write(kind, tmp_path / name, progress=done.append, cancelled=lambda: len(done) >= after)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("kind", "name"), [FILE_KINDS[0], FILE_KINDS[3]])
def test_vanished_picture(
    kind: Kind,
    name: str,
    found: tuple[Gathered, ...],
    makers: PaperMaker,
    press: Press,
    tmp_path: Path,
    fonts: object,
) -> None:
    """One picture of six is gone: a sentence names it, and nothing is left."""
    gone = found[1].photos[1].path

    class Gone:
        def __getattr__(self, name: str) -> object:
            return getattr(press.pictures, name)

        def look(self, photo: object, edge: int) -> object:
            if photo.path == gone:  # type: ignore[attr-defined]
                raise PictureRefused("The file is gone.", path=gone)
            return press.pictures.look(photo, edge)  # type: ignore[arg-type]

    from dataclasses import replace

    broken = replace(press, pictures=Gone())  # type: ignore[arg-type]
    order = Order(kind, ("s1", "s2", "s3"), with_pictures=True)
    with pytest.raises(BadInput) as refused:
        write_files(order, found, broken, makers, tmp_path / name, draw=burn_marks)
    assert gone in str(refused.value)
    assert list(tmp_path.iterdir()) == []


def test_full_disk(tmp_path: Path) -> None:
    """The system lets no file grow beyond 20 kB: nothing half written is left and the old file stands."""
    script = """
import resource, signal, sys
from pathlib import Path
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
from catalog_gui.domain.problem import BadInput
from catalog_gui.outputs.whole_file import whole_file, whole_folder
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
target = Path(sys.argv[1])
for attempt in (lambda: whole_file(target / "old.txt", replace=True), lambda: whole_folder(target / "new")):
    try:
        with attempt() as draft:
            (draft / "x" if draft.is_dir() else draft).write_bytes(b"x" * 100_000)
    except BadInput as refused:
        print(refused)
    else:
        raise SystemExit("it was written")
"""
    (tmp_path / "old.txt").write_text("old")
    ran = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path)], capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.count("could not be written") == 2
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("old.txt", "old")]


def test_block_that_fails_leaves_nothing(tmp_path: Path) -> None:
    for enter in (lambda: whole_file(tmp_path / "a", replace=False), lambda: whole_folder(tmp_path / "b")):
        with pytest.raises(RuntimeError), enter():
            raise RuntimeError
    assert list(tmp_path.iterdir()) == []
