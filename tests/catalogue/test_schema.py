"""Migrations: the same schema as the tables, older catalogues copied and migrated, newer ones refused."""

from __future__ import annotations

import gzip
import re
import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from catalog_gui.catalogue import schema
from catalog_gui.catalogue.journal import packed, unpacked
from catalog_gui.catalogue.store import _engine, open_catalogue
from catalog_gui.domain.foray import Foray
from catalog_gui.domain.ledger import FoundOrder, TaxonNote
from catalog_gui.domain.problem import CatalogueRefused
from catalog_gui.domain.region import Region, region_of
from tests.catalogue.keep_old_catalogue import kept
from tests.catalogue.values import NOON


def _plain(sql: str) -> str:
    return re.sub(r"\s+", " ", sql.replace('"', "")).replace("( ", "(").replace(" )", ")")


def _schema(path: Path) -> dict[str, str]:
    connection = sqlite3.connect(path)
    rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    application = connection.execute("PRAGMA application_id").fetchone()[0]
    connection.close()
    return {"application_id": str(application)} | {
        name: _plain(sql) for name, sql in rows if not name.startswith("find")
    }


def _with_connection(path: Path) -> Connection:
    connection = _engine(path).connect()  # with the transactions that a catalogue has
    connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
    connection.rollback()
    return connection


def test_the_migrations_give_the_schema_of_the_tables(tmp_path: Path) -> None:
    with _with_connection(tmp_path / "tables.sqlite") as connection, connection.begin():
        schema.create(connection)
    from alembic import command

    config = Config()
    config.set_main_option("script_location", str(schema.MIGRATIONS))
    config.set_main_option("path_separator", "os")
    with _with_connection(tmp_path / "steps.sqlite") as connection, connection.begin():
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
    made, migrated = _schema(tmp_path / "tables.sqlite"), _schema(tmp_path / "steps.sqlite")
    assert made.keys() == migrated.keys()
    for name, sql in made.items():
        assert _parts(sql) == _parts(migrated[name]), name


def _parts(sql: str) -> list[str]:
    """The definition's parts in any order: a table's constraints may stand in a different one."""
    head, _, body = sql.partition("(")
    return [head, *sorted(part.strip() for part in re.split(r",(?![^(]*\))", body.removesuffix(")")))]


def test_head_is_the_newest_migration() -> None:
    config = Config()
    config.set_main_option("script_location", str(schema.MIGRATIONS))
    config.set_main_option("path_separator", "os")
    assert ScriptDirectory.from_config(config).get_current_head() == schema.HEAD


_LATER = '''
"""A column more, in the way of a later version."""
import sqlalchemy as sa
from alembic import op

revision = "9002"
down_revision = "{head}"


def upgrade() -> None:
    op.add_column("forays", sa.Column("weather", sa.Text(), nullable=False, server_default="dry"))
    op.execute("UPDATE forays SET title = title || '!'")
    {more}
'''


@pytest.fixture
def later(tmp_path: Path) -> Path:
    """The migrations of a later version: ours and one more."""
    folder = tmp_path / "migrations"
    shutil.copytree(schema.MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / "9002_later.py").write_text(_LATER.format(head=schema.HEAD, more="pass"))
    return folder


@pytest.fixture
def older(tmp_path: Path) -> Path:
    """A catalogue as this version makes it, with one foray; its last change only in the log."""
    catalogue = open_catalogue(tmp_path / "finds", now=lambda: NOON)
    with catalogue.step("one") as work:
        work.forays.put(Foray("f", "Beech wood"))
    catalogue.close()
    return tmp_path / "finds" / "catalogue.sqlite"


def _rows(path: Path, sql: str) -> list[tuple[object, ...]]:
    connection = sqlite3.connect(path)
    rows = connection.execute(sql).fetchall()
    connection.close()
    return rows


def test_an_older_catalogue_is_copied_then_migrated(older: Path, later: Path) -> None:
    said: list[str] = []
    with _with_connection(older) as connection:
        schema.migrate(connection, older, progress=said.append, migrations=later, head="9002")
    assert _rows(older, "SELECT title, weather FROM forays") == [("Beech wood!", "dry")]
    assert _rows(older, "SELECT version_num FROM alembic_version") == [("9002",)]
    copy = older.with_name(f"catalogue-before-{schema.HEAD}.sqlite")
    assert _rows(copy, "SELECT title FROM forays") == [("Beech wood",)]
    assert len(said) == 2
    assert not list(older.parent.glob("*.part"))


def test_an_earlier_copy_is_never_overwritten(older: Path, later: Path) -> None:
    older.with_name(f"catalogue-before-{schema.HEAD}.sqlite").write_text("precious")
    with _with_connection(older) as connection:
        schema.migrate(connection, older, migrations=later, head="9002")
    assert older.with_name(f"catalogue-before-{schema.HEAD}.sqlite").read_text() == "precious"
    assert older.with_name(f"catalogue-before-{schema.HEAD}-2.sqlite").exists()


def test_a_migration_that_fails_leaves_everything_as_it_was(older: Path, later: Path) -> None:
    (later / "versions" / "9002_later.py").write_text(
        _LATER.format(head=schema.HEAD, more="op.execute('SELECT nonsense')")
    )
    before = _schema(older)
    connection = _with_connection(older)
    with pytest.raises(DatabaseError):
        schema.migrate(connection, older, migrations=later, head="9002")
    connection.close()
    assert _schema(older) == before
    assert _rows(older, "SELECT title FROM forays") == [("Beech wood",)]


def test_a_newer_catalogue_is_refused_with_a_sentence_and_left_alone(older: Path) -> None:
    connection = sqlite3.connect(older)
    connection.execute("UPDATE alembic_version SET version_num = '0099'")
    connection.commit()
    connection.close()
    before = older.read_bytes()
    with pytest.raises(
        CatalogueRefused, match=r"newer version of the program.*nothing was changed"
    ) as caught:
        open_catalogue(older.parent, now=lambda: NOON)
    assert caught.value.path == str(older)
    assert older.read_bytes() == before
    assert not list(older.parent.glob("catalogue-before-*"))


_COUNTS = tuple(f"SELECT count(*) FROM {table}" for table in ("forays", "specimens", "evidence"))  # noqa: S608


def _revisions() -> list[str]:
    """All revisions, the first one first."""
    config = Config()
    config.set_main_option("script_location", str(schema.MIGRATIONS))
    config.set_main_option("path_separator", "os")
    return [script.revision for script in ScriptDirectory.from_config(config).walk_revisions()][::-1]


@pytest.mark.parametrize("revision", _revisions()[:-1])
def test_a_kept_catalogue_of_every_former_revision_comes_up_to_date(tmp_path: Path, revision: str) -> None:
    """A new revision needs the file of the one before: `python -m tests.catalogue.keep_old_catalogue REVISION`."""
    folder = tmp_path / "old"
    folder.mkdir()
    path = folder / "catalogue.sqlite"
    path.write_bytes(gzip.decompress(kept(revision).read_bytes()))
    assert _rows(path, "SELECT version_num FROM alembic_version") == [(revision,)]
    before = [_rows(path, query) for query in _COUNTS]
    with closing(open_catalogue(folder, now=lambda: NOON)) as catalogue:
        assert catalogue.search_count("") == before[1][0][0]
        assert catalogue.search_count("county: norfolk") == (0 if revision == "0001" else 10)
        with catalogue.read() as work:
            assert [note.private_places for note in work.taxon_notes.all()] == [True] * (revision >= "0003")
    assert [_rows(path, query) for query in _COUNTS] == before
    assert (folder / f"catalogue-before-{revision}.sqlite").is_file()
    with _with_connection(tmp_path / "tables.sqlite") as connection, connection.begin():
        schema.create(connection)
    new = _schema(tmp_path / "tables.sqlite")
    assert {name: sql for name, sql in _schema(path).items() if name in new}.keys() == new.keys()


@pytest.fixture
def former(tmp_path: Path) -> Path:
    """A folder with a catalogue that revision 0001 of the program made: eleven finds, three steps."""
    folder = tmp_path / "former"
    folder.mkdir()
    (folder / "catalogue.sqlite").write_bytes(gzip.decompress(kept("0001").read_bytes()))
    return folder


def test_a_catalogue_of_the_first_revision_comes_up_to_date(former: Path) -> None:
    """Nothing of it is lost, nothing is added to it, and it can be searched, changed and undone as before."""
    as_it_was = _rows(former / "catalogue.sqlite", "SELECT number, site, habitat FROM specimens ORDER BY seq")
    catalogue = open_catalogue(former, now=lambda: NOON)
    with catalogue.read() as work:
        assert [(one.number, one.site, one.habitat) for one in work.specimens.all()] == as_it_was
        assert {region_of(one, None) for one in work.specimens.all()} == {Region()}
        assert {region_of(one, None) for one in work.forays.all()} == {Region()}
    assert _rows(former / "catalogue-before-0001.sqlite", "SELECT count(*) FROM specimens") == [(10,)]
    assert catalogue.search_count("russula") == 1
    assert catalogue.search_count("country: kingdom") == 0

    with catalogue.step("Where it is") as work:
        foray = work.forays.get("walk")
        assert foray is not None
        work.forays.put(replace(foray, country="United Kingdom", country_code="GB", county="Norfolk"))
    assert catalogue.search_count("country: kingdom") == 10
    assert catalogue.search_count("county: norfolk") == 10
    catalogue.undo()
    assert catalogue.search_count("county: norfolk") == 0
    # Steps that the former revision wrote, with fewer columns, can still be taken back.
    catalogue.undo()
    catalogue.undo()
    with catalogue.read() as work:
        back = work.specimens.get("s11")
        assert back is not None
        assert (back.number, back.country) == ("2025-11", "")
        changed = work.specimens.get("s2")
        assert changed is not None
        assert changed.habitat == "oak wood"
    found = catalogue.search("", limit=20, order=FoundOrder.NUMBER)
    assert [one.number for one in found] == [f"2025-{n}" for n in range(1, 12)]
    catalogue.close()


def test_what_the_word_in_a_note_kept_private_stays_private(former: Path) -> None:
    """Wherever the word stood, 'not sensitive' too: no place becomes finer by bringing a catalogue up to date."""
    words = {"a": "Sensitive: picked for sale.", "b": "not sensitive", "c": "sensative", "d": "plain"}
    connection = sqlite3.connect(former / "catalogue.sqlite")
    for key, told in words.items():
        connection.execute("INSERT INTO taxon_notes (id, taxon, text) VALUES (?, ?, ?)", (key, key, told))
    connection.commit()
    connection.close()
    with closing(open_catalogue(former, now=lambda: NOON)) as catalogue, catalogue.read() as work:
        kept = {note.id: (note.text, note.private_places) for note in work.taxon_notes.all()}
    assert kept == {key: (told, key in {"a", "b"}) for key, told in words.items()}


@pytest.mark.parametrize("step", ["gone", "changed"])
def test_taking_back_a_step_from_before_the_field_keeps_the_places_private(tmp_path: Path, step: str) -> None:
    """The step knows no such column; what its row said by the word is what it means."""
    path = tmp_path / "finds" / "catalogue.sqlite"
    with closing(open_catalogue(path.parent, now=lambda: NOON)) as catalogue:
        with catalogue.step("Note") as work:
            work.taxon_notes.put(TaxonNote("n", "boletus", "Sensitive"))
        with catalogue.step("Later") as work:
            if step == "gone":
                work.taxon_notes.remove("n")
            else:
                work.taxon_notes.put(TaxonNote("n", "boletus", "Plain"))
    connection = sqlite3.connect(path)
    for key, blob in connection.execute("SELECT id, images FROM journal").fetchall():
        images = unpacked(blob)
        part = images["taxon_notes"]
        at = part.columns.index("private_places")
        part.columns.pop(at)
        part.made = [(*row[:at], *row[at + 1 :]) for row in part.made]
        part.gone = [(*row[:at], *row[at + 1 :]) for row in part.gone]
        connection.execute("UPDATE journal SET images = ? WHERE id = ?", (packed(images), key))
    connection.commit()
    connection.close()
    with closing(open_catalogue(path.parent, now=lambda: NOON)) as catalogue:
        catalogue.undo()
        with catalogue.read() as work:
            (note,) = work.taxon_notes.all()
    assert (note.text, note.private_places) == ("Sensitive", True)
