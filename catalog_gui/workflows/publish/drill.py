"""The drill sheet: pictures of the finds to name, and the answers."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.handout import DrillCard, DrillFacts
from catalog_gui.domain.page import PictureBlock
from catalog_gui.domain.privacy import Reader, scrubbed
from catalog_gui.domain.problem import BadInput
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.hazards import groups_of, worst_named
from catalog_gui.workflows.publish.pictures import further_pictures, plate_panels
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.secrets import secrets_of
from catalog_gui.workflows.publish.words import moment_words

DRILL_PICTURES = 4
DRILL_NAMES = 8


def drill_facts(found: Sequence[Gathered], reader: Reader, press: Press) -> DrillFacts:
    """Pictures of the finds without names, marks or captions; the answers go on the back."""
    if not found:
        raise BadInput("Choose at least one find with pictures.")
    reference = press.reference
    cards = []
    for one in found:
        kept = secrets_of(one, reader, press.person)
        panels = [p for _, p in plate_panels(one, press.pictures, reference.vocabulary, kept)]
        panels += further_pictures(one, press.pictures, reference.vocabulary, kept, most=DRILL_PICTURES)
        different = {hash(p.raster.rgb): p for p in panels if isinstance(p, PictureBlock)}
        pictures = list(different.values())[:DRILL_PICTURES]
        bare = tuple(PictureBlock(p.raster, "", (), p.mm_per_width) for p in pictures)
        now = one.present_name
        judged = weighed(one, press.prepared)
        danger = worst_named(groups_of(one, judged, reference), DRILL_NAMES)
        checks = [check.name for check in judged.weighing.next_checks[:3]]
        cards.append(
            DrillCard(
                bare or ("no picture",),
                one.specimen.number,
                scrubbed(now.display_name, kept) if now is not None else "not named",
                ", ".join(checks),
                danger,
            )
        )
    zone = zone_of(found[0], press)
    return DrillFacts(
        "What is this, and what must be looked at?",
        tuple(cards),
        press.emergency,
        moment_words(press.surroundings.now(), zone, press.date_format),
        press.letter,
    )
