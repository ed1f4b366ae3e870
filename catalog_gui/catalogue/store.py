"""The catalogue: one folder with `catalogue.sqlite`, `previews/` and `papers/`.

Everything is saved when its step ends, and saved means on the disk: write-ahead log with synchronous
FULL, so a step that returned survives a power cut, not only a kill. Writers take the write lock at the
start (BEGIN IMMEDIATE), so nobody finds out half way that somebody else was quicker; waiting for it is
bounded by WAIT_S and ends in a sentence.
"""

from __future__ import annotations

import contextlib
import glob
import os
import shutil
import sqlite3
import weakref
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import NullPool

from catalog_gui.catalogue import index, journal, not_excluded, overview, schema, search, sqlite_errors
from catalog_gui.catalogue.lexicon import Lexicon
from catalog_gui.catalogue.query import read_query
from catalog_gui.catalogue.repository import TableSession
from catalog_gui.catalogue.struck_out import EvidenceHistory
from catalog_gui.catalogue.unit_of_work import TableUnitOfWork
from catalog_gui.catalogue.window_lock import WindowLock
from catalog_gui.catalogue.write_buffer import WriteBuffer
from catalog_gui.domain.ledger import (
    Changed,
    ForayCount,
    Found,
    FoundOrder,
    FoundPlace,
    Reckoned,
    SeasonCount,
    Step,
    TallyLine,
    ToReckon,
)
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.problem import CatalogueRefused
from catalog_gui.domain.specimen import Task
from catalog_gui.durable import sync_folder

CATALOGUE_FILE = "catalogue.sqlite"
PREVIEWS = "previews"
PAPERS = "papers"
COPIES = "copies"
WAIT_S = 5.0
"""How long a writer waits for another one before it gives up with a sentence."""

_BEGIN = "foray_begin"


def open_catalogue(
    folder: str | os.PathLike[str],
    *,
    now: Callable[[], datetime],
    progress: Callable[[str], None] | None = None,
    lexicon: Lexicon | None = None,
) -> Catalogue:
    """Open the catalogue in `folder`, or begin one there.

    `lexicon` says what parts, states and taxa are called, for searching; it may also be set later.
    `now` gives aware times for the journal. `progress` is told in words when there is something to wait
    for (an older catalogue is copied and brought up to date). Raises CatalogueRefused with a sentence
    for a folder that cannot be written, a file that is damaged or not ours, a catalogue that a newer
    program made, and one that another window has open.
    """
    place = Path(folder)
    path = place / CATALOGUE_FILE
    try:
        for part in (place, place / PREVIEWS, place / PAPERS):
            part.mkdir(parents=True, exist_ok=True)
        lock = WindowLock(place, now())
        if path.exists() and not os.access(path, os.W_OK):
            lock.let_go()
            raise PermissionError
    except OSError as error:
        raise sqlite_errors.refused(error, place) from error
    try:
        _not_emptied(path)
        sweep_beside(place)
    except OSError as error:
        lock.let_go()
        raise sqlite_errors.refused(error, path) from error
    except CatalogueRefused:
        lock.let_go()
        raise
    engine = _engine(path)
    try:
        _prepare(engine, path, progress)
    except (DatabaseError, sqlite3.Error, OSError) as error:
        engine.dispose()
        lock.let_go()
        raise sqlite_errors.refused(error, path) from error
    except BaseException:
        engine.dispose()
        lock.let_go()
        raise
    return Catalogue(place, engine, now=now, lock=lock, lexicon=lexicon or Lexicon())


class Catalogue:
    """The records (the `Records` of the ports). For one thread; `another()` gives one for another thread."""

    def __init__(
        self,
        folder: Path,
        engine: Engine,
        *,
        now: Callable[[], datetime],
        lock: WindowLock,
        lexicon: Lexicon,
        words: list[Lexicon] | None = None,
    ) -> None:
        self.folder = folder
        self._words = words or [lexicon]
        self._history = EvidenceHistory()
        self._engine = engine
        self._now = now
        self._lock = lock
        # Also when somebody forgot to close it: the lock must not outlive the last one that uses it.
        self._let_go = weakref.finalize(self, lock.let_go, lock.hold())
        self._connection: Connection | None = None
        self._session: TableSession | None = None
        self._writing = False
        self._closed = False
        self._last_change: Changed | None = None

    @property
    def lexicon(self) -> Lexicon:
        """What parts, states and taxa are called; the same for all that `another` gave."""
        return self._words[0]

    def set_lexicon(self, lexicon: Lexicon) -> None:
        """Other words from now on: the reference was changed."""
        self._words[0] = lexicon

    @property
    def previews(self) -> Path:
        """The folder of previews; it can be emptied at any time."""
        return self.folder / PREVIEWS

    @property
    def papers(self) -> Path:
        """The folder of papers made here."""
        return self.folder / PAPERS

    @property
    def last_change(self) -> Changed | None:
        """What the last step, undo or redo of this catalogue object touched."""
        return self._last_change

    @contextlib.contextmanager
    def read(self) -> Iterator[TableUnitOfWork]:
        """A consistent view. Inside a step it is the step's own view, unsaved changes included."""
        if self._session is not None:
            yield TableUnitOfWork(TableSession(self._session.connection, None), self._history.struck_out)
            return
        connection = self._open(write=False)
        session = self._session = TableSession(connection, None)
        try:
            yield TableUnitOfWork(session, self._history.struck_out)
        except DatabaseError as error:
            raise sqlite_errors.refused(error, self.folder) from error
        finally:
            self._end(session)

    @contextlib.contextmanager
    def step(self, label: str, *, undoable: bool = True) -> Iterator[TableUnitOfWork]:
        """One change: saved whole with its undo step when the block ends, or not at all.

        A step that changes nothing leaves no trace. Raises NotSaved with a sentence when the disk is full,
        another writer does not end, or a row would point at nothing; RuntimeError inside another block.
        """
        with self._writing_step(label) as (session, buffer):
            yield TableUnitOfWork(session, self._history.struck_out)
            changes = buffer.changes()
            if changes:
                journal.write(buffer.connection, label, self._now(), changes, undoable=undoable)
                index.refresh(buffer.connection, changes)
                not_excluded.touch(buffer.connection, changes)
        self._last_change = journal.changed(label, changes)

    def undo(self) -> Changed | None:
        """Take back the newest step that is not undone; None when there is none."""
        return self._move("Undo", back=True)

    def redo(self) -> Changed | None:
        """Do again the step that was taken back last; None when there is none."""
        return self._move("Redo", back=False)

    def steps(self, limit: int = 50) -> tuple[Step, ...]:
        """Newest first, undone ones included while they can be done again."""
        with self.read() as work:
            return journal.steps(work.connection, limit)

    def search(
        self, text: str, *, limit: int = 200, offset: int = 0, order: FoundOrder = FoundOrder.NEWEST
    ) -> tuple[Found, ...]:
        """One page of specimens; `query.py` says how the text is read. Never fails on what was typed."""
        with self.read() as work:
            return search.search(work.connection, text, self.lexicon, limit=limit, offset=offset, order=order)

    def search_season(self, text: str) -> tuple[SeasonCount, ...]:
        """What the search has, by year and month."""
        with self.read() as work:
            return search.season(work.connection, text, self.lexicon)

    def search_places(self, text: str) -> tuple[FoundPlace, ...]:
        """The places of everything the search has, newest first; what has no place is left out."""
        with self.read() as work:
            return search.places(work.connection, text, self.lexicon)

    def search_count(self, text: str) -> int:
        """How many specimens `search` has on all its pages."""
        with self.read() as work:
            return search.count(work.connection, text, self.lexicon)

    def search_notes(self, text: str) -> tuple[str, ...]:
        """Sentences about what in the text was not understood; empty when all was."""
        return tuple(read_query(text, self.lexicon).notes)

    def season(self, name_or_taxon: str = "") -> tuple[SeasonCount, ...]:
        """Specimens by year and month, of one present name or taxon id or of all."""
        with self.read() as work:
            return overview.season(work, name_or_taxon)

    def tally(self, foray_id: str) -> tuple[TallyLine, ...]:
        """The names of a foray and how many specimens go by each; unnamed ones last."""
        with self.read() as work:
            return overview.tally(work, foray_id)

    def foray_counts(self) -> dict[str, ForayCount]:
        """Foray id to how many pictures, specimens and names it came to."""
        with self.read() as work:
            return overview.foray_counts(work)

    def open_tasks(self, *, limit: int = 500) -> tuple[Task, ...]:
        """What is still to be done, by due time; tasks without one last."""
        with self.read() as work:
            return overview.open_tasks(work, limit=limit)

    def known_photos(
        self, *, quick_keys: Iterable[str] = (), content_hashes: Iterable[str] = ()
    ) -> tuple[Photo, ...]:
        """The photos that have one of these fingerprints."""
        with self.read() as work:
            return overview.known_photos(work, quick_keys=quick_keys, content_hashes=content_hashes)

    def not_excluded_asked(self, basis: str, limit: int) -> tuple[ToReckon, ...]:
        """Specimens of which the worst taxon not excluded is not reckoned, or not with this `basis`."""
        with self.read() as work:
            return not_excluded.asked(work.connection, basis, limit)

    def keep_not_excluded(self, basis: str, found: Sequence[Reckoned]) -> None:
        """Keep what was reckoned; it is no step and cannot be undone. Raises NotSaved as `step` does."""
        with self._writing_step("What is not excluded") as (desk, _):
            not_excluded.forget_other(desk.connection, basis)
            not_excluded.keep(desk.connection, basis, found)

    def another(self) -> Catalogue:
        """The same catalogue for another thread. Close it there; the window stays locked until all are closed."""
        return Catalogue(
            self.folder,
            self._engine,
            now=self._now,
            lock=self._lock,
            lexicon=self.lexicon,
            words=self._words,
        )

    def close(self) -> None:
        """Let go of the file. A second call does nothing."""
        self._closed = True
        if self._connection is not None:
            self._connection.close()
            self._connection = None
        self._let_go()

    def _move(self, words: str, *, back: bool) -> Changed | None:
        label = None
        with self._writing_step(words) as (_session, buffer):
            label = journal.move(buffer.connection, buffer, back=back)
            changes = buffer.changes()
            index.refresh(buffer.connection, changes)
            not_excluded.touch(buffer.connection, changes)
        if label is None:
            return None
        self._last_change = journal.changed(label, changes)
        return self._last_change

    @contextlib.contextmanager
    def _writing_step(self, label: str) -> Iterator[tuple[TableSession, WriteBuffer]]:
        if self._session is not None:
            raise RuntimeError(f"'{label}' cannot begin while another step or reading is open here.")
        try:
            connection = self._open(write=True)
        except DatabaseError as error:
            raise sqlite_errors.not_saved(error, label) from error
        buffer = WriteBuffer(connection)
        session = self._session = TableSession(connection, buffer)
        try:
            yield session, buffer
            # Not through SQLAlchemy: when a link is broken the transaction must stay open to say which.
            connection.exec_driver_sql("COMMIT")
        except DatabaseError as error:
            raise sqlite_errors.not_saved(error, label, sqlite_errors.broken_link(connection)) from error
        finally:
            self._end(session)

    def _open(self, *, write: bool) -> Connection:
        if self._closed:
            raise RuntimeError("This catalogue was closed.")
        if self._connection is None:
            self._connection = self._engine.connect()
        self._connection.execution_options(**{_BEGIN: "IMMEDIATE" if write else "DEFERRED"})
        try:
            self._connection.begin()
        except BaseException:
            self._connection.close()
            self._connection = None
            raise
        return self._connection

    def _end(self, session: TableSession) -> None:
        """Leave the transaction: what was not committed by now is rolled back."""
        self._session = None
        session.close()
        if self._connection is not None:
            try:
                self._connection.rollback()
            except DatabaseError:  # a dying disk: begin the next time with a new connection
                self._connection.invalidate()
                self._connection.close()
                self._connection = None


def _engine(path: Path) -> Engine:
    def connect() -> sqlite3.Connection:
        # A connection may be closed by another thread than the one it served, never used by two at once.
        return sqlite3.connect(path, timeout=WAIT_S, isolation_level=None, check_same_thread=False)

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def _settle(connection: Any, _record: object) -> None:
        for setting in (
            "journal_mode = WAL",  # a folder that cannot share memory (some network disks) stays in DELETE
            "synchronous = FULL",
            "fullfsync = ON",  # only macOS knows it: a plain flush there stops at the disk's own cache
            "foreign_keys = ON",
            "trusted_schema = OFF",
            "cache_size = -16000",
        ):
            connection.execute(f"PRAGMA {setting}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(f"BEGIN {connection.get_execution_options().get(_BEGIN, 'IMMEDIATE')}")

    return engine


_HEADER = 100
"""Bytes at the beginning of every SQLite file that holds anything (sqlite.org/fileformat2)."""


def _not_emptied(path: Path) -> None:
    """Refuse a catalogue file that is gone or empty where something beside it shows that there was one.

    A folder that only a killed first start left is no such thing: it holds no papers, copies or previews.
    """
    size = path.stat().st_size if path.exists() else 0
    if size >= _HEADER:
        return
    if size:
        raise _emptied(path, "is damaged: it is too short to hold anything")
    traces = _traces(path.parent)
    if any(_holds(log) for log in path.parent.glob(f"{CATALOGUE_FILE}-wal")):
        traces.append("changes that were not yet in it")
    if traces:
        what = "is empty" if path.exists() else "is missing"
        raise _emptied(path, f"{what}, but {' and '.join(traces)} show that there was one")


def _emptied(path: Path, what: str) -> CatalogueRefused:
    copies = sorted((path.parent / COPIES).glob("*.zip"))
    newest = f" The newest safety copy beside it is {copies[-1]}." if copies else ""
    return CatalogueRefused(
        f"The catalogue {what}. Nothing was changed. Open an empty folder as the catalogue and restore a "
        f"safety copy from there (Foray > Safety copies and check).{newest}",
        path=str(path),
    )


def _traces(folder: Path) -> list[str]:
    """What in the folder of a catalogue only one that was in use leaves, in words."""
    found = {
        "its papers": (folder / PAPERS).glob("*"),
        "safety copies": (folder / COPIES).glob("*.zip"),
        "previews of its pictures": (folder / PREVIEWS).glob("*"),
        "a copy from before an update": folder.glob("catalogue-before-*.sqlite"),
    }
    return [words for words, files in found.items() if any(_holds(file) for file in files)]


def _holds(path: Path) -> bool:
    return path.is_dir() or path.stat().st_size > 0


def sweep_beside(folder: Path) -> None:
    """Take away what a killed restoring into `folder`, or a killed copy for an update in it, left behind."""
    for left in folder.parent.glob(f".{glob.escape(folder.name)}-*.part"):
        if left.is_dir() and not left.is_symlink():
            shutil.rmtree(left, ignore_errors=True)
    for left in folder.glob("catalogue-before-*.sqlite.part"):
        with contextlib.suppress(OSError):
            left.unlink()


def _prepare(engine: Engine, path: Path, progress: Callable[[str], None] | None) -> None:
    with engine.connect() as connection:
        if schema.is_empty(connection):
            if traces := _traces(path.parent):
                raise _emptied(path, f"is empty, but {' and '.join(traces)} show that there was one")
            schema.create(connection)
            index.ensure(connection)
            connection.commit()
            sync_folder(path.parent)
            return
        found = schema.revision(connection, path)
        connection.rollback()
        if found != schema.HEAD:
            connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
            schema.migrate(connection, path, progress=progress)
        if not index.is_current(connection):
            (progress or (lambda _words: None))("Making the search index")
            index.ensure(connection)
        connection.commit()
