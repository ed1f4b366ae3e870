"""The emergency page: one find on one printed side, for whoever has to act after a meal.

`emergency_facts` are the page's data. `order.emergency_order` makes the order of one find, which previews,
saves and prints like every other paper; a page of the window asks for it with
`bench.paper_wanted.emit(Kind.EMERGENCY.value, [specimen id], [])`.
"""

from __future__ import annotations

from catalog_gui.domain.emergency import EmergencyFacts
from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.first_aid import NO_NUMBER
from catalog_gui.domain.page import PictureBlock
from catalog_gui.domain.privacy import Reader, Secrets, scrubbed
from catalog_gui.domain.sheet import Precision
from catalog_gui.lookalikes.hazard_groups import HazardGroup
from catalog_gui.lookalikes.parting import VITAL
from catalog_gui.lookalikes.why_line import plain_name
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.hazards import group_lines, groups_of
from catalog_gui.workflows.publish.pictures import further_pictures, plate_panels
from catalog_gui.workflows.publish.places import place_words, precision_of, region_for, site_of
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.secrets import secrets_of
from catalog_gui.workflows.publish.words import evidence_words, moment_words

MOST_PICTURES = 3
MOST_NAMES = 2
_FIRST = ("whole", "base", "gills", "cap")


def emergency_facts(found: Gathered, reader: Reader, press: Press) -> EmergencyFacts:
    """Make the page's data. Place and people stand on it only as far as `reader` says. Decodes pictures."""
    specimen, reference = found.specimen, press.reference
    kept = secrets_of(found, reader, press.person)
    zone = zone_of(found, press)
    judged = weighed(found, press.prepared)
    groups = groups_of(found, judged, reference)
    placed = reader.site or reader.precision is not Precision.HIDDEN
    fields = (
        ("Collected", moment_words(specimen.collected_at, zone, press.date_format)),
        ("Region", region_for(found, reader).words if placed else ""),
        ("Place", place_words(specimen, precision_of(found, reader), press.notation)[0] if placed else ""),
        ("Site", site_of(found) if reader.site else ""),
        ("Collector", specimen.collector if reader.names else ""),
        ("Grew on", scrubbed(specimen.substrate, kept)),
        ("With", scrubbed(specimen.associated_taxa, kept)),
        ("Notes", scrubbed(specimen.note, kept) if reader.notes else ""),
    )
    return EmergencyFacts(
        number=specimen.number,
        named=_named(found, kept, names=reader.names),
        fields=tuple((label, value) for label, value in fields if value),
        pictures=_pictures(found, press, kept),
        hazards=group_lines(groups, most=MOST_NAMES, harm=False),
        seen=_seen(found, press, kept),
        not_looked_at=_not_looked_at(found, groups, press),
        numbers=numbers_of(press),
        printed_on=moment_words(press.surroundings.now(), zone, press.date_format),
        letter=press.letter,
    )


def numbers_of(press: Press) -> tuple[str, ...]:
    """The numbers to call: those that were typed in, and 112 where no emergency number was."""
    typed = any(line.startswith("Emergency") for line in press.emergency)
    return press.emergency if typed else (NO_NUMBER, *press.emergency)


def _named(found: Gathered, kept: Secrets, *, names: bool) -> str:
    """The name it bears now and how it was come by; says that nobody has named it."""
    now = found.present_name
    if now is None:
        return "Nobody has named this find."
    by = f", by {now.determined_by}" if names and now.determined_by else ""
    on = f", on {now.basis}" if now.basis else ""
    return scrubbed(f"Named {now.display_name}{by}{on}. The name may be wrong.", kept)


def _pictures(found: Gathered, press: Press, kept: Secrets) -> tuple[PictureBlock | str, ...]:
    """The pictures that tell most, the base before others; '' of them where the find has none."""
    panels = {
        part: panel
        for part, panel in plate_panels(found, press.pictures, press.reference.vocabulary, kept)
        if isinstance(panel, PictureBlock)
    }
    chosen: list[PictureBlock | str] = [panels[part] for part in _FIRST if part in panels]
    chosen += [panel for part, panel in panels.items() if part not in _FIRST]
    if len(chosen) < MOST_PICTURES:
        room = MOST_PICTURES - len(chosen)
        more = further_pictures(found, press.pictures, press.reference.vocabulary, kept, most=room)
        chosen += [picture for picture in more if isinstance(picture, PictureBlock)]
    return tuple(chosen[:MOST_PICTURES])


def _seen(found: Gathered, press: Press, kept: Secrets) -> str:
    """What was recorded, in one paragraph: 'cap colour white; ring: looked for and not there'."""
    told = []
    vocabulary = press.reference.vocabulary
    order = {feature.id: place for place, feature in enumerate(vocabulary.features)}
    rows = [row for row in found.evidence if row.standing is not Standing.NOT_LOOKED_AT]
    for row in sorted(rows, key=lambda row: (order.get(row.feature, len(order)), row.fruit_body)):
        feature = vocabulary.feature(row.feature)
        if feature is None:
            continue
        words = evidence_words(row, press.reference, press.units) or row.standing.value
        told.append(f"{plain_name(feature.name)}: {words}")
    return scrubbed("; ".join(told), kept)


def _not_looked_at(found: Gathered, groups: tuple[HazardGroup, ...], press: Press) -> str:
    """Which of the features that the deadly are known by nobody looked at; '' while nothing is left open."""
    if not groups:
        return ""
    seen = {row.feature for row in found.evidence if row.standing is not Standing.NOT_LOOKED_AT}
    names = [
        plain_name(feature.name)
        for feature in press.reference.vocabulary.features
        if feature.id in VITAL and feature.id not in seen
    ]
    return ", ".join(names)
