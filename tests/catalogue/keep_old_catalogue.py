"""Keeps a catalogue of an older revision for the tests: `python -m tests.catalogue.keep_old_catalogue 0002`.

The kept file of the first revision, which that program wrote itself, is brought to the revision by Alembic, and
what the revision added is filled in, as its program would have.
"""

from __future__ import annotations

import gzip
import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

from alembic import command
from alembic.config import Config

from catalog_gui.catalogue import schema
from catalog_gui.catalogue.store import _engine

HERE = Path(__file__).parent
FILLED = {
    "0002": ("UPDATE forays SET country = 'United Kingdom', country_code = 'GB', county = 'Norfolk'",),
    "0003": (
        "UPDATE forays SET country = 'United Kingdom', country_code = 'GB', county = 'Norfolk'",
        "INSERT INTO taxon_notes (id, taxon, text, private_places) VALUES ('n', 'boletus', 'Shy', 1)",
    ),
}


def kept(revision: str) -> Path:
    """The kept file of a revision."""
    return HERE / f"catalogue-{revision}.sqlite.gz"


def make(revision: str) -> None:
    """Write the kept file of a revision anew."""
    config = Config()
    config.set_main_option("script_location", str(schema.MIGRATIONS))
    config.set_main_option("path_separator", "os")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "catalogue.sqlite"
        path.write_bytes(gzip.decompress(kept("0001").read_bytes()))
        engine = _engine(path)
        with engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
            connection.rollback()
            with connection.begin():
                config.attributes["connection"] = connection
                command.upgrade(config, revision)
        engine.dispose()
        with closing(sqlite3.connect(path)) as plain:
            for statement in FILLED[revision]:
                plain.execute(statement)
            plain.commit()
            plain.execute("PRAGMA journal_mode = DELETE")
        kept(revision).write_bytes(gzip.compress(path.read_bytes(), mtime=0))


if __name__ == "__main__":
    for one in sys.argv[1:]:
        make(one)
