"""A chanterelle-like find keeps the jack-o'-lanterns: folds or gills is one judgement, however often it is written.

The confusion is documented (see confusions.csv); that a beginner takes gills for folds is what leads to it.
"""

from __future__ import annotations

import pytest

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes import Reference
from tests.lookalikes.ready import weigh

FIND = (
    ("whole.form", "fold-bearing"),
    ("gills.kind", "folds"),
    ("gills.attachment", "decurrent"),
    ("cap.colour", "yellow"),
    ("gills.colour", "orange"),
    ("print.colour", "yellow"),
    ("stem.colour", "orange"),
    ("flesh.colour", "yellow"),
    ("smell.kind", "apricot"),
)


def test_form_and_underside_are_one_witness(ours: Reference) -> None:
    assert ours.ties.kin["whole.form"] == ours.ties.kin["gills.kind"]


@pytest.mark.parametrize("count", range(2, len(FIND) + 1))
def test_the_jack_o_lanterns_stay_however_much_is_recorded(ours: Reference, count: int) -> None:
    find = [Evidence(f, "f", f, Standing.SEEN, (s,)) for f, s in FIND[:count]]
    standing = {hazard.taxon.id for hazard in weigh(find, ours).hazards}
    assert {"omphalotus-illudens", "omphalotus-olearius"} <= standing
