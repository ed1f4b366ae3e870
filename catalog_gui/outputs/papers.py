"""The front door of the papers, as the ports know it."""

from __future__ import annotations

from catalog_gui.domain.page import Paper
from catalog_gui.domain.sheet import SheetFacts
from catalog_gui.outputs.specimen_sheet import specimen_sheet


class PaperMaker:
    """Makes papers of facts."""

    def specimen_sheet(self, facts: SheetFacts) -> Paper:
        """One specimen on one paper."""
        return specimen_sheet(facts)
