"""Reading safety copies back, trusting nothing in them.

Names, kinds, sizes and hashes are checked before anything counts, and the folder appears only when
everything was right.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import sqlite3
import stat
import struct
import sys
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO

from catalog_gui.catalogue.safety_copy import (
    CHUNK,
    FORMAT,
    MANIFEST,
    VERSION,
    Member,
    Progress,
    Watch,
    is_wrong_name,
)
from catalog_gui.catalogue.schema import missing
from catalog_gui.catalogue.sqlite_errors import sentence
from catalog_gui.catalogue.store import CATALOGUE_FILE, PAPERS, PREVIEWS, sweep_beside
from catalog_gui.catalogue.tables import APPLICATION_ID
from catalog_gui.domain.problem import Problem
from catalog_gui.durable import sync_folder

_LARGEST_MANIFEST = 256 << 20
_ROOM_TO_SPARE = 64 << 20
# Deflate cannot pack better than 1032 to 1; a catalogue packs about 4 to 1, so 200 is a bomb, not a find.
_MOST_PACKED = 200
_SMALL = 16 << 20
_FEW = 200
# What zipfile raises on bytes that are no archive, or no longer one.
_BROKEN = (
    zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, ValueError, LookupError,
    OverflowError, RuntimeError,
)  # fmt: skip


class CopyRefused(Problem):
    """An archive that is no safety copy of ours, is damaged, or would do harm; nothing was restored."""


def restore(
    archive: Path,
    folder: Path,
    *,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> None:
    """Put a safety copy into `folder`, which must be empty or not exist.

    Pictures in the copy come into its `pictures` folder; the catalogue still names their old places, and
    the catalogue's check finds them again by content. Raises CopyRefused with a sentence for an archive
    that is damaged, hostile or not ours, Problem for a folder that cannot be used, and Cancelled. Nothing
    is left behind in any of these cases.
    """
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise Problem(
                "A copy is only restored into an empty folder; this one is not. Choose an empty or a new one.",
                path=str(folder),
            )
        folder.parent.mkdir(parents=True, exist_ok=True)
        sweep_beside(folder)
        part = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", suffix=".part", dir=folder.parent))
        try:
            with _opened(archive) as (zipped, members):
                _check_room(sum(member.size for member in members.values()), folder.parent)
                _read_through(zipped, members, archive, part, progress, cancelled)
            _check_database(part / CATALOGUE_FILE, archive)
            for name in (PAPERS, PREVIEWS):
                (part / name).mkdir(exist_ok=True)
            part.chmod(0o755)
            if folder.exists():
                folder.rmdir()
            if sys.platform == "linux" and _all_at_once(len(members)):
                os.sync()
            part.replace(folder)
            sync_folder(folder.parent)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    except OSError as error:
        raise Problem(
            f"{sentence(error)}. Nothing was restored; choose another folder, or try again.", path=str(folder)
        ) from error


def verify_copy(
    archive: Path, *, progress: Progress | None = None, cancelled: Callable[[], bool] | None = None
) -> int:
    """Read a whole copy and compare every hash; the number of members. Raises CopyRefused and Cancelled."""
    try:
        with _opened(archive) as (zipped, members):
            _read_through(zipped, members, archive, None, progress, cancelled)
            return len(members)
    except OSError as error:
        raise CopyRefused(f"{sentence(error)}. Choose another copy.", path=str(archive)) from error


@contextlib.contextmanager
def _opened(archive: Path) -> Iterator[tuple[zipfile.ZipFile, dict[str, Member]]]:
    """The archive and its members by the manifest, names, kinds and sizes checked."""
    try:
        with zipfile.ZipFile(archive) as zipped:
            yield zipped, _members(zipped, archive)
    except _BROKEN as error:
        raise CopyRefused(
            "This file is damaged or is not a safety copy. Nothing was restored; choose another copy.",
            path=str(archive),
        ) from error


def _members(zipped: zipfile.ZipFile, archive: Path) -> dict[str, Member]:
    def refuse(words: str) -> CopyRefused:
        return CopyRefused(f"{words} Nothing was restored; choose another copy.", path=str(archive))

    listed = zipped.infolist()
    names = [info.filename for info in listed]
    if names.count(MANIFEST) != 1:
        raise refuse("This archive has no list of its contents, so it is not a safety copy.")
    for info in listed:
        if info.header_offset < 0:  # the directory lies about where it stands
            raise refuse("This file is damaged.")
        if is_wrong_name(info.orig_filename) or info.is_dir():
            raise refuse(f"The archive holds a name that leads somewhere else: {info.orig_filename!a}.")
        kind = stat.S_IFMT(info.external_attr >> 16)
        if kind not in (0, stat.S_IFREG):
            raise refuse(f"The archive holds a link or device instead of a file: '{info.filename}'.")
        if info.flag_bits & 1 or info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise refuse(f"'{info.filename}' is packed in a way that a safety copy never is.")
        if info.file_size > max(_SMALL, info.compress_size * _MOST_PACKED):
            raise refuse(f"'{info.filename}' would unpack to a size no find needs; this may be an attack.")
    if zipped.getinfo(MANIFEST).file_size > _LARGEST_MANIFEST:
        raise refuse("The list of contents is too large to be real.")
    try:
        manifest = json.loads(zipped.read(MANIFEST))
        ours = manifest["format"] == FORMAT
        version = int(manifest["version"])
        members = {
            str(name): Member(int(entry["size"]), str(entry["sha256"]))
            for name, entry in manifest["members"].items()
        }
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise refuse("The list of contents cannot be read, so this is not a safety copy.") from error
    if not ours:
        raise refuse("This archive is not a safety copy of a catalogue.")
    if version > VERSION:
        raise refuse(
            "This copy was made by a newer version of the program. Bring the program up to date to restore it."
        )
    if len(names) != len(set(names)) or {*members, MANIFEST} != set(names) or CATALOGUE_FILE not in members:
        raise refuse("The list of contents and the contents do not agree.")
    if any(zipped.getinfo(name).file_size != member.size for name, member in members.items()):
        raise refuse("The list of contents and the contents do not agree in size.")
    return members


def _check_room(needed: int, folder: Path) -> None:
    free = shutil.disk_usage(folder).free
    if needed + _ROOM_TO_SPARE > free:
        raise Problem(
            f"The copy needs {needed / 1e6:.0f} MB and the disk has {free / 1e6:.0f} MB free. "
            "Nothing was restored; make room, or choose a folder on another disk.",
            path=str(folder),
        )


def _read_through(
    zipped: zipfile.ZipFile,
    members: dict[str, Member],
    archive: Path,
    into: Path | None,
    progress: Progress | None,
    cancelled: Callable[[], bool] | None,
) -> None:
    """Read every member, never further than its announced size, compare its hash, write it below `into`."""
    watch = Watch(sum(member.size for member in members.values()), progress, cancelled)
    made: set[Path] = set()
    one_by_one = not _all_at_once(len(members))
    for name, member in members.items():
        digest, size = hashlib.sha256(), 0
        with contextlib.ExitStack() as files:
            source = files.enter_context(zipped.open(name))
            sink = files.enter_context(_new_file(into / name, made)) if into is not None else None
            while size <= member.size and (chunk := source.read(CHUNK)):
                digest.update(chunk)
                size += len(chunk)
                if sink is not None:
                    sink.write(chunk)
                watch.on(len(chunk))
            if sink is not None:
                sink.flush()
                if one_by_one:
                    os.fsync(sink.fileno())
        if size != member.size or digest.hexdigest() != member.sha256:
            raise CopyRefused(
                f"'{name}' is not what it was when the copy was made. Nothing was restored; choose another copy.",
                path=str(archive),
            )


def _all_at_once(count: int) -> bool:
    """Whether so many files are put on the disk by one call: a flush for each of 100,000 takes minutes.

    Only Linux waits in `sync` until all is written (man 2 sync).
    """
    return count > _FEW and sys.platform == "linux"


def _new_file(path: Path, made: set[Path]) -> IO[bytes]:
    if path.parent not in made:
        path.parent.mkdir(parents=True, exist_ok=True)
        made.add(path.parent)
    return path.open("xb")


def _check_database(path: Path, archive: Path) -> None:
    """The restored file is a sound catalogue and holds nothing that would run by itself."""
    try:
        with contextlib.closing(sqlite3.connect(path)) as connection:
            connection.execute("PRAGMA trusted_schema = OFF")
            ours = connection.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
            odd = connection.execute(
                "SELECT count(*) FROM sqlite_master WHERE type NOT IN ('table', 'index')"
            ).fetchone()[0]
            lacking = missing(connection)
            sound = connection.execute("PRAGMA quick_check").fetchone()[0] == "ok"
    except sqlite3.Error as error:
        raise CopyRefused(
            f"{sentence(error)}. Nothing was restored; choose another copy.", path=str(archive)
        ) from error
    if ours and sound and lacking:
        raise CopyRefused(
            f"The catalogue in this copy lacks the table '{lacking[0]}'. Nothing was restored; choose an "
            "older copy.",
            path=str(archive),
        )
    if not ours or odd or not sound:
        raise CopyRefused(
            "The catalogue in this copy is damaged or was tampered with. Nothing was restored; choose another copy.",
            path=str(archive),
        )
