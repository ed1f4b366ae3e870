"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import platform
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from catalog_gui.domain.draft_name import PREFIX, VERY_OLD_S, draft_prefix, machine_sign, read_draft
from catalog_gui.domain.last_look import LastLook
from catalog_gui.domain.problem import BadInput
from catalog_gui.durable import put_in_place, sync_file
from catalog_gui.outputs.finished import texts_of


@contextmanager
def whole_file(target: Path, *, replace: bool, look: LastLook | None = None) -> Iterator[Path]:
    """A draft beside `target` that takes its place when the block ends well; otherwise nothing is left of it.

    Raises BadInput when the target is there and `replace` is not set, when its folder is missing or cannot be
    written to, and when the disk is full, PlacesLeft when `look` finds a place in what is finished; an
    earlier file then stands as it was.
    """
    _may_be_written(target, replace=replace)
    tidy(target.parent)
    try:
        handle, name = tempfile.mkstemp(prefix=_prefix(), suffix=target.suffix, dir=target.parent)
    except OSError as error:
        raise _refused(error, target) from error
    os.close(handle)
    draft = Path(name)
    try:
        yield draft
        if look is not None:
            look.at(texts_of(draft))
        draft.chmod(0o644)
        put_in_place(draft, target)
    except OSError as error:
        raise _refused(error, target) from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


@contextmanager
def whole_folder(target: Path, *, look: LastLook | None = None) -> Iterator[Path]:
    """Like `whole_file` for a new folder. An existing one is never replaced."""
    _may_be_written(target, replace=False)
    tidy(target.parent)
    try:
        draft = Path(tempfile.mkdtemp(prefix=_prefix(), dir=target.parent))
    except OSError as error:
        raise _refused(error, target) from error
    try:
        yield draft
        if look is not None:
            look.at(texts_of(draft))
        draft.chmod(0o755)
        for path in (path for path in draft.rglob("*") if path.is_file()):
            sync_file(path)
        put_in_place(draft, target)
    except OSError as error:
        raise _refused(error, target) from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def tidy(folder: Path) -> int:
    """Remove drafts that a kill or a power cut left in a folder; how many went.

    Only our own: named as drafts are, and made by a process of this machine that has ended, or not touched
    for two days. What cannot be removed stays; a folder that cannot be listed is left alone.
    """
    gone = 0
    try:
        entries = [entry for entry in os.scandir(folder) if entry.name.startswith(PREFIX)]
    except OSError:
        return 0
    for entry in entries:
        with suppress(OSError):
            if not _stale(entry):
                continue
            if entry.is_dir(follow_symlinks=False):
                shutil.rmtree(entry.path, ignore_errors=True)
            else:
                Path(entry.path).unlink()
            gone += 1
    return gone


def _stale(entry: os.DirEntry[str]) -> bool:
    made_by = read_draft(entry.name)
    if made_by is None or entry.is_symlink():
        return False
    if time.time() - entry.stat(follow_symlinks=False).st_mtime > VERY_OLD_S:
        return True
    return made_by.machine == machine_sign(platform.node()) and not _runs(made_by.process)


def _runs(process: int) -> bool:
    """Whether a process of this number runs; where that cannot be asked without harm, it may."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):  # it runs, but is somebody else's
        return True
    return True


def _prefix() -> str:
    return draft_prefix(platform.node(), os.getpid())


def _may_be_written(target: Path, *, replace: bool) -> None:
    if target.exists() and not replace:
        raise BadInput("Something of that name is there already.", path=str(target))
    if target.is_dir() and replace:
        raise BadInput("A folder of that name is there already.", path=str(target))
    if not target.parent.is_dir():
        raise BadInput("That folder does not exist.", path=str(target.parent))


def _refused(error: OSError, target: Path) -> BadInput:
    return BadInput(f"It could not be written: {error.strerror or error}.", path=str(target))
