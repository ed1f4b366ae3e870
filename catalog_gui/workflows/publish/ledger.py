"""What left the house is noted down."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.ledger import HandedOn
from catalog_gui.workflows.ports import Surroundings, UnitOfWork


def handed_on(
    work: UnitOfWork,
    surroundings: Surroundings,
    *,
    what: str,
    to_whom: str,
    precision: str,
    specimens: Sequence[str],
    target: str,
) -> None:
    """Note down what left the house, to whom, with how much place."""
    entry = HandedOn(
        surroundings.new_id(), surroundings.now(), what, to_whom, precision, tuple(specimens), target
    )
    work.handed_on.put(entry)
