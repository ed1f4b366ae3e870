"""Making a catalogue file, and bringing an older one up to date.

A new file is made from the tables at once and stamped, which is several times faster than walking
through the migrations; a test holds that both give the same schema. Alembic is only imported when there
is something to migrate.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.schema import CreateIndex, CreateTable

from catalog_gui.catalogue.tables import APPLICATION_ID, RECORD_TABLES, journal, not_excluded
from catalog_gui.domain.problem import CatalogueRefused
from catalog_gui.durable import put_in_place

HEAD = "0004"
"""The newest revision in `migrations/versions`; a test compares it."""

MIGRATIONS = Path(__file__).parent / "migrations"


def create(connection: Connection) -> None:
    """Make every table in the open transaction and stamp the file as ours, at HEAD."""
    for table in (*RECORD_TABLES.values(), not_excluded, journal):
        connection.execute(CreateTable(table))
        for index in sorted(table.indexes, key=lambda index: str(index.name)):
            connection.execute(CreateIndex(index))
    connection.exec_driver_sql(
        "CREATE TABLE alembic_version ("
        "version_num VARCHAR(32) NOT NULL, CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
    )
    connection.exec_driver_sql("INSERT INTO alembic_version VALUES (?)", (HEAD,))
    connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")


def is_empty(connection: Connection) -> bool:
    """Whether nothing was ever made in this file."""
    return not connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar()


def revision(connection: Connection, path: Path) -> str:
    """The revision that the file is stamped with. Raises CatalogueRefused when it is not one of ours."""
    ours = connection.exec_driver_sql("PRAGMA application_id").scalar() == APPLICATION_ID
    stamped = connection.exec_driver_sql(
        "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'alembic_version'"
    ).scalar()
    found = (
        connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() if stamped else None
    )
    if not ours or not found:
        raise CatalogueRefused(
            "This file holds something else, not a catalogue of finds. Choose another folder.", path=str(path)
        )
    return str(found)


def missing(connection: sqlite3.Connection) -> tuple[str, ...]:
    """The tables that a catalogue cannot be without and that this one lacks. Raises sqlite3.Error."""
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    needed = [*RECORD_TABLES, journal.name, "alembic_version"]  # as they were from the first revision on
    if "alembic_version" in there:
        stamped = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        needed += [not_excluded.name] if stamped == (HEAD,) else []
    return tuple(name for name in needed if name not in there)


def migrate(
    connection: Connection,
    path: Path,
    *,
    progress: Callable[[str], None] | None = None,
    migrations: Path = MIGRATIONS,
    head: str = HEAD,
) -> None:
    """Bring an older catalogue up to `head`, after copying it; foreign keys must be off on the connection.

    The copy is `catalogue-before-<revision>.sqlite` beside it and is never overwritten. A migration that
    fails leaves the catalogue as it was. Raises CatalogueRefused for a catalogue that is newer.
    """
    found = revision(connection, path)
    connection.rollback()
    if found == head:
        return
    from alembic import command  # noqa: PLC0415  (0.15 s that a current catalogue need not wait for)
    from alembic.config import Config  # noqa: PLC0415
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if found not in known:
        raise CatalogueRefused(
            "This catalogue was made by a newer version of the program. "
            "Bring the program up to date to open it; nothing was changed.",
            path=str(path),
        )
    say = progress or (lambda _words: None)
    say("Copying the catalogue before bringing it up to date")
    copy_file(path, _unused(path.with_name(f"{path.stem}-before-{found}.sqlite")))
    say("Bringing the catalogue up to date")
    with connection.begin():
        config.attributes["connection"] = connection
        command.upgrade(config, head)
        connection.exec_driver_sql("PRAGMA user_version = 0")  # the search index is to be made anew
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if broken is not None:
            raise CatalogueRefused(
                f"Bringing the catalogue up to date would break a link in '{broken[0]}'; "
                "it was left as it was. Check it with the version of the program that made it, or restore a "
                "safety copy into an empty folder.",
                path=str(path),
            )


def _unused(path: Path) -> Path:
    number = 2
    wanted = path
    while path.exists():
        path = wanted.with_stem(f"{wanted.stem}-{number}")
        number += 1
    return path


def copy_file(source: Path, target: Path) -> None:
    """A whole copy of a catalogue file, its write-ahead log included, by way of a name that is not `target`.

    `target` appears only when the copy is on the disk. Raises OSError and sqlite3.Error.
    """
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    try:
        with (
            contextlib.closing(sqlite3.connect(source)) as old,
            contextlib.closing(sqlite3.connect(part)) as new,
        ):
            old.backup(new)
            new.execute("PRAGMA journal_mode = DELETE")
        put_in_place(part, target)
    finally:
        part.unlink(missing_ok=True)
