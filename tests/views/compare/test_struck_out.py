"""What was struck out goes on holding hazards in, and the banner says so and shows which record it is."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QLabel, QMessageBox, QPushButton
from pytestqt.qtbot import QtBot

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Part
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.views.bench import Bench
from catalog_gui.views.compare.page import ComparePage
from catalog_gui.workflows.weigh_find import weigh_find

PATIENCE = 30_000
SEEN = Standing.SEEN
FINDS = {
    "chanterelle-like": [
        ("whole.form", SEEN, ("fold-bearing",)),
        ("cap.colour", SEEN, ("yellow",)),
        ("gills.kind", SEEN, ("folds",)),
        ("gills.attachment", SEEN, ("decurrent",)),
    ]
}
"""As the bench of these tests has it."""
Show = Callable[[str], None]
REST = [
    ("gills.colour", "orange"),
    ("print.colour", "yellow"),
    ("stem.colour", "orange"),
    ("flesh.colour", "yellow"),
]


UNSTEADY = frozenset({Part.PLACE, Part.SEASON, Part.SMELL, Part.TASTE})


def holding(reference: Reference, bench: Bench) -> Evidence:
    """A record that alone holds something dangerous in, beside the find and the rest."""
    find = [Evidence(f, "", f, standing, states) for f, standing, states in FINDS["chanterelle-like"]]
    rest = [*find, *(Evidence(f, "", f, Standing.SEEN, (s,)) for f, s in REST)]
    without = {h.taxon.id for h in weigh_find(rest, bench.prepare(reference)).weighing.hazards}
    known = {evidence.feature for evidence in rest}
    for feature in reference.vocabulary.features:
        if feature.kind != "states" or feature.id in known or feature.part in UNSTEADY:
            continue
        for state in reference.vocabulary.states_of(feature.id):
            extra = Evidence("extra", "chanterelle-like", feature.id, Standing.SEEN, (state.id,))
            held = weigh_find([*rest, extra], bench.prepare(reference)).weighing.hazards
            if {h.taxon.id for h in held} - without:
                return extra
    raise AssertionError("None of these holds anything in.")


def test_a_record_struck_out_is_named_in_the_banner(
    page: ComparePage,
    bench: Bench,
    reference: Reference,
    show: Show,
    settle: Callable[[], None],
    qtbot: QtBot,
) -> None:
    show("chanterelle-like")
    rows = [Evidence(f"x{n}", "chanterelle-like", f, Standing.SEEN, (s,)) for n, (f, s) in enumerate(REST)]
    extra = holding(reference, bench)
    bench.do("Recorded", lambda work: work.evidence.put(*rows, extra))
    settle()
    before = {line.taxon.id for line in page.comparison.hazards}
    which = page.findChild(QPushButton, "hazard-struck-out")
    assert which is not None
    assert not which.isVisible()
    assert not page.comparison.struck
    bench.do("Cleared", lambda work: work.evidence.remove("extra"))
    settle()
    assert before <= {line.taxon.id for line in page.comparison.hazards}
    struck = page.comparison.struck
    assert [line.feature for line in struck] == [extra.feature]
    assert struck[0].holds
    headline = page.banner.findChild(QLabel, "hazard-headline")
    assert headline is not None
    assert "only because of a record you struck out" in headline.text()
    line = next(h for h in page.comparison.hazards if h.taxon.name == struck[0].holds[0])
    assert "stands only by a record that was struck out (" in line.why
    assert which.isVisible()
    which.click()
    box = page.findChild(QMessageBox, "struck-out-box")
    assert box is not None
    assert "struck out on 18 October 2025" in box.informativeText()
    assert struck[0].holds[0] in box.informativeText()
    box.close()
    bench.undo()
    settle()
    qtbot.waitUntil(lambda: page.comparison.struck == (), timeout=PATIENCE)
    assert not which.isVisible()
