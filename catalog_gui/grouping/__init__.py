"""Sorting: from photos of one foray to clocks, places, joins and groups. The front door is `propose`."""

from catalog_gui.grouping.engine import propose
from catalog_gui.grouping.proposal import Held, Likeness, Proposal, Question, Remark

__all__ = ["Held", "Likeness", "Proposal", "Question", "Remark", "propose"]
