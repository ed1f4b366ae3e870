"""Reads lengths that are typed for a scale."""

from __future__ import annotations

from catalog_gui.domain.figures_typed import in_unit, read_size
from catalog_gui.domain.problem import BadInput


def typed_length(text: str) -> float:
    """A length as typed ('25.75', '3 cm', '100 µm') in millimetres. Raises BadInput."""
    found = read_size(text)
    if found is None or found[0] or len(found[1]) != 1 or found[1][0].low != found[1][0].high:
        raise BadInput(f"'{text.strip()}' is no length; write for example '50 mm' or '100 µm'.")
    span = found[1][0]
    length = in_unit(span.low, span.unit or "mm", "mm")
    if length <= 0:
        raise BadInput("The known length of a scale must be larger than zero.")
    return length
