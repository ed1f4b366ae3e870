"""Sorting: from photos of one foray to clocks, places, joins and groups. The front door is `propose`."""

from catalog_gui.grouping.engine import propose, propose_near
from catalog_gui.grouping.inputs import ClockQuestion, Held, Likeness, Remark
from catalog_gui.grouping.photo_rows import PhotoRows
from catalog_gui.grouping.proposal import Proposal
from catalog_gui.grouping.proposed import is_doubtful

__all__ = [
    "ClockQuestion",
    "Held",
    "Likeness",
    "PhotoRows",
    "Proposal",
    "Remark",
    "is_doubtful",
    "propose",
    "propose_near",
]
