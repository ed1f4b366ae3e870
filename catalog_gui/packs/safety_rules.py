"""What a later pack may do to an earlier one: add, and correct, but never make a danger look smaller.

- Hazards, stages of poisonings and confusions of all packs stand beside each other.
- What is written of a taxon that an earlier pack calls dangerous stands beside what the later one writes: the
  weighing takes the kinder frequency of the two and the span of both size ranges.
- Such a taxon keeps its genus and section, because the deadly relatives of a name are found by them, and
  its earlier name stays as a synonym.
- A feature may be called more fragile, not less, and keeps its kin and what it needs: otherwise its absence
  would count for more than the earlier pack lets it.

What a later pack writes about a feature on which the earlier one is silent counts like any other row.
"""

from __future__ import annotations

from collections.abc import Collection

from catalog_gui.packs.columns import (
    CONFUSIONS,
    FEATURES,
    HAZARDS,
    STAGES,
    SYNDROMES,
    SYNONYMS,
    TAXA,
    TAXON_SIZES,
    TAXON_STATES,
    TableForm,
)

Row = dict[str, str]

ALWAYS_BESIDE = (HAZARDS, STAGES, CONFUSIONS, SYNONYMS)
"""Rows of these tables are only ever added."""

SAID_OF_A_SYNDROME = ("poison", "organ", "harm", "harm_source")
"""Columns that a later pack may leave out without silencing what an earlier one says."""

_BESIDE_FOR_THE_DANGEROUS = (TAXON_STATES, TAXON_SIZES)


def stands_beside(form: TableForm, row: Row, dangerous: Collection[str]) -> bool:
    """Whether a row of a later pack leaves the earlier rows with its key where they are."""
    return form in ALWAYS_BESIDE or (form in _BESIDE_FOR_THE_DANGEROUS and row["taxon"] in dangerous)


def corrected(form: TableForm, earlier: Row, later: Row, dangerous: Collection[str]) -> Row:
    """The row that takes the place of `earlier`: `later`, without what would make a danger look smaller."""
    if form is TAXA and later["taxon"] in dangerous:
        return {**later, "genus": genus_of(earlier), "section": earlier["section"] or later["section"]}
    if form is SYNDROMES:
        said = {name: earlier[name] for name in SAID_OF_A_SYNDROME if earlier.get(name)}
        return {**said, **{name: words for name, words in later.items() if words or name not in said}}
    if form is FEATURES:
        kept = {name: earlier[name] for name in ("kin", "needs") if earlier.get(name)}
        return {**later, **kept, "fragility": max(earlier["fragility"], later["fragility"])}
    return later


def genus_of(taxon: Row) -> str:
    """The genus of a row of taxa: as written, else the first word of the name."""
    return taxon["genus"] or taxon["name"].split(" ")[0]
