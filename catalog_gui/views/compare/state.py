"""What the Compare page shows: a specimen weighed, and beside it up to three taxa, feature by feature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from catalog_gui.annotation.marks import Mark, MarkKind
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.domain.photo import Photo
from catalog_gui.domain.specimen import Determination, Specimen
from catalog_gui.lookalikes.reasons import Reason, Verdict, seen_words, written_words
from catalog_gui.lookalikes.reference import Reference, Severity, Taxon
from catalog_gui.lookalikes.weighing import Weighing, weigh
from catalog_gui.workflows.ports import Work

MOST_TAXA = 3
SHOWN_CANDIDATES = 12


class Says(StrEnum):
    """What a cell of the table says, in words that need no colour."""

    AGREES = "agrees"
    AGAINST = "speaks against"
    LITTLE = "counts little against"
    NOT_LOOKED_AT = "not looked at"
    GONE = "damaged or gone"
    NOTHING_WRITTEN = "nothing written"
    DOES_NOT_SEPARATE = "does not separate"
    WRITTEN = ""  # teaching view: no specimen to agree with


_SAYS = {
    Verdict.AGREES: Says.AGREES,
    Verdict.AGAINST: Says.AGAINST,
    Verdict.WEAKLY_AGAINST: Says.LITTLE,
    Verdict.NO_DATA: Says.NOTHING_WRITTEN,
    Verdict.NOT_LOOKED_AT: Says.NOT_LOOKED_AT,
    Verdict.GONE: Says.GONE,
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One feature of one taxon: what is written, what it says about the find, and who wrote it."""

    says: Says
    written: str
    sources: str = ""
    little: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One feature across the table. `separates` is False when all shown taxa read alike."""

    feature: Feature
    seen: str
    standing: Standing
    cells: tuple[Cell, ...]
    separates: bool


@dataclass(frozen=True, slots=True)
class Crop:
    """The picture that shows a part of the specimen: a piece `box` of a photo, or all of it."""

    photo: Photo
    box: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class HazardLine:
    """One dangerous taxon that is not excluded."""

    taxon: Taxon
    severity: Severity
    why: str
    onset: str
    misleads: str
    syndrome: str
    close: bool


@dataclass(frozen=True, slots=True)
class CandidateLine:
    """One candidate in the order of the weighing, with its reasons in words."""

    taxon: Taxon
    severity: Severity | None
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    unknown: int


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One thing to look at next."""

    feature: str
    name: str
    cost: str
    how: str
    settles: str
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """The whole page as values."""

    specimen: Specimen | None = None
    name: str = ""
    recorded: int = 0
    taxa: tuple[Taxon, ...] = ()
    lines: tuple[Line, ...] = ()
    hazards: tuple[HazardLine, ...] = ()
    candidates: tuple[CandidateLine, ...] = ()
    checks: tuple[CheckLine, ...] = ()
    crops: dict[Part, Crop] = field(default_factory=dict)
    excluded: int = 0
    bodies: tuple[str, ...] = ()
    evidence: tuple[Evidence, ...] = ()


def read_comparison(
    work: Work, specimen_id: str, reference: Reference, chosen: Sequence[str] | None, *, body: str = ""
) -> Comparison:
    """Weigh the specimen and lay it beside `chosen` taxa (ids; None: the ones that matter most).

    With no specimen the taxa stand beside each other alone: the teaching view. `body` weighs one fruit
    body of a mixed collection.
    """
    specimen = work.specimens.get(specimen_id) if specimen_id else None
    if specimen is None:
        taxa = tuple(t for key in (chosen or ()) if (t := reference.taxon(key)) is not None)[:MOST_TAXA]
        return Comparison(taxa=taxa, lines=_lines((), taxa, reference, teaching=True))
    evidence = work.evidence.where(specimen_id=specimen.id)
    given = work.determinations.where(specimen_id=specimen.id)
    collected = specimen.collected_at
    weighing = weigh(
        evidence,
        reference,
        determinations=given,
        date=collected.date() if collected else None,
        fruit_body=body or None,
    )
    keys = tuple(chosen) if chosen is not None else _telling(weighing, given, reference)
    taxa = tuple(t for key in keys if (t := reference.taxon(key)) is not None)[:MOST_TAXA]
    mine = tuple(e for e in evidence if not body or e.fruit_body in {"", body})
    replaced = {one.replaces for one in given}
    standing = [one for one in given if one.id not in replaced]
    return Comparison(
        specimen,
        standing[-1].display_name if standing else "",
        sum(1 for e in mine if e.standing is not Standing.NOT_LOOKED_AT),
        taxa,
        _lines(mine, taxa, reference, teaching=False, weighing=weighing),
        _hazard_lines(weighing, reference),
        tuple(
            CandidateLine(
                candidate.taxon,
                candidate.severity,
                tuple(reason.text for reason in candidate.speaks_for),
                tuple(reason.text for reason in candidate.speaks_against),
                len(candidate.unknown),
            )
            for candidate in weighing.candidates[:SHOWN_CANDIDATES]
        ),
        _check_lines(weighing, reference),
        _crops(work, specimen),
        len(weighing.excluded),
        weighing.fruit_bodies,
        mine,
    )


def _telling(weighing: Weighing, given: Sequence[Determination], reference: Reference) -> tuple[str, ...]:
    """The name she gave, the best candidates and the closest deadly one: what she will want side by side."""
    wanted: list[str] = []
    if given:
        named = reference.taxon(given[-1].taxon) or reference.named(given[-1].name)
        if named is not None:
            wanted.append(named.id)
    close = [hazard.taxon.id for hazard in weighing.close[:2]]
    best = [candidate.taxon.id for candidate in weighing.candidates[:2]]
    return tuple(dict.fromkeys([*wanted, *best[:1], *close, *best]))[:MOST_TAXA]


def onset_words(reference: Reference, taxon_id: str) -> str:
    """'6–24 h', 'h' spelt as the table has it; several windows where sources disagree; '' where none is known."""
    windows: list[str] = []
    for hazard in reference.hazards_of(taxon_id):
        if hazard.onset_low is None and hazard.onset_high is None:
            continue
        low = "" if hazard.onset_low is None else f"{hazard.onset_low:g}"
        high = "" if hazard.onset_high is None else f"{hazard.onset_high:g}"
        words = f"{low}–{high}" if low and high and low != high else low or f"up to {high}"
        words = f"{words} {hazard.onset_unit}".strip()
        if hazard.onset_counts:
            words += f" ({hazard.onset_counts})"
        if words not in windows:
            windows.append(words)
    return "; ".join(windows[:3])


def _hazard_lines(weighing: Weighing, reference: Reference) -> tuple[HazardLine, ...]:
    lines = []
    for hazard in weighing.hazards:
        rows = reference.hazards_of(hazard.taxon.id)
        names = [s.name for key in hazard.syndromes if (s := reference.syndrome(key)) is not None]
        misleads = next((row.misleads for row in rows if row.misleads), "")
        lines.append(
            HazardLine(
                hazard.taxon,
                hazard.severity,
                hazard.why_not_excluded,
                onset_words(reference, hazard.taxon.id),
                misleads,
                "; ".join(names),
                hazard.close,
            )
        )
    return tuple(lines)


def _check_lines(weighing: Weighing, reference: Reference) -> tuple[CheckLine, ...]:
    lines = []
    for check in weighing.next_checks:
        feature = reference.vocabulary.feature(check.feature)
        answers = []
        for answer in check.answers:
            state = reference.vocabulary.state(check.feature, answer.state)
            word = state.name if state is not None else reference.absent_name(check.feature) or "not there"
            parts = []
            if answer.speaks_against:
                parts.append(f"speaks against {_names(reference, answer.speaks_against)}")
            if answer.agrees_with:
                parts.append(f"agrees with {_names(reference, answer.agrees_with)}")
            if parts:
                answers.append(f"{word}: {'; '.join(parts)}")
        lines.append(
            CheckLine(
                check.feature,
                check.name or (feature.name if feature else check.feature),
                check.cost,
                check.how,
                check.settles,
                tuple(answers),
            )
        )
    return tuple(lines)


def _names(reference: Reference, ids: Sequence[str], most: int = 3) -> str:
    names = [taxon.name for key in ids if (taxon := reference.taxon(key)) is not None]
    rest = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + rest


def _lines(
    evidence: Sequence[Evidence],
    taxa: Sequence[Taxon],
    reference: Reference,
    *,
    teaching: bool,
    weighing: Weighing | None = None,
) -> tuple[Line, ...]:
    by_feature: dict[str, list[Evidence]] = {}
    for one in evidence:
        by_feature.setdefault(one.feature, []).append(one)
    reasons: list[dict[str, Reason]] = []
    if weighing is not None:
        by_taxon = {}
        wanted = {taxon.id for taxon in taxa}
        for candidate in weighing.candidates:
            if candidate.taxon.id in wanted:
                by_taxon[candidate.taxon.id] = candidate
                if len(by_taxon) == len(wanted):
                    break
        for taxon in taxa:
            candidate_found = by_taxon.get(taxon.id)
            rows = (*candidate_found.speaks_for, *candidate_found.speaks_against) if candidate_found else ()
            reasons.append({reason.feature: reason for reason in rows})
    lines: list[Line] = []
    for feature in reference.vocabulary.features:
        records = by_feature.get(feature.id, [])
        written = [written_words(reference, taxon.id, feature) for taxon in taxa]
        if not records and not any(words for words, _ in written):
            continue
        looked = [e for e in records if e.standing is not Standing.NOT_LOOKED_AT]
        standing = looked[0].standing if looked else Standing.NOT_LOOKED_AT
        seen = "; ".join(
            (f"{e.fruit_body}: " if e.fruit_body else "") + seen_words(e, feature, reference) for e in looked
        )
        cells = tuple(
            _cell(
                words,
                sources,
                standing,
                reasons[i].get(feature.id) if reasons else None,
                teaching=teaching,
            )
            for i, (words, sources) in enumerate(written)
        )
        lines.append(Line(feature, seen, standing, cells, _separates(reference, taxa, feature, cells)))
    return tuple(lines)


def _cell(
    words: str, sources: Sequence[str], standing: Standing, reason: Reason | None, *, teaching: bool
) -> Cell:
    named = ", ".join(sources)
    if teaching:
        return Cell(Says.WRITTEN if words else Says.NOTHING_WRITTEN, words, named)
    if not words:
        return Cell(Says.NOTHING_WRITTEN, "")
    if standing is Standing.NOT_LOOKED_AT:
        return Cell(Says.NOT_LOOKED_AT, words, named)
    if standing is Standing.GONE:
        return Cell(Says.GONE, words, named)
    if reason is None:
        return Cell(Says.AGREES, words, named)
    return Cell(_SAYS[reason.verdict], words, named, reason.little)


def _separates(reference: Reference, taxa: Sequence[Taxon], feature: Feature, cells: Sequence[Cell]) -> bool:
    """Whether this feature tells the shown taxa apart: some state is usual in one and not written in another."""
    if len(taxa) < 2:
        return True
    if len({cell.says for cell in cells}) > 1 and any(cell.says is Says.AGAINST for cell in cells):
        return True
    if feature.kind == "number":
        ranges = [
            (min(r.low for r in rows), max(r.high for r in rows))
            for taxon in taxa
            if (rows := reference.sizes_of(taxon.id, feature.id))
        ]
        return len(ranges) > 1 and max(low for low, _ in ranges) > min(high for _, high in ranges)
    states = [
        {row.state for row in reference.states_of(taxon.id, feature.id) if row.frequency != "never"}
        for taxon in taxa
    ]
    known = [one for one in states if one]
    return len(known) > 1 and not set.intersection(*known)


def _crops(work: Work, specimen: Specimen) -> dict[Part, Crop]:
    """Her own picture of each part: the crop she chose, else the picture that carries a mark of that part."""
    groups = work.groups.where(specimen_id=specimen.id)
    photos = {photo.id: photo for photo in work.photos.where(group_id=tuple(group.id for group in groups))}
    if not photos:
        return {}
    marks: tuple[Mark, ...] = work.marks.where(photo_id=tuple(photos))
    crops: dict[Part, Crop] = {}
    for mark in sorted(marks, key=lambda m: m.kind is not MarkKind.CROP):
        if mark.part not in {part.value for part in Part}:
            continue
        part = Part(mark.part)
        if part in crops:
            continue
        box = None
        if mark.kind is MarkKind.CROP and len(mark.points) == 2:
            (x0, y0), (x1, y1) = mark.points
            box = (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
        crops[part] = Crop(photos[mark.photo_id], box)
    cover = photos.get(specimen.cover_photo) or next(iter(photos.values()))
    crops.setdefault(Part.WHOLE, Crop(cover))
    return crops
