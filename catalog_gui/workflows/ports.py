"""What the workflows need from the hands, as Protocols; the porch hands in the real ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Protocol, TypeVar

from catalog_gui.annotation.marks import Mark
from catalog_gui.domain.emergency import EmergencyFacts
from catalog_gui.domain.evidence import Evidence
from catalog_gui.domain.foray import Clock, Foray, Group, Join, SameAs, Track
from catalog_gui.domain.handout import DrillFacts, HandoutFacts, ReportFacts
from catalog_gui.domain.label_sheet import LabelSheet
from catalog_gui.domain.last_look import LastLook
from catalog_gui.domain.ledger import (
    Changed,
    ForayCount,
    Found,
    FoundOrder,
    FoundPlace,
    HandedOn,
    Reckoned,
    SavedSearch,
    SeasonCount,
    Step,
    TallyLine,
    TaxonNote,
    ToReckon,
)
from catalog_gui.domain.makers_notes import MakersNotes
from catalog_gui.domain.pack_edit import PackStep, RowEdit
from catalog_gui.domain.page import Paper, PictureBlock
from catalog_gui.domain.photo import Photo, Raster
from catalog_gui.domain.problem import Refusal
from catalog_gui.domain.record import Record, Table
from catalog_gui.domain.record_check import Question
from catalog_gui.domain.sheet import SheetFacts
from catalog_gui.domain.specimen import Determination, Specimen, Task
from catalog_gui.domain.struck_out import StruckOut
from catalog_gui.grouping.inputs import Likeness
from catalog_gui.lookalikes.calibration import Calibration
from catalog_gui.lookalikes.reference import Reference

T = TypeVar("T")


class Repository(Protocol[T]):
    """All values of one kind. `put` inserts or replaces by id; `where` matches fields for equality.

    A sequence given to `where` matches any of its members. Order: the order of first insertion,
    except photos (path), steps and times where the table says so. Values are frozen.
    """

    def get(self, key: str) -> T | None: ...
    def all(self) -> tuple[T, ...]: ...
    def where(self, **fields: object) -> tuple[T, ...]: ...
    def count(self, **fields: object) -> int: ...
    def put(self, *values: T) -> None: ...
    def remove(self, *keys: str) -> None: ...


class UnitOfWork(Protocol):
    """One transaction over the records. Reading needs none of the journal; writing goes through `Records.step`."""

    def position(self) -> object:
        """Where the records stand, for `changed_since`; what an open step has changed does not count yet."""
        ...

    def changed_since(self, position: object) -> Mapping[str, frozenset[str]] | None:
        """Name of a kind to the ids that changed since `position`, unsaved changes of this step included.

        None when that cannot be told, or is so much that reading everything again is quicker.
        """
        ...

    @property
    def forays(self) -> Repository[Foray]: ...
    @property
    def photos(self) -> Repository[Photo]: ...
    @property
    def clocks(self) -> Repository[Clock]: ...
    @property
    def groups(self) -> Repository[Group]: ...
    @property
    def joins(self) -> Repository[Join]: ...
    @property
    def same_as(self) -> Repository[SameAs]: ...
    @property
    def tracks(self) -> Repository[Track]: ...
    @property
    def specimens(self) -> Repository[Specimen]: ...
    @property
    def evidence(self) -> Repository[Evidence]: ...
    @property
    def marks(self) -> Repository[Mark]: ...
    @property
    def determinations(self) -> Repository[Determination]: ...
    @property
    def tasks(self) -> Repository[Task]: ...
    @property
    def handed_on(self) -> Repository[HandedOn]: ...
    @property
    def searches(self) -> Repository[SavedSearch]: ...
    @property
    def taxon_notes(self) -> Repository[TaxonNote]: ...
    def struck_out(self, specimen_ids: Sequence[str]) -> Mapping[str, tuple[StruckOut, ...]]:
        """Specimen to its records that were withdrawn or changed since they were made, oldest first."""
        ...


class Records(Protocol):
    """The catalogue. Not shared between threads: `another()` opens it again for another one."""

    def read(self) -> AbstractContextManager[UnitOfWork]:
        """A consistent view; nothing is written."""
        ...

    def step(self, label: str, *, undoable: bool = True) -> AbstractContextManager[UnitOfWork]:
        """One change: all of it is saved together with its undo step when the block ends, or none of it.

        An exception inside rolls everything back. After it, `last_change` says what was touched.
        """
        ...

    @property
    def last_change(self) -> Changed | None: ...
    def undo(self) -> Changed | None:
        """Take back the newest step that is not undone; None when there is none."""
        ...

    def redo(self) -> Changed | None: ...
    def steps(self, limit: int = 50) -> tuple[Step, ...]:
        """Newest first, undone ones included while they can be done again."""
        ...

    def search(
        self, text: str, *, limit: int = 200, offset: int = 0, order: FoundOrder = FoundOrder.NEWEST
    ) -> tuple[Found, ...]: ...
    def search_season(self, text: str) -> tuple[SeasonCount, ...]:
        """What the search has, by year and month."""
        ...

    def search_places(self, text: str) -> tuple[FoundPlace, ...]:
        """The places of everything the search has, newest first; what has no place is left out."""
        ...

    def search_count(self, text: str) -> int:
        """How many specimens `search` has on all its pages."""
        ...

    def search_notes(self, text: str) -> tuple[str, ...]:
        """Sentences about what in the text was not understood."""
        ...

    def season(self, name_or_taxon: str = "") -> tuple[SeasonCount, ...]:
        """Specimens by year and month, of one present name or taxon id or of all."""
        ...

    def tally(self, foray_id: str) -> tuple[TallyLine, ...]:
        """The names of a foray and how many specimens go by each; unnamed ones last."""
        ...

    def foray_counts(self) -> Mapping[str, ForayCount]:
        """Foray id to how many pictures, specimens and names it came to."""
        ...

    def open_tasks(self, *, limit: int = 500) -> tuple[Task, ...]:
        """What is still to be done, by due time."""
        ...

    def not_excluded_asked(self, basis: str, limit: int) -> tuple[ToReckon, ...]:
        """Specimens of which the worst taxon not excluded is not reckoned, or not with this `basis`."""
        ...

    def keep_not_excluded(self, basis: str, found: Sequence[Reckoned]) -> None:
        """Keep what was reckoned. It is no step: nothing of it can be undone."""
        ...

    def another(self) -> Records: ...
    def close(self) -> None: ...


class OwnPack(Protocol):
    """The user's own reference pack: a folder of plain tables. Not for the GUI thread. Raises PackRefused, BadInput.

    A change that the reader would refuse (file, line, column) is not written at all.
    """

    @property
    def folder(self) -> Path:
        """Where the user's tables stand, or will stand once one was written."""
        ...

    def read(self) -> Reference:
        """Ours with the user's on top."""
        ...

    def rows(self, table: str) -> tuple[Mapping[str, str], ...]:
        """The user's rows of one table, cells by column."""
        ...

    def change(
        self, label: str, edits: Iterable[RowEdit], *, at: datetime, place: str = "", after: int = 0
    ) -> Reference:
        """All of the edits as one step, saved before this returns; the reference as it is then."""
        ...

    def steps(self) -> tuple[PackStep, ...]:
        """Newest first."""
        ...

    def undo(self) -> tuple[PackStep, Reference] | None: ...
    def redo(self) -> tuple[PackStep, Reference] | None: ...
    def forget_undone(self) -> None: ...


class Calibrations(Protocol):
    """Keeps what was drawn to set the bars of a reference, by a key of hexadecimal digits. Never raises OSError."""

    def find(self, key: str) -> Calibration | None:
        """Give what was kept under this key; None where there is nothing, or nothing that makes sense."""
        ...

    def keep(self, key: str, calibration: Calibration) -> None:
        """Keep it for the next time, where that is possible."""
        ...


class PictureFiles(Protocol):
    """Picture files on disk. Every call is safe on damaged files: it refuses with a reason, never crashes."""

    def find(self, places: Sequence[str]) -> Iterator[str | Refusal]:
        """Every file below the given folders, or the files themselves, sorted.

        What cannot be listed comes as a refusal.
        """
        ...

    def read(self, path: str) -> Photo | Refusal:
        """Metadata and quick fingerprint of one file; the id of the photo is left ''."""
        ...

    def read_many(
        self, paths: Sequence[str], *, progress: Callable[[int], None], cancelled: Callable[[], bool]
    ) -> Iterable[tuple[str, Photo | Refusal]]:
        """`read` for many files, in order, as fast as the machine allows."""
        ...

    def makers_notes(self, path: str) -> MakersNotes:
        """What the maker's own notes add. Takes some ten milliseconds. Raises PictureRefused."""
        ...

    def content_hash(self, path: str) -> str:
        """SHA-256 of the whole file in hex. Raises PictureRefused."""
        ...

    def exists(self, path: str) -> bool:
        """Whether the file can still be reached."""
        ...

    def tracks(self, path: str) -> tuple[Track, ...]:
        """The walks of one GPX file, ids left ''. Raises Problem with the reason."""
        ...


class Pictures(Protocol):
    """Pixels of picture files, always upright. Called from worker threads. Raises PictureRefused."""

    def first_look(self, photo: Photo, edge: int) -> Raster | None:
        """Something to show at once (a kept or embedded preview), longer side near `edge`; None when there is none."""
        ...

    def look(self, photo: Photo, edge: int) -> Raster:
        """A sharp picture whose longer side is at most `edge`; kept for the next time."""
        ...

    def whole(self, photo: Photo, most_pixels: int = 60_000_000) -> Raster:
        """The picture itself, reduced only when it has more than `most_pixels`."""
        ...

    def piece(self, photo: Photo, box: tuple[float, float, float, float], edge: int) -> Raster:
        """The part inside box (left, top, right, bottom in upright full-size pixels), longer side at most `edge`."""
        ...

    def try_again(self, photo: Photo) -> None:
        """Decode a picture again that was left alone because the program ended over it (PictureSuspected)."""
        ...


class Papers(Protocol):
    """Makes papers, as page data, of facts that are already as coarse as their reader may know them."""

    @property
    def folder(self) -> Path:
        """Where papers go when the user says nothing else."""
        ...

    def tidy(self, folder: Path) -> None:
        """Remove what a kill left half written in a folder, and in the usual one: only our own, only stale."""
        ...

    def looking(self, look: LastLook) -> Callable[[Path], None]:
        """What reads a finished file once more, PDF too, and raises PlacesLeft; can be pickled."""
        ...

    def specimen_sheet(self, facts: SheetFacts) -> Paper: ...
    def emergency_page(self, facts: EmergencyFacts) -> Paper: ...
    def handout(self, facts: HandoutFacts) -> Paper: ...
    def drill(self, facts: DrillFacts) -> Paper: ...
    def foray_report(self, facts: ReportFacts) -> Paper: ...
    def labels(self, records: Sequence[Record], sheet: LabelSheet, *, code: bool, skip: int) -> Paper: ...
    def folded_packet(self, record: Record, *, letter: bool, code: bool) -> Paper: ...
    def determination_slips(self, records: Sequence[Record], *, letter: bool, code: bool) -> Paper: ...
    def number_slips(self, numbers: Sequence[str], *, letter: bool, code: bool) -> Paper: ...
    def records_paper(
        self, records: Sequence[Record], asked: Sequence[Question], *, letter: bool
    ) -> Paper: ...
    def pictures_paper(
        self, pictures: Sequence[PictureBlock | str], words: Sequence[str], *, letter: bool
    ) -> Paper: ...
    def clean_copy(self, raster: Raster, author: str, licence: str, *, edge: int) -> bytes:
        """A JPEG of the pixels with author and licence and nothing else. Raises BadInput if anything remains."""
        ...

    def write_pictures(
        self,
        copies: Iterable[tuple[str, bytes]],
        target: Path,
        *,
        look: LastLook | None = None,
        progress: Callable[[int], None],
        cancelled: Callable[[], bool],
    ) -> int:
        """A new folder of files, whole or not at all; how many there are."""
        ...

    def read_table(self, path: Path) -> Table:
        """An old spreadsheet (CSV, XLSX) as text. Raises BadInput with the reason."""
        ...

    def write_table(
        self, records: Sequence[Record], target: Path, *, replace: bool, look: LastLook | None = None
    ) -> int:
        """A spreadsheet: .xlsx by its name, else CSV; how many records it holds."""
        ...

    def write_archive(
        self,
        records: Sequence[Record],
        images: Iterable[tuple[str, str, bytes]],
        target: Path,
        *,
        author: str,
        licence: str,
        made_on: date,
        identifier: str,
        status: str,
        replace: bool,
        look: LastLook | None = None,
        progress: Callable[[int], None],
        cancelled: Callable[[], bool],
    ) -> int:
        """A Darwin Core Archive; `images` are (occurrenceID, file name, JPEG). How many records it holds."""
        ...


class Upkeep(Protocol):
    """Safety copies, restoring and the check. Calls take their time: never in the GUI thread. Raise Problem."""

    @property
    def copies(self) -> Path: ...
    def copy_now(
        self,
        target: Path,
        *,
        pictures: bool,
        progress: Callable[[int, int], None],
        cancelled: Callable[[], bool],
    ) -> str: ...
    def copy_when_due(self, folder: Path, *, now: datetime, days: int) -> str: ...
    def restore(
        self,
        archive: Path,
        folder: Path,
        *,
        progress: Callable[[int, int], None],
        cancelled: Callable[[], bool],
    ) -> str: ...
    def check(
        self, *, progress: Callable[[int, int], None], cancelled: Callable[[], bool]
    ) -> tuple[str, tuple[tuple[str, str], ...]]: ...
    def find_moved(
        self,
        folders: Sequence[Path],
        *,
        progress: Callable[[int, int], None],
        cancelled: Callable[[], bool],
    ) -> str: ...
    def take_moved(self) -> Changed | None: ...


class MarksOut(Protocol):
    """Files that carry marks and marked pictures. Raises BadInput with the path for what cannot be read or written.

    Files appear whole or not at all; an existing one is replaced only when `replace` says so.
    """

    def neighbours(self, picture: str) -> tuple[str, ...]:
        """Names of the files in the folder of a picture; empty where it cannot be listed."""
        ...

    def read_text(self, path: str) -> str: ...
    def write_text(self, path: str, text: str, *, replace: bool) -> None: ...
    def write_picture(self, path: str, raster: Raster, *, replace: bool) -> None:
        """PNG or JPEG by the ending of the name, with pixels and nothing else."""
        ...

    def jpeg(self, raster: Raster) -> bytes:
        """The pixels as JPEG, without any metadata."""
        ...


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What makes a workflow depend on the moment: the clock and new ids, handed in so that tests can fix them.

    `likeness` compares pictures whose previews are at hand by now; None to sort by time and place alone.
    """

    now: Callable[[], datetime]
    new_id: Callable[[], str]
    likeness: Likeness | None = None
