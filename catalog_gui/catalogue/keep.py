"""Making safety copies: the catalogue in one zip file with a manifest of hashes.

A copy is written beside its final name and appears there only when it is whole. It is for herself: it
holds exact places and names, and must not be handed on.
"""

from __future__ import annotations

import hashlib
import json
import re
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import IO

from catalog_gui.catalogue import schema
from catalog_gui.catalogue.safety_copy import (
    CHUNK,
    FORMAT,
    MANIFEST,
    PICTURES,
    VERSION,
    Member,
    Progress,
    Watch,
    is_wrong_name,
)
from catalog_gui.catalogue.store import CATALOGUE_FILE, PAPERS, Catalogue
from catalog_gui.catalogue.trouble import sentence
from catalog_gui.domain.problem import Problem
from catalog_gui.durable import put_in_place

_NAMED_BY_TIME = re.compile(r"finds-\d{4}-\d\d-\d\d-\d{6}\.zip")


@dataclass(frozen=True, slots=True)
class CopyReport:
    """What a copy holds. `left_out` are paths with the reason (a vanished picture, an impossible name)."""

    path: Path
    pictures: int
    papers: int
    size_bytes: int
    left_out: tuple[tuple[str, str], ...] = ()


def make_copy(
    catalogue: Catalogue,
    target: Path,
    *,
    pictures: bool = False,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> CopyReport:
    """Write a safety copy to `target`, which must not exist yet.

    `progress` gets bytes done and in all. Originals are only read. Raises Problem for a target that
    exists, a disk that is full or cannot be written, and Cancelled; no half file is left in any case.
    """
    if target.exists():
        raise Problem("There is already a file of this name; nothing was overwritten.", path=str(target))
    part = target.with_name(target.name + ".part")
    database = target.with_name(target.name + ".sqlite.part")
    try:
        try:
            schema.copy_file(catalogue.folder / CATALOGUE_FILE, database)
            report = _write(catalogue, part, database, target, pictures, progress, cancelled)
            put_in_place(part, target)
        finally:
            part.unlink(missing_ok=True)
            database.unlink(missing_ok=True)
    except (OSError, sqlite3.Error) as error:
        raise Problem(f"{sentence(error)}. The safety copy was not made.", path=str(target)) from error
    return report


def _write(
    catalogue: Catalogue,
    part: Path,
    database: Path,
    target: Path,
    pictures: bool,
    progress: Progress | None,
    cancelled: Callable[[], bool] | None,
) -> CopyReport:
    left_out: list[tuple[str, str]] = []
    members: dict[str, Path] = {CATALOGUE_FILE: database}
    papers = dict(_papers(catalogue.papers, left_out))
    members |= papers
    origin: dict[str, str] = {}
    if pictures:
        with catalogue.read() as work:
            photos = work.photos.all()
        for number, photo in enumerate(photos, 1):
            suffix = Path(photo.name).suffix
            name = f"{PICTURES}/{number:06}{suffix if re.fullmatch(r'[.][A-Za-z0-9]{1,5}', suffix) else ''}"
            members[name] = Path(photo.path)
            origin[name] = photo.id
    total = sum(_size(path) for path in members.values())
    watch = Watch(total, progress, cancelled)
    written: dict[str, Member] = {}
    with zipfile.ZipFile(part, "x", allowZip64=True) as archive:
        for name, path in members.items():
            try:
                source = path.open("rb")
            except (OSError, ValueError) as error:
                if name == CATALOGUE_FILE:
                    raise
                reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
                left_out.append((str(path), reason))
                continue
            with source:
                written[name] = _pack(archive, name, source, watch)
        manifest = {
            "format": FORMAT,
            "version": VERSION,
            "revision": schema.HEAD,
            "members": {name: {"size": m.size, "sha256": m.sha256} for name, m in written.items()},
            "photos": {name: photo for name, photo in origin.items() if name in written},
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1), zipfile.ZIP_DEFLATED)
    return CopyReport(
        target,
        pictures=sum(name in written for name in origin),
        papers=sum(name in written for name in papers),
        size_bytes=part.stat().st_size,
        left_out=tuple(left_out),
    )


def _papers(folder: Path, left_out: list[tuple[str, str]]) -> Iterator[tuple[str, Path]]:
    for path in sorted(folder.rglob("*")):
        name = f"{PAPERS}/{path.relative_to(folder).as_posix()}"
        if path.is_symlink():
            left_out.append((str(path), "A link to somewhere else is not copied."))
        elif path.is_file():
            if is_wrong_name(name):
                left_out.append((str(path), "This file name cannot be kept in a copy."))
            else:
                yield name, path


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except (OSError, ValueError):
        return 0


def _pack(archive: zipfile.ZipFile, name: str, source: IO[bytes], watch: Watch) -> Member:
    info = zipfile.ZipInfo(name)
    # Pictures are packed already; trying again costs time and gains nothing.
    info.compress_type = zipfile.ZIP_STORED if name.startswith(f"{PICTURES}/") else zipfile.ZIP_DEFLATED
    digest, size = hashlib.sha256(), 0
    with archive.open(info, "w", force_zip64=True) as sink:
        while chunk := source.read(CHUNK):
            sink.write(chunk)
            digest.update(chunk)
            size += len(chunk)
            watch.on(len(chunk))
    return Member(size, digest.hexdigest())


def scheduled_copy(
    catalogue: Catalogue,
    folder: Path,
    *,
    now: datetime,
    every: timedelta = timedelta(days=7),
    keep: int = 5,
    pictures: bool = False,
    progress: Progress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> CopyReport | None:
    """Make a copy named by the time in `folder` if the newest there is older than `every`; else None.

    Afterwards only the newest `keep` copies with such names stay; no other file is touched. Raises as
    `make_copy` does.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        there = sorted(path for path in folder.iterdir() if _NAMED_BY_TIME.fullmatch(path.name))
    except OSError as error:
        raise Problem(f"{sentence(error)}. The safety copy was not made.", path=str(folder)) from error
    name = f"finds-{now:%Y-%m-%d-%H%M%S}.zip"
    if there and there[-1].name > f"finds-{now - every:%Y-%m-%d-%H%M%S}.zip":
        return None
    report = make_copy(catalogue, folder / name, pictures=pictures, progress=progress, cancelled=cancelled)
    for path in [*there, folder / name][: -max(keep, 1)]:
        path.unlink(missing_ok=True)
    return report
