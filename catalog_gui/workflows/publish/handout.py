"""The lookalike handout: finds and taxa side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.domain.handout import HandoutColumn, HandoutFacts, HandoutRow
from catalog_gui.domain.page import PictureBlock
from catalog_gui.domain.privacy import Reader, scrubbed
from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.sheet import HazardWords
from catalog_gui.drawing.fruit_body import fruit_body, usual_fruit_body
from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.reasons import written_words
from catalog_gui.lookalikes.reference import Reference, Taxon
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.hazards import hazard_words
from catalog_gui.workflows.publish.pictures import plate_panels
from catalog_gui.workflows.publish.places import place_words, precision_of
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.secrets import secrets_of
from catalog_gui.workflows.publish.words import evidence_words, local_day, moment_words, taxon_words

MOST_COLUMNS = 4
MOST_ROWS = 22
MOST_ALIKE = 8
_NOT_TAUGHT = frozenset({Part.TASTE, Part.SEASON})
_COMMON = ("always", "usually", "sometimes")


@dataclass(frozen=True, slots=True)
class _Column:
    """A find with its evidence, a taxon of the reference, or both."""

    taxon: Taxon | None
    found: Gathered | None = None

    def cell(self, feature: Feature, reference: Reference, units: str) -> str:
        """What stands in the row of a feature."""
        if self.found is not None:
            rows = [row for row in self.found.evidence if row.feature == feature.id]
            words = [evidence_words(row, reference, units) or row.standing.value for row in rows]
            return (
                "; ".join(word for word in words if word != Standing.NOT_LOOKED_AT.value) or "not looked at"
            )
        return taxon_words(reference, self.taxon.id, feature, units) if self.taxon is not None else ""

    def states(self, feature: Feature, reference: Reference) -> frozenset[str]:
        """The states that are common in it, for telling whether columns differ."""
        if self.taxon is None:
            return _seen_states(self.found, feature)
        return frozenset(
            row.state
            for row in reference.states_of(self.taxon.id, feature.id)
            if row.frequency.value in _COMMON
        )


def _seen_states(found: Gathered | None, feature: Feature) -> frozenset[str]:
    rows: Sequence[Evidence] = found.evidence if found is not None else ()
    return frozenset(state for row in rows if row.feature == feature.id for state in row.states)


def handout_facts(
    found: Sequence[Gathered], taxa: Sequence[str], reader: Reader, press: Press
) -> HandoutFacts:
    """A handout of the finds and the named taxa, two to four in all.

    With one alone its documented lookalikes are laid beside it, the worst first. Decodes pictures.
    """
    reference = press.reference
    columns = _columns(found, taxa, press)
    if len(columns) < 2:
        raise BadInput("Choose two to four finds or taxa to lay beside each other.")
    separating, alike = _separating(columns, reference)
    rows = _rows(columns, separating, reference, press.units)
    hazards = tuple(
        HazardWords(
            _title(taxon), severity.value, _poisons(taxon, reference), onset_words(reference, taxon.id)
        )
        for taxon in dict.fromkeys(c.taxon for c in columns if c.taxon is not None)
        if (severity := reference.severity_of(taxon.id)) is not None
    )
    # A find's own name may be wrong: what its evidence leaves open is said as well.
    for one in found:
        weighing = weighed(one, press.prepared).weighing
        named = {hazard.name for hazard in hazards}
        hazards += tuple(h for h in hazard_words(weighing.close[:3], reference) if h.name not in named)
    first = found[0] if found else None
    zone = zone_of(first, press) if first is not None else None
    where_when = ""
    if first is not None:
        where = place_words(first.specimen, precision_of(first, reader), press.notation)[0]
        day = local_day(first.specimen.collected_at, zone, press.date_format)
        where_when = ", ".join(word for word in (day, where) if word)
    sources: dict[str, None] = {}
    for row_feature in rows[1]:
        for column in columns:
            if column.taxon is not None and column.found is None:
                sources.update(dict.fromkeys(written_words(reference, column.taxon.id, row_feature)[1]))
    cited = [source.citation for key in sources if (source := reference.source(key)) is not None]
    return HandoutFacts(
        title="Easily confused",
        columns=tuple(_column(column, reader, press) for column in columns),
        rows=rows[0],
        missed=_missed(separating),
        alike=tuple(feature.name for feature in alike[:MOST_ALIKE]),
        hazards=hazards,
        misleads=_misleads(columns, reference),
        sources=tuple(dict.fromkeys(cited)),
        emergency=press.emergency,
        where_when=where_when,
        printed_on=moment_words(press.surroundings.now(), zone, press.date_format),
        letter=press.letter,
    )


def _columns(found: Sequence[Gathered], taxa: Sequence[str], press: Press) -> list[_Column]:
    reference = press.reference
    columns = [
        _Column(reference.taxon(now.taxon) if (now := one.present_name) is not None else None, one)
        for one in found[:MOST_COLUMNS]
    ]
    for key in taxa:
        taxon = reference.taxon(key) or reference.named(key)
        if taxon is None:
            raise BadInput(f"'{key}' is not in the reference.")
        columns.append(_Column(taxon))
    if len(columns) == 1:
        only = columns[0]
        beside: list[Taxon] = []
        if only.taxon is not None:
            beside = [
                taxon
                for row in reference.confusions_of(only.taxon.id)
                if (taxon := reference.taxon(row.lookalike)) is not None
            ]
        elif only.found is not None:
            weighing = weighed(only.found, press.prepared).weighing
            beside = [hazard.taxon for hazard in weighing.close]
        worst = {taxon.id: reference.severity_of(taxon.id) for taxon in beside}
        beside.sort(key=lambda taxon: s.order if (s := worst[taxon.id]) is not None else 9)
        columns.extend(_Column(taxon) for taxon in dict.fromkeys(beside))
    return columns[:MOST_COLUMNS]


def _separating(columns: Sequence[_Column], reference: Reference) -> tuple[list[Feature], list[Feature]]:
    """Features by which the columns differ, and those by which they do not, documented ones first."""
    parts: dict[str, None] = {}
    same: dict[str, None] = {}
    ids = [column.taxon.id for column in columns if column.taxon is not None]
    for taxon in ids:
        for row in reference.confusions_of(taxon):
            if row.lookalike in ids:
                parts.update(dict.fromkeys(row.separates))
                same.update(dict.fromkeys(row.does_not_separate))
    for feature in reference.vocabulary.features:
        if feature.part in _NOT_TAUGHT or feature.kind != "states" or feature.id in parts:
            continue
        known = [states for column in columns if (states := column.states(feature, reference))]
        if len(known) < 2:
            continue
        if frozenset.intersection(*known):
            if all(states == known[0] for states in known):
                same.setdefault(feature.id)
        elif len(known) == len(columns):
            parts.setdefault(feature.id)
    look = reference.vocabulary.feature
    separating = [known_one for key in parts if (known_one := look(key)) is not None]
    alike = [known_one for key in same if key not in parts and (known_one := look(key)) is not None]
    return separating, alike


def _rows(
    columns: Sequence[_Column], separating: Sequence[Feature], reference: Reference, units: str
) -> tuple[tuple[HandoutRow, ...], list[Feature]]:
    apart = {feature.id for feature in separating}
    chosen: list[tuple[Feature, tuple[str, ...]]] = []
    for feature in reference.vocabulary.features:
        if feature.part in _NOT_TAUGHT or feature.kind == "text":
            continue
        cells = tuple(column.cell(feature, reference, units) for column in columns)
        told = sum(bool(cell) and cell != "not looked at" for cell in cells)
        if told >= 2 or feature.id in apart:
            chosen.append((feature, cells))
    while len(chosen) > MOST_ROWS and any(f.id not in apart for f, _ in chosen):
        spare = [i for i, (f, _) in enumerate(chosen) if f.id not in apart]
        chosen.pop(spare[-1])
    rows = tuple(HandoutRow(f.part.value, f.name, cells, f.id in apart) for f, cells in chosen)
    return rows, [feature for feature, _ in chosen]


def _missed(separating: Sequence[Feature]) -> str:
    """Of what parts them, the feature most often overlooked: left in the soil, washed off, faded."""
    if not separating:
        return "Nothing in the reference parts these for certain. Treat them as one."
    parts = list(Part)
    feature = max(
        separating,
        key=lambda f: (f.fragility, f.part in (Part.BASE, Part.RING), -parts.index(f.part)),
    )
    how = feature.how_to_look or feature.gloss
    return f"{feature.name[:1].upper()}{feature.name[1:]}. {how}".strip()


def _column(column: _Column, reader: Reader, press: Press) -> HandoutColumn:
    reference = press.reference
    if column.found is None:
        taxon = column.taxon
        if taxon is None:
            return HandoutColumn("", "")
        usual = usual_fruit_body(
            ((row.feature, row.state, row.frequency.value) for row in reference.all_states_of(taxon.id)),
            ((row.feature, row.low, row.high) for row in reference.sizes_of(taxon.id)),
            reference.vocabulary,
            form=taxon.forms[0] if taxon.forms else "",
        )
        return HandoutColumn(taxon.name, taxon.english, drawing=usual)
    found = column.found
    kept = secrets_of(found, reader, press.person)
    now = found.present_name
    panels = plate_panels(found, press.pictures, reference.vocabulary, kept)
    picture = next((panel for _, panel in panels if isinstance(panel, PictureBlock)), None)
    name = scrubbed(now.display_name, kept) if now is not None else "not named yet"
    english = f", {column.taxon.english}" if column.taxon is not None and column.taxon.english else ""
    drawn = picture is None and bool(found.evidence)
    drawing = fruit_body(found.evidence, reference.vocabulary) if drawn else None
    return HandoutColumn(
        name, f"find {found.specimen.number}{english}", picture, drawing, found.specimen.number
    )


def _title(taxon: Taxon) -> str:
    return f"{taxon.name} ({taxon.english})" if taxon.english else taxon.name


def _poisons(taxon: Taxon, reference: Reference) -> str:
    words = []
    for row in reference.hazards_of(taxon.id):
        syndrome = reference.syndrome(row.syndrome)
        if syndrome is not None:
            words.append(syndrome.name)
    return "; ".join(dict.fromkeys(words)) or "documented poisoning"


def _misleads(columns: Sequence[_Column], reference: Reference) -> tuple[str, ...]:
    lines = []
    for column in columns:
        if column.taxon is not None:
            lines += [
                f"{column.taxon.name}: {row.misleads}"
                for row in reference.hazards_of(column.taxon.id)
                if row.misleads
            ]
    return tuple(dict.fromkeys(lines))
