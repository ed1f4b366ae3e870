"""What a kill left half written goes with the next export into the same folder; nothing else does."""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import time
from pathlib import Path

import pytest

from catalog_gui.domain.draft_name import PREFIX, VERY_OLD_S, draft_prefix, read_draft
from catalog_gui.outputs.whole_file import tidy, whole_file, whole_folder

KILLED = """
import os, signal, sys
from pathlib import Path
from catalog_gui.outputs.whole_file import whole_file, whole_folder
folder = Path(sys.argv[1])
with whole_file(folder / "a.csv", replace=False) as draft, whole_folder(folder / "pictures") as inside:
    draft.write_text("half")
    (inside / "one.jpg").write_bytes(b"half")
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(os.name != "posix", reason="whether a process runs is asked on POSIX only")
def test_drafts_of_a_killed_export_go_with_the_next(tmp_path: Path) -> None:
    subprocess.run([sys.executable, "-c", KILLED, str(tmp_path)], check=False)
    left = sorted(path.name for path in tmp_path.iterdir())
    assert len(left) == 2
    assert all(read_draft(name) for name in left)
    mine = tmp_path / ".draft-of-a-poem.txt"
    mine.write_text("hers")
    with whole_file(tmp_path / "b.csv", replace=False) as draft:
        draft.write_text("whole")
    assert sorted(path.name for path in tmp_path.iterdir()) == [".draft-of-a-poem.txt", "b.csv"]


def test_a_draft_that_is_being_written_stays(tmp_path: Path) -> None:
    with whole_file(tmp_path / "a.csv", replace=False) as draft, whole_folder(tmp_path / "b") as folder:
        assert tidy(tmp_path) == 0
        assert draft.exists()
        assert folder.exists()


def test_another_machines_draft_stays_until_it_is_very_old(tmp_path: Path) -> None:
    theirs = tmp_path / f"{draft_prefix(platform.node() + '-other', 1)}abc.pdf"
    theirs.write_bytes(b"half")
    assert tidy(tmp_path) == 0
    long_ago = time.time() - VERY_OLD_S - 60
    os.utime(theirs, (long_ago, long_ago))
    assert tidy(tmp_path) == 1
    assert not list(tmp_path.iterdir())


def test_only_names_of_ours_are_read(tmp_path: Path) -> None:
    for name in (PREFIX, f"{PREFIX}12345678-x-a", f"x{draft_prefix('m', 1)}a", ".draft-abc.pdf"):
        assert read_draft(name) is None
        (tmp_path / name).write_text("hers")
    assert tidy(tmp_path) == 0
    assert tidy(tmp_path / "missing") == 0
