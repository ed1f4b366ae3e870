"""Sorting: from photos of one foray to clocks, places, joins and groups. The front door is `propose`."""

from catalog_gui.grouping.engine import propose, propose_near
from catalog_gui.grouping.photo_rows import PhotoRows
from catalog_gui.grouping.proposal import Proposal
from catalog_gui.grouping.proposed import is_doubtful
from catalog_gui.grouping.terms import Held, Likeness, Question, Remark

__all__ = [
    "Held",
    "Likeness",
    "PhotoRows",
    "Proposal",
    "Question",
    "Remark",
    "is_doubtful",
    "propose",
    "propose_near",
]
