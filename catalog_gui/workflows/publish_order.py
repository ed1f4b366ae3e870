"""What is to go out: an order, and the papers it comes to, one at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from catalog_gui.domain.page import Paper
from catalog_gui.domain.privacy import Audience, Reader
from catalog_gui.domain.problem import BadInput, Cancelled
from catalog_gui.workflows.ports import Papers, Work
from catalog_gui.workflows.publish import Gathered, Press, gather_many, sheet_facts

AT_ONCE = 25
"""How many finds are read from the records in one go."""


class Kind(StrEnum):
    """What can go out. The words stand on the page and in the log."""

    SHEET = "Specimen sheet"


EACH_BY_ITSELF = frozenset({Kind.SHEET})
"""Kinds of which every specimen gets its own paper."""


@dataclass(frozen=True, slots=True)
class Order:
    """One thing to hand on: what, of which specimens, for whom, with how much place."""

    kind: Kind
    specimens: tuple[str, ...]
    foray_id: str = ""
    audience: Audience = Audience.MYSELF
    reader: Reader = field(default_factory=Reader)

    @property
    def papers(self) -> int:
        """How many papers it comes to."""
        return len(self.specimens) if self.kind in EACH_BY_ITSELF else min(1, len(self.specimens))

    def needs(self, index: int) -> tuple[str, ...]:
        """The specimens that paper `index` is made of."""
        return (self.specimens[index],) if self.kind in EACH_BY_ITSELF else self.specimens


def make_paper(order: Order, found: Sequence[Gathered], press: Press, makers: Papers) -> Paper:
    """One paper of an order. Decodes pictures: not for the GUI thread."""
    if not found:
        raise BadInput("Choose at least one specimen.")
    return makers.specimen_sheet(sheet_facts(found[0], order.reader, press))


def make_papers(
    order: Order,
    read: Callable[[Callable[[Work], tuple[Gathered, ...]]], tuple[Gathered, ...]],
    press: Press,
    makers: Papers,
    cancelled: Callable[[], bool] = lambda: False,
) -> Iterator[Paper]:
    """Every paper of an order, one at a time; `read` asks the records. Raises Cancelled."""
    if order.kind not in EACH_BY_ITSELF:
        found: list[Gathered] = []
        for start in range(0, len(order.specimens), AT_ONCE):
            found.extend(read(_gathering(order.specimens[start : start + AT_ONCE])))
        yield make_paper(order, found, press, makers)
        return
    for start in range(0, len(order.specimens), AT_ONCE):
        for one in read(_gathering(order.specimens[start : start + AT_ONCE])):
            if cancelled():
                raise Cancelled
            yield make_paper(order, (one,), press, makers)


def _gathering(wanted: tuple[str, ...]) -> Callable[[Work], tuple[Gathered, ...]]:
    return lambda work: gather_many(work, wanted)
