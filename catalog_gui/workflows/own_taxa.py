"""Own taxa, and own values for taxa that are there, as rows for the user's own pack.

Each function takes the reference as it is and gives the rows to write; it raises BadInput with a sentence
for what makes no sense. Nothing here can make a danger smaller: rows are only ever written to the user's pack,
and what of ours stands beside them is settled where packs are read (ours always stays for hazards,
confusions and dangerous taxa).
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.pack_edit import RowEdit
from catalog_gui.domain.problem import BadInput
from catalog_gui.lookalikes.reference import ABSENT, MEMORY, Frequency, Reference, Severity, name_key
from catalog_gui.workflows.ports import OwnPack

RANKS = ("species", "variety", "subspecies", "form", "genus", "section", "aggregate", "species complex")
TABLES_ABOUT_TAXA = ("taxa", "synonyms", "taxon_states", "taxon_sizes", "hazards", "confusions")


@dataclass(frozen=True, slots=True)
class TaxonDraft:
    """What the user typed about a name. `forms` are states of whole.form; `source` an id, a citation, or ''."""

    name: str
    authority: str = ""
    english: str = ""
    rank: str = "species"
    genus: str = ""
    section: str = ""
    forms: tuple[str, ...] = ()
    group: str = ""
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class HazardDraft:
    """A documented poisoning as the user typed it. The onset runs from `low` to `high` in `unit` (min, h, d)."""

    severity: Severity
    source: str
    syndrome: str = ""
    toxin: str = ""
    low: float | None = None
    high: float | None = None
    unit: str = "h"
    counts: str = ""
    misleads: str = ""
    note: str = ""


def is_hers(reference: Reference, pack: str) -> bool:
    """Whether a value comes from the user's own pack."""
    return bool(pack) and pack != reference.packs[0]


def cited(reference: Reference, words: str) -> tuple[str, tuple[RowEdit, ...]]:
    """The id of a source, and the row that makes it known where it is new.

    `words` is an id, a citation that is there already, a new citation, or '' for memory.
    """
    plain = " ".join(words.split())
    if not plain:
        plain = MEMORY
    if reference.source(plain) is not None:
        return plain, ()
    for source in reference.sources:
        if source.citation.casefold() == plain.casefold():
            return source.id, ()
    if plain == MEMORY:
        row = {"source": MEMORY, "citation": "From memory, source not seen", "kind": "memory", "seen": "no"}
        return MEMORY, (RowEdit("sources", row),)
    year = next((w for w in _words(plain) if len(w) == 4 and w.isdigit()), "")
    first = next(iter(_words(plain)), "source")
    key = _free(f"{first}-{year}" if year else first, reference)
    return key, (RowEdit("sources", {"source": key, "citation": plain, "year": year, "seen": "yes"}),)


def _free(key: str, reference: Reference) -> str:
    wanted, number = key, 2
    while reference.source(wanted) is not None:
        wanted, number = f"{key}-{number}", number + 1
    return wanted


def new_taxon(reference: Reference, draft: TaxonDraft) -> tuple[str, tuple[RowEdit, ...]]:
    """The id and the rows of a taxon that is not in the reference yet."""
    key = taxon_key(draft.name)
    if not key:
        raise BadInput("A taxon needs a name, such as 'Amanita phalloides'.")
    there = reference.named(draft.name) or reference.taxon(key)
    if there is not None:
        raise BadInput(
            f"'{draft.name.strip()}' is in the reference already as {there.name}. "
            f"Add your own values to that one."
        )
    return key, _taxon_rows(reference, key, draft)


def corrected_taxon(reference: Reference, taxon_id: str, draft: TaxonDraft) -> tuple[RowEdit, ...]:
    """The rows that put the user's name, authority, English name, group and note in place of what stands there."""
    taxon = reference.taxon(taxon_id)
    if taxon is None:
        raise BadInput("That taxon is not in the reference any longer.")
    if not taxon_key(draft.name):
        raise BadInput("A taxon needs a name, such as 'Amanita phalloides'.")
    there = reference.named(draft.name)
    if there is not None and there.id != taxon_id:
        raise BadInput(f"'{draft.name.strip()}' is the name or a synonym of {there.name} already.")
    return _taxon_rows(reference, taxon_id, draft)


def _taxon_rows(reference: Reference, key: str, draft: TaxonDraft) -> tuple[RowEdit, ...]:
    name = " ".join(draft.name.split())
    for form in draft.forms:
        if reference.vocabulary.state(roles.FORM, form) is None:
            raise BadInput(f"'{form}' is no form of a fruit body.")
    source, sources = cited(reference, draft.source)
    cells = {
        "taxon": key,
        "name": name,
        "authority": draft.authority,
        "rank": draft.rank or "species",
        "genus": draft.genus.strip() or name.split(" ")[0],
        "section": draft.section,
        "english": draft.english,
        "forms": "|".join(draft.forms),
        "group": draft.group,
        "note": draft.note,
        "source": source,
    }
    return (*sources, RowEdit("taxa", cells))


def state_rows(
    reference: Reference,
    taxon_id: str,
    feature_id: str,
    state: str,
    frequency: Frequency,
    *,
    source: str = "",
    note: str = "",
) -> tuple[RowEdit, ...]:
    """How often the taxon shows a state, or `ABSENT` where that makes sense."""
    feature = reference.vocabulary.feature(feature_id)
    if feature is None:
        raise BadInput("Choose a feature.")
    if feature.kind != "states":
        raise BadInput(f"'{feature.name}' is not chosen from states.")
    if state == ABSENT:
        if not reference.absent_name(feature_id):
            raise BadInput(f"'{feature.name}' cannot be absent.")
    elif reference.vocabulary.state(feature_id, state) is None:
        raise BadInput(f"Choose a state of '{feature.name}'.")
    key, sources = cited(reference, source)
    cells = {
        "taxon": taxon_id,
        "feature": feature_id,
        "state": state,
        "frequency": frequency.value,
        "source": key,
        "note": note,
    }
    return (*sources, RowEdit("taxon_states", cells))


def size_rows(
    reference: Reference,
    taxon_id: str,
    feature_id: str,
    low: float | None,
    high: float | None,
    *,
    lowest: float | None = None,
    highest: float | None = None,
    source: str = "",
    note: str = "",
) -> tuple[RowEdit, ...]:
    """A usual range in the unit of the feature, and the extremes where they are known."""
    feature = reference.vocabulary.feature(feature_id)
    if feature is None or feature.kind != "number":
        raise BadInput("Choose something that is measured.")
    if low is None or high is None:
        raise BadInput(f"A size needs two numbers: from and to, in {feature.unit}.")
    numbers = [n for n in (lowest, low, high, highest) if n is not None]
    if any(not math.isfinite(n) or n <= 0 for n in numbers):
        raise BadInput("A size is a number above 0.")
    if numbers != sorted(numbers):
        raise BadInput("The numbers run from the smallest to the largest: lowest, from, to, highest.")
    key, sources = cited(reference, source)
    cells = {
        "taxon": taxon_id,
        "feature": feature_id,
        "low": f"{low:g}",
        "high": f"{high:g}",
        "extreme_low": f"{lowest:g}" if lowest is not None else "",
        "extreme_high": f"{highest:g}" if highest is not None else "",
        "unit": feature.unit,
        "source": key,
        "note": note,
    }
    return (*sources, RowEdit("taxon_sizes", cells))


def hazard_rows(reference: Reference, taxon_id: str, draft: HazardDraft) -> tuple[RowEdit, ...]:
    """A poisoning that is documented somewhere. It stands beside what is written of the taxon already."""
    plain = draft.source.strip()
    if not plain or plain == MEMORY or plain == _citation(reference, MEMORY):
        raise BadInput(
            "Say where this poisoning is documented. Words of your own about it go into your notes."
        )
    if draft.syndrome and reference.syndrome(draft.syndrome) is None:
        raise BadInput(f"'{draft.syndrome}' is not a known syndrome.")
    numbers = [n for n in (draft.low, draft.high) if n is not None]
    if any(not math.isfinite(n) or n < 0 for n in numbers) or numbers != sorted(numbers):
        raise BadInput("The onset runs from the shorter to the longer time.")
    if draft.unit not in {"min", "h", "d"}:
        raise BadInput("The onset is counted in min, h or d.")
    key, sources = cited(reference, plain)
    cells = {
        "taxon": taxon_id,
        "syndrome": draft.syndrome,
        "toxin": draft.toxin,
        "severity": draft.severity.value,
        "onset_low": f"{draft.low:g}" if draft.low is not None else "",
        "onset_high": f"{draft.high:g}" if draft.high is not None else "",
        "onset_unit": draft.unit if numbers else "",
        "onset_counts": draft.counts,
        "misleads": draft.misleads,
        "source": key,
        "note": draft.note,
    }
    return (*sources, RowEdit("hazards", cells))


def _citation(reference: Reference, source_id: str) -> str:
    source = reference.source(source_id)
    return source.citation if source is not None else ""


def pair_rows(
    reference: Reference,
    taxon_id: str,
    other_id: str,
    *,
    separates: Sequence[str] = (),
    shared: Sequence[str] = (),
    source: str = "",
    note: str = "",
) -> tuple[RowEdit, ...]:
    """Two taxa that are mistaken for each other: one row in each direction, as the pack wants it."""
    if reference.taxon(other_id) is None:
        raise BadInput("Choose the other taxon from the reference; add it first if it is not there.")
    if other_id == taxon_id:
        raise BadInput("A taxon is not its own lookalike.")
    for feature in (*separates, *shared):
        if reference.vocabulary.feature(feature) is None:
            raise BadInput(f"There is no feature '{feature}'.")
    both = set(separates) & set(shared)
    if both:
        raise BadInput("A feature either tells them apart or does not; take it out of one list.")
    key, sources = cited(reference, source)
    rows = [
        RowEdit(
            "confusions",
            {
                "taxon": one,
                "lookalike": other,
                "separates": "|".join(dict.fromkeys(separates)),
                "does_not_separate": "|".join(dict.fromkeys(shared)),
                "note": note,
                "source": key,
            },
        )
        for one, other in ((taxon_id, other_id), (other_id, taxon_id))
    ]
    return (*sources, *rows)


def her_rows(pack: OwnPack, taxon_id: str) -> tuple[tuple[str, Mapping[str, str]], ...]:
    """Every row of the user's pack about a taxon: table and cells. Pairs are given once, from this side."""
    return tuple(
        (table, row)
        for table in TABLES_ABOUT_TAXA
        for row in pack.rows(table)
        if row.get("taxon") == taxon_id
    )


def without(rows: Iterable[tuple[str, Mapping[str, str]]]) -> tuple[RowEdit, ...]:
    """The edits that take the user's rows away; of a pair both directions go."""
    edits: list[RowEdit] = []
    for table, row in rows:
        edits.append(RowEdit(table, row, away=True))
        if table == "confusions":
            other = {**row, "taxon": row["lookalike"], "lookalike": row["taxon"]}
            edits.append(RowEdit(table, other, away=True))
    return tuple(edits)


def without_taxon(pack: OwnPack, taxon_id: str) -> tuple[RowEdit, ...]:
    """The edits that take everything about a taxon out of the user's pack; of ours everything stays."""
    rows = list(her_rows(pack, taxon_id))
    rows += [("confusions", row) for row in pack.rows("confusions") if row.get("lookalike") == taxon_id]
    return without(rows)


def taxon_key(name: str) -> str:
    """The id that a name gets: its words in lower case, joined by '-'; '' for a name without letters.

    Authors and qualifiers do not count, as everywhere when a name is looked up.
    """
    return "-".join(_words(name_key(name)))


def _words(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(
        c if c.isalnum() and c.isascii() else " " for c in plain if not unicodedata.combining(c)
    )
    return letters.split()
