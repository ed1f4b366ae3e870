"""References made ready once for all tests, and `weigh` for tests that have a reference in hand."""

from __future__ import annotations

from typing import Any

from catalog_gui.domain.evidence import Evidence
from catalog_gui.lookalikes import PreparedReference, Reference, Weighing, prepare
from catalog_gui.lookalikes import weigh as weigh_prepared

_READY: dict[int, PreparedReference] = {}


def ready(reference: Reference) -> PreparedReference:
    """The reference made ready, the same for the same object."""
    made = _READY.get(id(reference))
    if made is None:  # the value keeps its reference, so the id is not given away again
        made = _READY[id(reference)] = prepare(reference)
    return made


def weigh(evidence: list[Evidence], reference: Reference, **more: Any) -> Weighing:
    """Weigh with the reference made ready."""
    return weigh_prepared(evidence, ready(reference), **more)
