"""What an emergency page is made of: one find, for a poison service or hospital."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.domain.page import PictureBlock
from catalog_gui.domain.sheet import HazardWords


@dataclass(frozen=True, slots=True)
class EmergencyFacts:
    """Everything on one emergency page. It holds place and people only where they were chosen for it.

    `numbers` are those to call, never empty; `named` the names given, with their doubt; `fields` label and
    value; `hazards` at most eight lines; `seen` what was recorded, `not_looked_at` which of ring, base, gills
    and spore print nobody looked at.
    """

    number: str
    named: str
    fields: tuple[tuple[str, str], ...]
    pictures: tuple[PictureBlock | str, ...]
    hazards: tuple[HazardWords, ...]
    seen: str
    not_looked_at: str
    numbers: tuple[str, ...]
    printed_on: str
    letter: bool = False
