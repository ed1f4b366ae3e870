"""The worst taxon not excluded stands in the list of every specimen, weighed in the background."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.ledger import Found, WorstNotExcluded
from catalog_gui.itemmodels.found_table import WORST
from catalog_gui.presenting.catalogue.words import worst_in_full, worst_words
from catalog_gui.views.bench import Bench
from catalog_gui.views.catalogue.page import CataloguePage

PATIENCE = 60_000


def found(worst: WorstNotExcluded | None) -> Found:
    return Found("s", "1", "", "", None, 0, "", worst=worst)


def test_words_never_read_as_a_clearance() -> None:
    assert worst_words(found(None)) == "not weighed yet"
    assert worst_words(found(WorstNotExcluded())) == "none listed fits: no clearance"
    assert "no clearance" in worst_in_full(found(WorstNotExcluded()))
    deadly = found(WorstNotExcluded("fatal", "Amanita virosa", 3, 40))
    assert worst_words(deadly) == "3 can kill: Amanita virosa"
    assert worst_in_full(deadly) == (
        "DANGER: Amanita virosa can kill. 40 dangerous taxa are not excluded; 3 of them can kill."
    )
    serious = found(WorstNotExcluded("serious", "Amanita muscaria", 0, 4))
    assert worst_words(serious) == "4: Amanita muscaria"


def test_column_fills_in_and_follows_the_records(
    page: CataloguePage, bench: Bench, settle: Callable[[CataloguePage], None], qtbot: QtBot
) -> None:
    def words(key: str) -> str:
        row = page.model.row_of(key)
        return str(page.model.index(row, WORST).data(Qt.ItemDataRole.DisplayRole)) if row >= 0 else ""

    qtbot.waitUntil(lambda: "can kill: " in words("s1"), timeout=PATIENCE)
    assert "can kill: " in words("s2")  # nobody named it
    before = page.model.found(page.model.row_of("s2"))
    rows = [
        Evidence("n1", "s2", "gills.kind", Standing.SEEN, ("pores",)),
        Evidence("n2", "s2", "whole.form", Standing.SEEN, ("bolete",)),
        Evidence("n3", "s2", "flesh.change", Standing.SEEN, ("blue",)),
    ]
    bench.do("Recorded", lambda work: work.evidence.put(*rows))
    qtbot.waitUntil(
        lambda: (
            (now := page.model.found(page.model.row_of("s2"))) is not None
            and now.worst is not None
            and before is not None
            and now.worst != before.worst
        ),
        timeout=PATIENCE,
    )
