"""The lookalike handout: finds and taxa side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from catalog_gui.domain.caution import NOTHING_LEFT, TREAT_AS_WORST
from catalog_gui.domain.evidence import Standing
from catalog_gui.domain.feature import Feature, Part
from catalog_gui.domain.handout import HandoutColumn, HandoutFacts, HandoutLeaf, HandoutRow
from catalog_gui.domain.page import PictureBlock
from catalog_gui.domain.privacy import Reader, scrubbed
from catalog_gui.domain.problem import BadInput
from catalog_gui.drawing.figures import figure
from catalog_gui.drawing.fruit_body import fruit_body, usual_fruit_body
from catalog_gui.drawing.shapes import Drawing
from catalog_gui.lookalikes.hazard_groups import short_names
from catalog_gui.lookalikes.parting import common_states, parting
from catalog_gui.lookalikes.reasons import state_name, written_words
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference, Severity, Taxon
from catalog_gui.lookalikes.why_line import COSTS, plain_name
from catalog_gui.workflows.publish.gathered import Gathered, weighed
from catalog_gui.workflows.publish.hazards import groups_of, taxon_line, worst_named
from catalog_gui.workflows.publish.pictures import plate_panels
from catalog_gui.workflows.publish.places import place_words, precision_of
from catalog_gui.workflows.publish.press import Press, zone_of
from catalog_gui.workflows.publish.secrets import secrets_of
from catalog_gui.workflows.publish.words import evidence_words, local_day, moment_words, taxon_words

MOST_COLUMNS = 4
MOST_ROWS = 10
MOST_ALIKE = 8
MOST_NAMED = 8
_NOT_TAUGHT = frozenset({Part.TASTE, Part.SEASON})
NOT_LOOKED_AT = Standing.NOT_LOOKED_AT.value
NOT_STATED = "not stated"
_COSTS = {cost: place for place, cost in enumerate(COSTS)}


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
            return "; ".join(word for word in words if word != NOT_LOOKED_AT) or NOT_LOOKED_AT
        told = taxon_words(reference, self.taxon.id, feature, units) if self.taxon is not None else ""
        return told or NOT_STATED

    def states(self, feature: Feature, reference: Reference) -> frozenset[str]:
        """The states it shows: what was seen on a find, what is common in a taxon."""
        if self.found is not None:
            rows = [row for row in self.found.evidence if row.feature == feature.id]
            gone = {ABSENT for row in rows if row.standing is Standing.NOT_THERE}
            return frozenset(state for row in rows for state in row.states) | gone
        return common_states(reference, self.taxon.id, feature.id) if self.taxon is not None else frozenset()

    def figure(self, feature: Feature, reference: Reference) -> Drawing | None:
        """The small drawing of the state that was seen, or that the taxon shows most often."""
        if self.found is not None:
            states = [
                state for row in self.found.evidence if row.feature == feature.id for state in row.states
            ]
        elif self.taxon is not None:
            rows = reference.states_of(self.taxon.id, feature.id)
            order = list(Frequency)
            states = [row.state for row in sorted(rows, key=lambda row: order.index(row.frequency))]
        else:
            states = []
        known = reference.vocabulary.state(feature.id, states[0]) if states else None
        return figure(known.figure) if known is not None and known.figure else None


def handout_facts(
    found: Sequence[Gathered], taxa: Sequence[str], reader: Reader, press: Press
) -> HandoutFacts:
    """A handout of all the finds and taxa that were chosen, four at most on a leaf, the first on each.

    With one alone its documented lookalikes are laid beside it, the worst first. Decodes pictures.
    Raises BadInput where fewer than two stand beside each other.
    """
    reference = press.reference
    columns, beside = _columns(found, taxa, press)
    if len(columns) < 2:
        raise BadInput("Choose at least two finds or taxa to lay beside each other.")
    laid = [_leaf(some, reader, press) for some in _leaves(columns)]
    named = list(dict.fromkeys(column.taxon for column in columns if column.taxon is not None))
    dangerous = [(taxon, s) for taxon in named if (s := reference.severity_of(taxon.id)) is not None]
    first = found[0] if found else None
    zone = zone_of(first, press) if first is not None else None
    where_when = ""
    if first is not None:
        where = place_words(first.specimen, precision_of(first, reader), press.notation)[0]
        day = local_day(first.specimen.collected_at, zone, press.date_format)
        where_when = ", ".join(word for word in (day, where) if word)
    sources = dict.fromkeys(key for _, keys in laid for key in keys)
    cited = [source.citation for key in sources if (source := reference.source(key)) is not None]
    return HandoutFacts(
        title="Easily confused",
        leaves=tuple(leaf for leaf, _ in laid),
        hazards=tuple(
            taxon_line(taxon, severity, reference)
            for taxon, severity in sorted(dangerous, key=lambda entry: entry[1].order)
        ),
        misleads=_misleads(columns, reference),
        sources=tuple(dict.fromkeys(cited)),
        emergency=press.emergency,
        where_when=where_when,
        printed_on=moment_words(press.surroundings.now(), zone, press.date_format),
        letter=press.letter,
        open_words=tuple(_open_words(one, reader, press) for one in found),
        beside=_beside_words(beside, reference),
        no_entry=tuple(taxon.name for taxon in named if reference.severity_of(taxon.id) is None),
    )


def _columns(
    found: Sequence[Gathered], taxa: Sequence[str], press: Press
) -> tuple[list[_Column], list[Taxon]]:
    """The columns, and the lookalikes of a single one that found no room."""
    reference = press.reference
    columns = [
        _Column(reference.taxon(now.taxon) if (now := one.present_name) is not None else None, one)
        for one in found
    ]
    for key in taxa:
        taxon = reference.taxon(key) or reference.named(key)
        if taxon is None:
            raise BadInput(f"'{key}' is not in the reference.")
        columns.append(_Column(taxon))
    if len(columns) != 1:
        return columns, []
    only, beside = columns[0], []
    if only.taxon is not None:
        pairs = reference.confusions_of(only.taxon.id)
        beside = [taxon for row in pairs if (taxon := reference.taxon(row.lookalike)) is not None]
    elif only.found is not None:  # what else is not excluded is said of every find
        near = weighed(only.found, press.prepared).weighing.close[: MOST_COLUMNS - 1]
        return [only, *(_Column(hazard.taxon) for hazard in near)], []
    beside = list(dict.fromkeys(beside))
    beside.sort(key=lambda taxon: s.order if (s := reference.severity_of(taxon.id)) is not None else 9)
    room = MOST_COLUMNS - 1
    return [only, *(_Column(taxon) for taxon in beside[:room])], beside[room:]


def _leaves(columns: Sequence[_Column]) -> list[list[_Column]]:
    """Four columns a leaf; the first stands on each, so that everything is held against it."""
    if len(columns) <= MOST_COLUMNS:
        return [list(columns)]
    first, rest, room = columns[0], columns[1:], MOST_COLUMNS - 1
    return [[first, *rest[start : start + room]] for start in range(0, len(rest), room)]


def _leaf(columns: Sequence[_Column], reader: Reader, press: Press) -> tuple[HandoutLeaf, tuple[str, ...]]:
    """One leaf, and the sources of what stands in its rows."""
    reference = press.reference
    judged = parting([column.taxon.id for column in columns if column.taxon is not None], reference)
    apart = judged.parts or _parts_of_finds(columns, reference)
    chosen, further = _chosen(apart, judged.vital, columns, reference, press.units)
    sources: dict[str, None] = {}
    for feature in chosen:
        for column in columns:
            if column.taxon is not None and column.found is None:
                sources.update(dict.fromkeys(written_words(reference, column.taxon.id, feature)[1]))
    leaf = HandoutLeaf(
        tuple(_column(column, reader, press) for column in columns),
        tuple(_row(feature, columns, feature in apart, reference, press.units) for feature in chosen),
        _missed(apart),
        tuple(feature.name for feature in judged.alike[:MOST_ALIKE]),
        tuple(plain_name(feature.name) for feature in further),
    )
    return leaf, tuple(sources)


def _parts_of_finds(columns: Sequence[_Column], reference: Reference) -> tuple[Feature, ...]:
    """What two finds without names differ by, as far as both were looked at."""
    found = []
    for feature in reference.vocabulary.features:
        if feature.part in _NOT_TAUGHT or feature.kind != "states":
            continue
        known = [states for column in columns if (states := column.states(feature, reference))]
        if any(not one & other for one, other in combinations(known, 2)):
            found.append(feature)
    return tuple(found)


def _chosen(
    apart: Sequence[Feature],
    vital: Sequence[Feature],
    columns: Sequence[_Column],
    reference: Reference,
    units: str,
) -> tuple[list[Feature], list[Feature]]:
    """The features to give a row, in the order of the parts, and those that part too and have no room.

    Vital ones always; then what parts, what can be looked at soonest first. Where nothing parts, what is
    told of two columns at least.
    """
    order = {feature.id: place for place, feature in enumerate(reference.vocabulary.features)}
    taught = [feature for feature in apart if feature not in vital]
    if not taught and not vital:
        taught = [
            feature
            for feature in reference.vocabulary.features
            if feature.part not in _NOT_TAUGHT
            and feature.kind != "text"
            and sum(c.cell(feature, reference, units) not in (NOT_LOOKED_AT, NOT_STATED) for c in columns)
            >= 2
        ]
    taught.sort(key=lambda feature: _COSTS.get(feature.cost, len(_COSTS)))
    room = max(MOST_ROWS - len(vital), 3)
    rows = sorted((*vital, *taught[:room]), key=lambda feature: order.get(feature.id, len(order)))
    return rows, taught[room:]


def _row(
    feature: Feature, columns: Sequence[_Column], separates: bool, reference: Reference, units: str
) -> HandoutRow:
    shown = [column.states(feature, reference) for column in columns]
    cells = tuple(column.cell(feature, reference, units) for column in columns)
    strong = tuple(
        _strong(feature, place, shown, reference) if separates else () for place in range(len(shown))
    )
    drawings = _figures(feature, columns, reference) if separates else ()
    return HandoutRow(feature.part.value, plain_name(feature.name), cells, separates, strong, drawings)


def _figures(
    feature: Feature, columns: Sequence[_Column], reference: Reference
) -> tuple[Drawing | None, ...]:
    """What each column shows of a feature, drawn; nothing where fewer than two of them can be."""
    drawn = tuple(column.figure(feature, reference) for column in columns)
    return drawn if sum(one is not None for one in drawn) >= 2 else ()


def _strong(
    feature: Feature, place: int, shown: Sequence[frozenset[str]], reference: Reference
) -> tuple[str, ...]:
    """The names of the states in one cell that some other column, of which anything is known, does not show."""
    others = [states for other, states in enumerate(shown) if other != place and states]
    own = [state for state in shown[place] if any(state not in states for states in others)]
    absent = reference.absent_name(feature.id) or "not there"
    return tuple(
        absent if state == ABSENT else state_name(reference.vocabulary, feature.id, state) for state in own
    )


def _open_words(found: Gathered, reader: Reader, press: Press) -> str:
    """How many more the records of a find do not exclude, which can kill, and where all of them stand."""
    kept = secrets_of(found, reader, press.person)
    now = found.present_name
    name = scrubbed(now.display_name, kept) if now is not None else "not named yet"
    groups = groups_of(found, weighed(found, press.prepared), press.reference)
    told = worst_named(groups, MOST_NAMED)
    if not told:
        return f"{found.specimen.number}, {name}: {NOTHING_LEFT}"
    return f"{found.specimen.number}, {name}: {told}. All of them stand on its specimen sheet."


def _beside_words(beside: Sequence[Taxon], reference: Reference) -> str:
    """The lookalikes that are not laid out, those that can kill first; '' where all are."""
    if not beside:
        return ""
    fatal = sum(reference.severity_of(taxon.id) is Severity.FATAL for taxon in beside)
    kill = f", {fatal} can kill" if fatal else ""
    are = "that is mistaken for it is" if len(beside) == 1 else "that are mistaken for it are"
    return f"{len(beside)} more {are} not laid out here{kill}: {short_names(beside)}."


def _missed(separating: Sequence[Feature]) -> str:
    """Of what parts them, the feature most often overlooked: left in the soil, washed off, faded."""
    if not separating:
        return TREAT_AS_WORST
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


def _misleads(columns: Sequence[_Column], reference: Reference) -> tuple[str, ...]:
    """What misleads about each poisoning, once for all the taxa it is true of."""
    of_words: dict[str, dict[Taxon, None]] = {}
    for column in columns:
        if column.taxon is not None:
            for row in reference.hazards_of(column.taxon.id):
                if row.misleads:
                    of_words.setdefault(row.misleads, {})[column.taxon] = None
    return tuple(f"{short_names(list(taxa))}: {words}" for words, taxa in of_words.items())
