"""The front door of the papers, as the ports know it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import partial
from pathlib import Path

from catalog_gui.domain.emergency import EmergencyFacts
from catalog_gui.domain.handout import DrillFacts, HandoutFacts, ReportFacts
from catalog_gui.domain.label_sheet import LabelSheet
from catalog_gui.domain.last_look import LastLook
from catalog_gui.domain.page import Paper, PictureBlock
from catalog_gui.domain.photo import Raster
from catalog_gui.domain.problem import Cancelled
from catalog_gui.domain.record import Record, Table
from catalog_gui.domain.record_check import Question
from catalog_gui.domain.sheet import SheetFacts
from catalog_gui.outputs import (
    darwin_core,
    emergency,
    labels,
    lists,
    report,
    specimen_sheet,
    spreadsheet,
    teaching,
)
from catalog_gui.outputs.finished import look_at
from catalog_gui.outputs.safe_picture import Credit, safe_jpeg
from catalog_gui.outputs.table_reader import read_table
from catalog_gui.outputs.whole_file import tidy, whole_folder

DESCRIPTION = (
    "Records of fungi from a foray. Names are opinions of the day with their history; doubt stands in "
    "identificationQualifier. Places that were made coarse say so in dataGeneralizations and "
    "informationWithheld: they are centres of grid squares, never shifted at random."
)


class PaperMaker:
    """Makes papers of facts. `folder` is where papers go when the user says nothing else."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def tidy(self, folder: Path) -> None:
        """Remove what a kill left half written in a folder, and in the usual one."""
        for one in {folder, self.folder}:
            tidy(one)

    def looking(self, look: LastLook) -> Callable[[Path], None]:
        """Reads a finished file once more; can be handed to another process."""
        return partial(look_at, look)

    def specimen_sheet(self, facts: SheetFacts) -> Paper:
        """One specimen on one paper."""
        return specimen_sheet.specimen_sheet(facts)

    def emergency_page(self, facts: EmergencyFacts) -> Paper:
        """One find for a poison service, on one side."""
        return emergency.emergency_page(facts)

    def handout(self, facts: HandoutFacts) -> Paper:
        """Lookalikes side by side."""
        return teaching.handout(facts)

    def drill(self, facts: DrillFacts) -> Paper:
        """Pictures without names, answers on the back."""
        return teaching.drill(facts)

    def foray_report(self, facts: ReportFacts) -> Paper:
        """What was found, for the landowner or the group."""
        return report.foray_report(facts)

    def labels(self, records: Sequence[Record], sheet: LabelSheet, *, code: bool, skip: int) -> Paper:
        """Packet labels on a sheet of labels."""
        return labels.labels(records, sheet, code=code, skip=skip)

    def folded_packet(self, record: Record, *, letter: bool, code: bool) -> Paper:
        """A sheet that folds into a packet."""
        return labels.folded_packet(record, letter=letter, code=code)

    def determination_slips(self, records: Sequence[Record], *, letter: bool, code: bool) -> Paper:
        """A slip for every name given."""
        return labels.determination_slips(records, letter=letter, code=code)

    def number_slips(self, numbers: Sequence[str], *, letter: bool, code: bool) -> Paper:
        """Numbers for the next foray."""
        return labels.number_slips(numbers, letter=letter, code=code)

    def records_paper(self, records: Sequence[Record], asked: Sequence[Question], *, letter: bool) -> Paper:
        """The check before sending, on paper."""
        return lists.records_paper(records, asked, letter=letter)

    def pictures_paper(
        self, pictures: Sequence[PictureBlock | str], words: Sequence[str], *, letter: bool
    ) -> Paper:
        """The pictures that go out, on paper."""
        return lists.pictures_paper(pictures, words, letter=letter)

    def clean_copy(self, raster: Raster, author: str, licence: str, *, edge: int) -> bytes:
        """A JPEG of the pixels with author and licence and nothing else."""
        return safe_jpeg(raster, Credit(author, licence), edge=edge)

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
        count = 0
        with whole_folder(target, look=look) as draft:
            for name, data in copies:
                if cancelled():
                    raise Cancelled
                (draft / name).write_bytes(data)
                count += 1
                progress(count)
        return count

    def read_table(self, path: Path) -> Table:
        """An old spreadsheet (CSV, XLSX) as text."""
        return read_table(path)

    def write_table(
        self, records: Sequence[Record], target: Path, *, replace: bool, look: LastLook | None = None
    ) -> int:
        """A spreadsheet: .xlsx by its name, else CSV; how many records it holds."""
        write = spreadsheet.write_xlsx if target.suffix.casefold() == ".xlsx" else spreadsheet.write_csv
        return write(records, target, replace=replace, look=look)

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
        """A Darwin Core Archive; how many records it holds."""
        about = darwin_core.DataSet(
            "Fungi from a foray", author, licence, made_on, identifier, DESCRIPTION, status
        )
        made = (
            darwin_core.Image(occurrence, name, data, name.removesuffix(".jpg"), author, licence)
            for occurrence, name, data in images
        )
        return darwin_core.write_archive(
            records, made, target, about, replace=replace, look=look, progress=progress, cancelled=cancelled
        )
