"""Remembers what is worked on, and carries what one page asks of another."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal


class Session(QObject):
    """The foray and the specimen that the pages show, and wishes that go from page to page."""

    foray_chosen = Signal(str)
    specimen_chosen = Signal(str)
    take_in_wanted = Signal(list, str)  # places ([] to ask for a folder), the foray they join or ''
    page_wanted = Signal(str)  # 'sort', 'describe', 'compare', 'outputs', 'catalogue'
    feature_wanted = Signal(str)  # go to this feature on Describe
    paper_wanted = Signal(str, list, list)  # kind of paper (publish.order.Kind), specimens, names of taxa
    looks_ready = Signal(str, object)  # a foray taken in, and where the records stood then

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.foray_id = ""
        self.specimen_id = ""

    def choose_foray(self, foray_id: str) -> None:
        """Make this the foray that Sort shows."""
        if foray_id != self.foray_id:
            self.foray_id = foray_id
            self.foray_chosen.emit(foray_id)

    def choose_specimen(self, specimen_id: str) -> None:
        """Make this the specimen that Describe, Compare and Hand on show."""
        if specimen_id != self.specimen_id:
            self.specimen_id = specimen_id
            self.specimen_chosen.emit(specimen_id)
