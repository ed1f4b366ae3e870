"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from catalog_gui.domain.problem import BadInput


@contextmanager
def whole_file(target: Path, *, replace: bool) -> Iterator[Path]:
    """A draft beside `target` that takes its place when the block ends well; otherwise nothing is left of it.

    Raises BadInput when the target is there and `replace` is not set, when its folder is missing or cannot be
    written to, and when the disk is full; an earlier file then stands as it was.
    """
    _may_be_written(target, replace=replace)
    try:
        handle, name = tempfile.mkstemp(prefix=".draft-", suffix=target.suffix, dir=target.parent)
    except OSError as error:
        raise _refused(error, target) from error
    os.close(handle)
    draft = Path(name)
    try:
        yield draft
        with draft.open("rb+") as written:
            os.fsync(written.fileno())
        draft.chmod(0o644)
        draft.replace(target)
    except OSError as error:
        raise _refused(error, target) from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


@contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """Like `whole_file` for a new folder. An existing one is never replaced."""
    _may_be_written(target, replace=False)
    try:
        draft = Path(tempfile.mkdtemp(prefix=".draft-", dir=target.parent))
    except OSError as error:
        raise _refused(error, target) from error
    try:
        yield draft
        draft.chmod(0o755)
        draft.replace(target)
    except OSError as error:
        raise _refused(error, target) from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _may_be_written(target: Path, *, replace: bool) -> None:
    if target.exists() and not replace:
        raise BadInput("Something of that name is there already.", path=str(target))
    if target.is_dir() and replace:
        raise BadInput("A folder of that name is there already.", path=str(target))
    if not target.parent.is_dir():
        raise BadInput("That folder does not exist.", path=str(target.parent))


def _refused(error: OSError, target: Path) -> BadInput:
    return BadInput(f"It could not be written: {error.strerror or error}.", path=str(target))
