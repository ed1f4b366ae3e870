"""In what order checks are offered: what every course on deadly fungi begins with, then gain for cost.

Base, underside, ring and spore print come first while nobody has looked at them and a taxon that can kill
is not excluded (common teaching on the deadly agarics, no single source): a name that the figures favour is no
reason to leave the base in the soil. The microscope comes last: few have one in the field.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.lookalikes.implied_form import UNDERSIDE, implied_forms
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.why_line import KEY_TO_THE_DEADLY

FIRST_PARTS = (Part.BASE, Part.GILLS, Part.RING, Part.PRINT)
"""What is looked at first, in the order in which it can be: dug out, turned over, looked at, left overnight."""

LAST = frozenset({"microscope"})


def in_field_order(
    offered: Sequence[tuple[Feature, float]],
    reference: Reference,
    by_feature: Mapping[str, Evidence],
    *,
    deadly_stand: bool,
    least: float = 0.0,
) -> list[Feature]:
    """Put checks with their value, which stand by gain for cost, into the order in which to offer them.

    `by_feature` are the records; `deadly_stand`: a taxon that can kill is not excluded. Of each part that
    nobody looked at one check comes to the front, whatever its value; others worth `least` or less go.
    """
    first = _first_looks(offered, reference, by_feature, least) if deadly_stand else []
    rest = [feature for feature, value in offered if value > least and feature not in first]
    field = [feature for feature in rest if feature.cost not in LAST]
    return [*first, *field, *(feature for feature in rest if feature.cost in LAST)]


def _first_looks(
    offered: Sequence[tuple[Feature, float]],
    reference: Reference,
    by_feature: Mapping[str, Evidence],
    least: float,
) -> list[Feature]:
    looked_at = {
        known.part
        for key, one in by_feature.items()
        if one.standing is not Standing.NOT_LOOKED_AT and (known := reference.vocabulary.feature(key))
    }
    form_known = bool(implied_forms(by_feature.values(), reference))
    keys = KEY_TO_THE_DEADLY if form_known else (UNDERSIDE, *KEY_TO_THE_DEADLY)
    first = []
    for part in FIRST_PARTS:
        here = [(f, value) for f, value in offered if f.part is part and f.cost not in LAST]
        if part in looked_at or not here:
            continue
        telling = [feature for feature, value in here if value > least] or [here[0][0]]
        first.append(next((f for key in keys for f in telling if f.id == key), telling[0]))
    return first
