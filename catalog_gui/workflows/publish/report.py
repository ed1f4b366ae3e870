"""The foray report: what was found, as coarse as its reader may know it, for the landowner or the group."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.domain.handout import OpenFind, ReportFacts, ReportLine
from catalog_gui.domain.page import PictureBlock, PlanBlock
from catalog_gui.domain.privacy import Reader, scrubbed
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.sheet import Precision
from catalog_gui.geo.plane import LocalPlane
from catalog_gui.geo.position import Position
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.hazards import groups_of, worst_named
from catalog_gui.workflows.publish.pictures import plate_panels
from catalog_gui.workflows.publish.places import coarse_place, place_words, precision_of, region_for, site_of
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.secrets import secrets_of
from catalog_gui.workflows.publish.words import local_day, moment_words

MOST_PICTURES = 16
_SIDES_M = {Precision.ONE_KM: 1_000.0, Precision.TEN_KM: 10_000.0}
OPEN_NAMES = 5


def report_facts(found: Sequence[Gathered], reader: Reader, press: Press, *, owner: bool) -> ReportFacts:
    """The facts of a report over these finds. Decodes pictures: not for the GUI thread."""
    if not found:
        raise BadInput("Choose at least one find.")
    zone = zone_of(found[0], press)
    forays = {one.foray.id: one.foray for one in found if one.foray is not None}
    foray = found[0].foray
    days = [one.specimen.collected_at for one in found if one.specimen.collected_at is not None]
    first, last = (
        (local_day(day, zone, press.date_format) for day in (min(days), max(days))) if days else ("", "")
    )
    notes = {place_words(one.specimen, precision_of(one, reader))[1] for one in found}
    exact = all(precision_of(one, reader) is Precision.EXACT for one in found)
    sites = {site_of(one) for one in found} - {""}
    regions = dict.fromkeys(words for one in found if (words := region_for(one, reader).words))
    dangerous = {}
    for one in found:
        now = one.present_name
        taxon = press.reference.taxon(now.taxon) if now is not None and now.taxon else None
        if taxon is not None and (severity := press.reference.severity_of(taxon.id)) is not None:
            dangerous[taxon.name] = f"{taxon.name}: {severity.means}"
    people = sorted({person for f in forays.values() for person in f.people}) if reader.names else []
    named = foray.title if foray is not None and (exact or reader.site) else ""
    return ReportFacts(
        title=f"Fungi found on {first}" if first and first == last else "Fungi found",
        owner=owner,
        when=first if first == last else f"{first} to {last}",
        where="; ".join(
            part
            for part in (
                ", ".join(dict.fromkeys(word for word in (named, *sorted(sites)) if word))
                if exact or reader.site
                else "",
                *regions,
            )
            if part
        ),
        place_note=" ".join(sorted(note for note in notes if note and "centre" not in note))
        or ("Places stand as grid squares." if any(notes) else ""),
        lines=_lines(found, reader, press),
        unnamed=sum(one.present_name is None for one in found),
        pictures=_pictures(found, reader, press),
        plan=_plan(found, reader),
        people=tuple(people),
        dangerous=tuple(dangerous[name] for name in sorted(dangerous)),
        emergency=press.emergency,
        printed_on=moment_words(press.surroundings.now(), zone, press.date_format),
        letter=press.letter,
        open_finds=_open_finds(found, reader, press),
    )


def _open_finds(found: Sequence[Gathered], reader: Reader, press: Press) -> tuple[OpenFind, ...]:
    """The finds, named or not, of which something that can kill is not excluded; those without a name first."""
    lines = []
    for one in found:
        groups = groups_of(one, weighed(one, press.prepared), press.reference)
        told = worst_named(groups, OPEN_NAMES, fatal_only=True)
        if not told:
            continue
        kept, now = secrets_of(one, reader, press.person), one.present_name
        name = scrubbed(now.display_name, kept) if now is not None else ""
        lines.append(OpenFind(one.specimen.number, name, told))
    return tuple(sorted(lines, key=lambda line: bool(line.name)))


def _lines(found: Sequence[Gathered], reader: Reader, press: Press) -> tuple[ReportLine, ...]:
    by_name: dict[str, list[Gathered]] = {}
    for one in found:
        now = one.present_name
        if now is not None:
            kept = secrets_of(one, reader, press.person)
            by_name.setdefault(scrubbed(now.display_name, kept), []).append(one)
    lines = []
    for name in sorted(by_name):
        members = by_name[name]
        now = members[0].present_name
        taxon = press.reference.taxon(now.taxon) if now is not None and now.taxon else None
        where = {place_words(one.specimen, precision_of(one, reader), press.notation)[0] for one in members}
        severity = press.reference.severity_of(taxon.id) if taxon is not None else None
        lines.append(
            ReportLine(
                name,
                taxon.english if taxon is not None else "",
                len(members),
                ", ".join(one.specimen.number for one in members),
                "; ".join(sorted(where - {""})),
                severity.means if severity is not None else "",
            )
        )
    return tuple(lines)


def _pictures(found: Sequence[Gathered], reader: Reader, press: Press) -> tuple[PictureBlock | str, ...]:
    """One picture for each name, at most sixteen."""
    shown: dict[str, PictureBlock] = {}
    for one in found:
        now = one.present_name
        if now is None or len(shown) >= MOST_PICTURES:
            continue
        kept = secrets_of(one, reader, press.person)
        name = scrubbed(now.display_name, kept)
        if name in shown or not one.photos:
            continue
        panels = plate_panels(one, press.pictures, press.reference.vocabulary, kept, edge=700)
        picture = next((p for _, p in panels if isinstance(p, PictureBlock)), None)
        if picture is not None:
            shown[name] = PictureBlock(picture.raster, f"{name} ({one.specimen.number})")
    return tuple(shown.values())


def _plan(found: Sequence[Gathered], reader: Reader) -> PlanBlock | None:
    """Squares with the number of finds in them; points only for finds whose exact place is given."""
    squares: dict[tuple[float, float, float], int] = {}
    points: list[tuple[Position, str]] = []
    centres: dict[tuple[float, float, float], Position] = {}
    names: dict[tuple[float, float, float], str] = {}
    for one in found:
        precision = precision_of(one, reader)
        if one.specimen.place is None or precision is Precision.HIDDEN:
            continue
        if precision is Precision.EXACT:
            points.append((one.specimen.place.position, one.specimen.number))
            continue
        coarse = coarse_place(one.specimen, precision)
        if coarse is None or coarse.position is None or coarse.reference is None:
            continue
        key = (coarse.position.latitude, coarse.position.longitude, _SIDES_M[precision])
        squares[key] = squares.get(key, 0) + 1
        centres[key], names[key] = coarse.position, coarse.reference
    corner = points[0][0] if points else next(iter(centres.values()), None)
    if corner is None:
        return None
    plane = LocalPlane(corner)
    laid = []
    for key, count in squares.items():
        (x,), (y,) = plane.to_plane([centres[key].latitude], [centres[key].longitude])
        side = key[2]
        words = f"{names[key]}\n{count} find{'' if count == 1 else 's'}"
        laid.append((x - side / 2, y - side / 2, side, words))
    spots = []
    for position, words in points:
        (x,), (y,) = plane.to_plane([position.latitude], [position.longitude])
        spots.append((x, y, words))
    return PlanBlock(tuple(laid), tuple(spots))
