"""Reads a specimen, weighs it, and lays it beside up to three taxa. Runs on the records lane."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.domain.specimen import Specimen, present_determination
from catalog_gui.lookalikes.next_checks import Answer
from catalog_gui.lookalikes.reasons import Reason, Verdict, seen_words, written_words
from catalog_gui.lookalikes.reference import Frequency, Reference, Taxon
from catalog_gui.lookalikes.weighing import NotExcluded, Weighing, weigh
from catalog_gui.views.compare.state import (
    EARLIER_FINDS,
    MOST_TAXA,
    SHOWN_CANDIDATES,
    CandidateLine,
    Cell,
    CheckLine,
    Comparison,
    Crop,
    EarlierFind,
    HazardLine,
    Line,
    Says,
)
from catalog_gui.views.compare.why import COST_WORDS, onset_words, why_words
from catalog_gui.workflows.plate import panel_pictures
from catalog_gui.workflows.ports import Work

_SAYS = {
    Verdict.AGREES: Says.AGREES,
    Verdict.WEAKLY_AGAINST: Says.LITTLE,
    Verdict.AGAINST: Says.AGAINST,
}
_COMMON = frozenset({Frequency.ALWAYS, Frequency.USUALLY, Frequency.SOMETIMES})
_ALIKE_OVERLAP = 0.75
"""Share of the longer of two size ranges that must be common to both before they read alike."""

_GIVEN = "given:"
"""How the weighing marks what it took from the date of the find."""

_SPOKEN_AGAINST = "spoken against by your evidence, but known to be mistaken for the names in front"

Records = Mapping[str, Sequence[Evidence]]


def read_comparison(
    work: Work, specimen_id: str, reference: Reference, chosen: Sequence[str] | None, *, body: str = ""
) -> Comparison:
    """Weigh the specimen and lay it beside `chosen` taxa (ids; None: the ones that matter most).

    With no specimen the taxa stand beside each other alone: the teaching view. `body` weighs one fruit
    body of a mixed collection.
    """
    specimen = work.specimens.get(specimen_id) if specimen_id else None
    if specimen is None:
        return _teaching(work, reference, chosen or ())
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
    now = present_determination(given)
    mine = tuple(e for e in evidence if not body or e.fruit_body in {"", body})
    by_feature: dict[str, list[Evidence]] = {}
    for one in mine:
        by_feature.setdefault(one.feature, []).append(one)
    recorded = sum(1 for e in mine if e.standing is not Standing.NOT_LOOKED_AT)
    named = (reference.taxon(now.taxon) or reference.named(now.name)) if now is not None else None
    in_front = [*([named] if named is not None else []), *(c.taxon for c in weighing.candidates[:2])]
    hazards = _hazard_lines(weighing, reference, by_feature, in_front if recorded else ())
    keys = tuple(chosen) if chosen is not None else _telling(weighing, hazards, named, recorded)
    taxa = _taxa(keys, reference)
    return Comparison(
        specimen=specimen,
        name=now.display_name if now is not None else "",
        recorded=recorded,
        taxa=taxa,
        severities=tuple(reference.severity_of(taxon.id) for taxon in taxa),
        lines=_lines(by_feature, taxa, reference, _reasons(weighing, taxa), teaching=False),
        hazards=hazards,
        minded=_minded(weighing, reference, in_front if recorded else ()),
        candidates=tuple(
            CandidateLine(
                candidate.taxon,
                candidate.severity,
                _texts(candidate.speaks_for),
                _texts(candidate.speaks_against),
            )
            for candidate in (weighing.candidates[:SHOWN_CANDIDATES] if recorded else ())
        ),
        checks=_check_lines(weighing),
        crops=crops_of(work, specimen, evidence, reference),
        earlier=_earlier(work, taxa, specimen.id, reference),
        excluded=len(weighing.excluded),
        bodies=weighing.fruit_bodies,
        body=body,
        evidence=mine,
    )


def _teaching(work: Work, reference: Reference, chosen: Sequence[str]) -> Comparison:
    taxa = _taxa(chosen, reference)
    hazards = [
        HazardLine(taxon, severity, "", onset_words(reference, taxon.id), *_clinic(reference, taxon.id))
        for taxon in taxa
        if (severity := reference.severity_of(taxon.id)) is not None
    ]
    hazards.sort(key=lambda line: line.severity.order)
    return Comparison(
        taxa=taxa,
        severities=tuple(reference.severity_of(taxon.id) for taxon in taxa),
        lines=_lines({}, taxa, reference, [], teaching=True),
        hazards=tuple(hazards),
        earlier=_earlier(work, taxa, "", reference),
    )


def _taxa(keys: Sequence[str], reference: Reference) -> tuple[Taxon, ...]:
    return tuple(t for key in dict.fromkeys(keys) if (t := reference.taxon(key)) is not None)[:MOST_TAXA]


def _texts(reasons: Sequence[Reason]) -> tuple[str, ...]:
    """The reasons she gave; the date alone says too little to be counted among them."""
    return tuple(reason.text for reason in reasons if not reason.evidence.id.startswith(_GIVEN))


def _telling(
    weighing: Weighing, hazards: Sequence[HazardLine], named: Taxon | None, recorded: int
) -> tuple[str, ...]:
    """The name she gave, the best candidate, and the first hazards in full: what she will want side by side."""
    wanted = [named.id] if named is not None else []
    close = [hazard.taxon.id for hazard in hazards if not hazard.group][: 2 if recorded else MOST_TAXA]
    best = [candidate.taxon.id for candidate in weighing.candidates[: MOST_TAXA if recorded else 0]]
    return tuple(dict.fromkeys([*wanted, *best[:1], *close, *best]))[:MOST_TAXA]


def _clinic(reference: Reference, taxon_id: str) -> tuple[str, str]:
    """What misleads about the poisoning, and the syndromes by name."""
    rows = reference.hazards_of(taxon_id)
    names = [found.name for row in rows if (found := reference.syndrome(row.syndrome)) is not None]
    misleads = next((row.misleads for row in rows if row.misleads), "")
    return misleads, "; ".join(dict.fromkeys(names))


def _hazard_lines(
    weighing: Weighing, reference: Reference, by_feature: Records, in_front: Sequence[Taxon]
) -> tuple[HazardLine, ...]:
    """The close ones in full, then the known doubles of the names in front, then the rest by group."""
    doubles = {
        pair.lookalike: taxon.name
        for taxon in reversed(in_front)
        for pair in reference.confusions_of(taxon.id)
    }

    def line(hazard: NotExcluded, group: str) -> HazardLine:
        why = why_words(hazard, reference, by_feature)
        double = doubles.get(hazard.taxon.id, "")
        return HazardLine(
            hazard.taxon,
            hazard.severity,
            f"known to be mistaken for {double}; {why}" if group and double else why,
            onset_words(reference, hazard.taxon.id),
            *_clinic(reference, hazard.taxon.id),
            "" if double else group,
        )

    full = [line(hazard, "") for hazard in weighing.close]
    rest = [line(hazard, group) for group, members in weighing.folded for hazard in members]
    full += sorted((one for one in rest if not one.group), key=lambda one: one.severity.order)
    return (*full, *(one for one in rest if one.group))


def _minded(weighing: Weighing, reference: Reference, in_front: Sequence[Taxon]) -> tuple[HazardLine, ...]:
    """Dangerous taxa that the evidence speaks against, but that are documented as mistaken for a name in front."""
    excluded = set(weighing.excluded)
    lines: dict[str, HazardLine] = {}
    for taxon in in_front:
        for pair in reference.confusions_of(taxon.id):
            other, severity = reference.taxon(pair.lookalike), reference.severity_of(pair.lookalike)
            if pair.lookalike in excluded and other is not None and severity is not None:
                lines.setdefault(
                    other.id,
                    HazardLine(
                        other,
                        severity,
                        f"your evidence speaks against it, yet it is known to be mistaken for {taxon.name}",
                        onset_words(reference, other.id),
                        *_clinic(reference, other.id),
                        _SPOKEN_AGAINST if weighing.hazards else "",
                    ),
                )
    return tuple(sorted(lines.values(), key=lambda line: line.severity.order))


def _check_lines(weighing: Weighing) -> tuple[CheckLine, ...]:
    lines = []
    for check in weighing.next_checks:
        hit = dict.fromkeys(name for answer in check.answers for name in answer.speaks_against)
        settles = check.settles
        if len(hit) > 1:
            settles = f"may speak against {len(hit)} dangerous taxa, {next(iter(hit))} among them"
        told = [answer for answer in check.answers if answer.speaks_against or answer.agrees_with]
        lines.append(
            CheckLine(
                check.feature,
                check.name,
                COST_WORDS.get(check.cost, check.cost),
                check.how,
                settles,
                tuple(_answer_words(answer) for answer in told),
                tuple(_answer_in_full(answer) for answer in told),
            )
        )
    return tuple(lines)


def _answer_words(answer: Answer) -> str:
    """'white: against 14, fits A. virosa and 4 more'."""
    parts = []
    if answer.speaks_against:
        parts.append(f"against {len(answer.speaks_against)}")
    if answer.agrees_with:
        more = len(answer.agrees_with) - 1
        parts.append(f"fits {_short(answer.agrees_with[0])}" + (f" and {more} more" if more else ""))
    return f"{answer.state}: {', '.join(parts)}"


def _answer_in_full(answer: Answer) -> str:
    parts = []
    if answer.speaks_against:
        parts.append(f"speaks against {', '.join(answer.speaks_against)}")
    if answer.agrees_with:
        parts.append(f"fits {', '.join(answer.agrees_with)}")
    return f"{answer.state}: {'; '.join(parts)}"


def _short(name: str) -> str:
    genus, _, rest = name.partition(" ")
    return f"{genus[0]}. {rest}" if rest else name


def _reasons(weighing: Weighing, taxa: Sequence[Taxon]) -> list[dict[str, list[Reason]]]:
    wanted = {taxon.id for taxon in taxa}
    found: dict[str, dict[str, list[Reason]]] = {}
    for candidate in weighing.candidates:
        if candidate.taxon.id in wanted:
            by_feature: dict[str, list[Reason]] = {}
            for reason in (*candidate.speaks_for, *candidate.speaks_against):
                by_feature.setdefault(reason.feature.id, []).append(reason)
            found[candidate.taxon.id] = by_feature
            if len(found) == len(wanted):
                break
    return [found.get(taxon.id, {}) for taxon in taxa]


def _lines(
    by_feature: Records,
    taxa: Sequence[Taxon],
    reference: Reference,
    reasons: Sequence[Mapping[str, Sequence[Reason]]],
    *,
    teaching: bool,
) -> tuple[Line, ...]:
    documented = _documented(taxa, reference)
    lines: list[Line] = []
    for feature in reference.vocabulary.features:
        records = by_feature.get(feature.id, ())
        written = [written_words(reference, taxon.id, feature) for taxon in taxa]
        if not records and not any(words for words, _ in written):
            continue
        looked = [e for e in records if e.standing is not Standing.NOT_LOOKED_AT]
        standing = looked[0].standing if looked else Standing.NOT_LOOKED_AT
        seen = "; ".join(
            (f"{e.fruit_body}: " if e.fruit_body else "") + _seen(e, feature, reference) for e in looked
        )
        separates, alike = _parted(reference, taxa, feature)
        cells = [
            _cell(words, sources, standing, reasons[i].get(feature.id, ()) if reasons else (), teaching)
            for i, (words, sources) in enumerate(written)
        ]
        says = {cell.says for cell in cells}
        if alike and len(says) == 1 and says & {Says.AGREES, Says.NOT_LOOKED_AT, Says.WRITTEN}:
            cells = [Cell(Says.DOES_NOT_SEPARATE, cell.written, cell.sources) for cell in cells]
        differing = len(says & {Says.AGREES, Says.AGAINST}) > 1
        lines.append(
            Line(
                feature,
                seen,
                standing,
                tuple(cells),
                separates or differing or (feature.id in documented and not alike),
                alike,
            )
        )
    return tuple(lines)


def _seen(evidence: Evidence, feature: Feature, reference: Reference) -> str:
    """In the column of the find 'seen' goes without saying."""
    words = seen_words(evidence, feature, reference)
    if evidence.standing is Standing.SEEN and feature.kind == "text":
        return evidence.note or words
    return words.replace(" seen", "", 1) if evidence.standing is Standing.SEEN else words


def _cell(
    words: str, sources: tuple[str, ...], standing: Standing, reasons: Sequence[Reason], teaching: bool
) -> Cell:
    if not words:
        return Cell(Says.NOTHING_WRITTEN, "")
    if teaching:
        return Cell(Says.WRITTEN, words, sources)
    if standing is Standing.NOT_LOOKED_AT:
        return Cell(Says.NOT_LOOKED_AT, words, sources)
    if standing is Standing.GONE:
        return Cell(Says.GONE, words, sources)
    # Of several records (fruit bodies of a mixed collection) the one that agrees keeps a danger in sight.
    for verdict, says in _SAYS.items():
        for reason in reasons:
            if reason.verdict is verdict:
                return Cell(says, words, sources, reason.little)
    return Cell(Says.NOT_WEIGHED, words, sources)


def _documented(taxa: Sequence[Taxon], reference: Reference) -> frozenset[str]:
    """Features that a documented confusion among the shown taxa names as telling them apart."""
    ids = {taxon.id for taxon in taxa}
    return frozenset(
        feature
        for taxon in taxa
        for pair in reference.confusions_of(taxon.id)
        if pair.lookalike in ids
        for feature in pair.separates
    )


def _parted(reference: Reference, taxa: Sequence[Taxon], feature: Feature) -> tuple[bool, bool]:
    """(whether two of the taxa have nothing in common here, whether all of them read alike).

    Alike means that every taxon is written about and the commoner states are the same ones, or that the
    size ranges lie on each other for the most part. In between, a feature parts some finds and not others.
    """
    if len(taxa) < 2:
        return False, False
    if feature.kind == "number":
        ranges = [
            (min(row.low for row in rows), max(row.high for row in rows))
            for taxon in taxa
            if (rows := reference.sizes_of(taxon.id, feature.id))
        ]
        if len(ranges) < 2:
            return False, False
        apart = max(low for low, _ in ranges) > min(high for _, high in ranges)
        shared = min(high for _, high in ranges) - max(low for low, _ in ranges)
        longest = max(high - low for low, high in ranges)
        return apart, len(ranges) == len(taxa) and longest > 0 and shared >= _ALIKE_OVERLAP * longest
    rows_by_taxon = [reference.states_of(taxon.id, feature.id) for taxon in taxa]
    possible = [{r.state for r in rows if r.frequency is not Frequency.NEVER} for rows in rows_by_taxon]
    common = [{r.state for r in rows if r.frequency in _COMMON} for rows in rows_by_taxon]
    known = [states for states in possible if states]
    apart = any(not one & other for place, one in enumerate(known) for other in known[place + 1 :])
    alike = all(common) and all(states == common[0] for states in common)
    return apart, alike


def crops_of(
    work: Work, specimen: Specimen, evidence: Sequence[Evidence], reference: Reference
) -> dict[Part, Crop]:
    """Her own picture of each part, as the plate has it; the whole fruit body is the cover."""
    groups = work.groups.where(specimen_id=specimen.id)
    if not groups:
        return {}
    photos = {photo.id: photo for photo in work.photos.where(group_id=tuple(group.id for group in groups))}
    if not photos:
        return {}
    marks = work.marks.where(photo_id=tuple(photos))
    crops = {
        part: Crop(photos[panel.photo_id], panel.box)
        for part, panel in panel_pictures(marks, evidence, photos, reference.vocabulary).items()
    }
    crops.setdefault(Part.WHOLE, Crop(photos.get(specimen.cover_photo) or next(iter(photos.values()))))
    return crops


def _earlier(
    work: Work, taxa: Sequence[Taxon], but: str, reference: Reference
) -> dict[str, tuple[EarlierFind, ...]]:
    """Her own earlier finds that go by a shown taxon's name today, the latest first."""
    earlier: dict[str, tuple[EarlierFind, ...]] = {}
    for taxon in taxa:
        finds: list[EarlierFind] = []
        named = dict.fromkeys(one.specimen_id for one in reversed(work.determinations.where(taxon=taxon.id)))
        for key in named:
            if key == but or len(finds) == EARLIER_FINDS:
                continue
            now = present_determination(work.determinations.where(specimen_id=key))
            specimen = work.specimens.get(key)
            if now is None or now.taxon != taxon.id or specimen is None:
                continue
            crops = crops_of(work, specimen, work.evidence.where(specimen_id=key), reference)
            if crops:
                finds.append(EarlierFind(key, specimen.number, crops))
        if finds:
            earlier[taxon.id] = tuple(finds)
    return earlier
