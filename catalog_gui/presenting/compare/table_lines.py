"""The lines of the table: one feature of the find beside the same feature of up to three taxa."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature
from catalog_gui.lookalikes.reasons import Reason, Verdict, seen_words, texts_words, written_words
from catalog_gui.lookalikes.reference import Frequency, Reference, Taxon
from catalog_gui.lookalikes.weighing import Weighing
from catalog_gui.presenting.compare.state import Cell, Line, Says

Records = Mapping[str, Sequence[Evidence]]
_SAYS = {
    Verdict.AGREES: Says.AGREES,
    Verdict.WEAKLY_AGAINST: Says.LITTLE,
    Verdict.AGAINST: Says.AGAINST,
}
_COMMON = frozenset({Frequency.ALWAYS, Frequency.USUALLY, Frequency.SOMETIMES})
_ALIKE_OVERLAP = 0.75
"""Share of the longer of two size ranges that must be common to both before they read alike."""


def reasons_of(weighing: Weighing, taxa: Sequence[Taxon]) -> list[dict[str, list[Reason]]]:
    """For each taxon: feature to the reasons for and against."""
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


def table_lines(
    by_feature: Records,
    taxa: Sequence[Taxon],
    reference: Reference,
    reasons: Sequence[Mapping[str, Sequence[Reason]]],
    *,
    teaching: bool,
) -> tuple[Line, ...]:
    """A line for every feature that was recorded or is written of one of the taxa."""
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
        if feature.kind == "states":
            cells = [
                replace(
                    cell, texts=texts_words(reference, feature, reference.states_of(taxon.id, feature.id))
                )
                for cell, taxon in zip(cells, taxa, strict=True)
            ]
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
