"""What is to go out: an order, and the papers it comes to, one at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from catalog_gui.domain.label_sheet import LABEL_SHEETS, LabelSheet
from catalog_gui.domain.page import Paper
from catalog_gui.domain.privacy import Audience, Reader
from catalog_gui.domain.problem import Cancelled
from catalog_gui.domain.record import Record
from catalog_gui.domain.sheet import Precision
from catalog_gui.workflows.ports import Papers, UnitOfWork
from catalog_gui.workflows.publish.drill import drill_facts
from catalog_gui.workflows.publish.emergency import emergency_facts
from catalog_gui.workflows.publish.gathered import Gathered, gather_many
from catalog_gui.workflows.publish.handout import handout_facts
from catalog_gui.workflows.publish.press import Press
from catalog_gui.workflows.publish.records import record_of
from catalog_gui.workflows.publish.report import report_facts
from catalog_gui.workflows.publish.sheet import sheet_facts

AT_ONCE = 25
"""How many finds are read from the records in one go."""


Question = Callable[[UnitOfWork], tuple[Gathered, ...]]
Read = Callable[[Question], tuple[Gathered, ...]]
"""Asks the records, in whatever thread and transaction the caller has."""


class Kind(StrEnum):
    """What can go out. The words stand on the page and in the log."""

    SHEET = "Specimen sheet"
    EMERGENCY = "Emergency page"
    HANDOUT = "Lookalike handout"
    DRILL = "Drill sheet"
    LABELS = "Packet labels"
    PACKET = "Folded packet"
    SLIPS = "Determination slips"
    NUMBERS = "Number slips"
    OWNER = "Foray report for the landowner"
    GROUP = "Foray report for the group"
    ARCHIVE = "Records as a Darwin Core Archive"
    TABLE = "Records as a spreadsheet"
    PICTURES = "Pictures for others"


EACH_BY_ITSELF = frozenset({Kind.SHEET, Kind.EMERGENCY, Kind.PACKET})
"""Kinds of which every specimen gets its own paper."""
PLACELESS = frozenset({Kind.DRILL, Kind.SLIPS, Kind.NUMBERS, Kind.PICTURES})
"""Kinds on which no place stands, whatever is chosen."""
FILES = frozenset({Kind.ARCHIVE, Kind.TABLE, Kind.PICTURES})
"""Kinds that are no papers; their preview shows what goes into the files."""


@dataclass(frozen=True, slots=True)
class Order:
    """One thing to hand on: what, of which specimens, for whom, with how much place."""

    kind: Kind
    specimens: tuple[str, ...]
    foray_id: str = ""
    audience: Audience = Audience.MYSELF
    reader: Reader = field(default_factory=Reader)
    taxa: tuple[str, ...] = ()  # laid beside the finds of a handout
    labels: LabelSheet = LABEL_SHEETS[0]
    skip: int = 0  # labels used already on the first sheet
    code: bool = True
    numbers: tuple[str, ...] = ()
    author: str = ""
    licence: str = ""
    marks: bool = False
    edge: int = 1600  # longest side of a picture in px; 0: as it is
    with_pictures: bool = False  # in the archive
    status: str = "present"  # the archive's word for 'found'

    @property
    def papers(self) -> int:
        """How many papers it comes to."""
        match self.kind:
            case kind if kind in EACH_BY_ITSELF:
                return len(self.specimens)
            case Kind.NUMBERS:
                return min(1, len(self.numbers))
            case Kind.HANDOUT:
                return min(1, len(self.specimens) + len(self.taxa))
            case _:
                return min(1, len(self.specimens))

    def needs(self, index: int) -> tuple[str, ...]:
        """The specimens that paper `index` is made of."""
        if self.kind is Kind.NUMBERS:
            return ()
        return (self.specimens[index],) if self.kind in EACH_BY_ITSELF else self.specimens


def emergency_order(specimen_id: str, *, place: bool = False, people: bool = False) -> Order:
    """The emergency page of one find: free of place and people unless they are wanted on it."""
    precision = Precision.EXACT if place else Precision.HIDDEN
    reader = Reader(precision, names=people, site=place, deliberate=place)
    return Order(Kind.EMERGENCY, (specimen_id,), audience=Audience.HOSPITAL, reader=reader)


def make_paper(order: Order, found: Sequence[Gathered], press: Press, makers: Papers) -> Paper:
    """One paper of an order. Decodes pictures: not for the GUI thread."""
    reader = order.reader
    match order.kind:
        case Kind.NUMBERS:
            return makers.number_slips(order.numbers, letter=press.letter, code=order.code)
        case Kind.HANDOUT:
            return makers.handout(handout_facts(found, order.taxa, reader, press))
        case Kind.DRILL:
            return makers.drill(drill_facts(found, reader, press))
        case Kind.OWNER | Kind.GROUP:
            owner = order.kind is Kind.OWNER
            return makers.foray_report(report_facts(found, reader, press, owner=owner))
        case Kind.SHEET:
            return makers.specimen_sheet(sheet_facts(found[0], reader, press))
        case Kind.EMERGENCY:
            return makers.emergency_page(emergency_facts(found[0], reader, press))
        case _:
            records = tuple(record_of(one, reader, press, facts=False) for one in found)
            return _small_paper(order, records, press, makers)


def _small_paper(order: Order, records: Sequence[Record], press: Press, makers: Papers) -> Paper:
    if order.kind is Kind.LABELS:
        return makers.labels(records, order.labels, code=order.code, skip=order.skip)
    if order.kind is Kind.PACKET:
        return makers.folded_packet(records[0], letter=press.letter, code=order.code)
    return makers.determination_slips(records, letter=press.letter, code=order.code)


def gather_all(order: Order, read: Read) -> tuple[Gathered, ...]:
    """Everything an order that is one paper, or files, is made of."""
    wanted = order.needs(0) if order.specimens else ()
    found: list[Gathered] = []
    for start in range(0, len(wanted), AT_ONCE):
        found.extend(read(_gathering(wanted[start : start + AT_ONCE])))
    return tuple(found)


def make_papers(
    order: Order,
    read: Read,
    press: Press,
    makers: Papers,
    cancelled: Callable[[], bool] = lambda: False,
) -> Iterator[Paper]:
    """Every paper of an order, one at a time; `read` asks the records. Raises Cancelled."""
    if order.kind not in EACH_BY_ITSELF:
        yield make_paper(order, gather_all(order, read), press, makers)
        return
    for start in range(0, len(order.specimens), AT_ONCE):
        for one in read(_gathering(order.specimens[start : start + AT_ONCE])):
            if cancelled():
                raise Cancelled
            yield make_paper(order, (one,), press, makers)


def _gathering(wanted: tuple[str, ...]) -> Question:
    return lambda work: gather_many(work, wanted)
