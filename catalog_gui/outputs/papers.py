"""The front door of the papers, as the ports know it."""

from __future__ import annotations

from pathlib import Path

from catalog_gui.domain.page import Paper
from catalog_gui.domain.sheet import SheetFacts
from catalog_gui.outputs.specimen_sheet import specimen_sheet


class PaperMaker:
    """Makes papers of facts. `folder` is where papers go when she says nothing else."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def specimen_sheet(self, facts: SheetFacts) -> Paper:
        """One specimen on one paper."""
        return specimen_sheet(facts)
