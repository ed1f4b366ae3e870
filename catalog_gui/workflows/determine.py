"""Giving a name: who, when, on what basis, how sure. A new opinion is a further slip; none is overwritten."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from catalog_gui.domain.problem import BadInput
from catalog_gui.domain.specimen import Determination, Qualifier, present_determination
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.workflows.ports import Surroundings, UnitOfWork

_SIGNS = {
    "cf": Qualifier.CF,
    "aff": Qualifier.AFF,
    "sp": Qualifier.SP,
    "spp": Qualifier.SP,
    "agg": Qualifier.AGG,
}


def determine(
    work: UnitOfWork,
    specimen_id: str,
    name: str,
    *,
    reference: Reference,
    surroundings: Surroundings,
    qualifier: Qualifier = Qualifier.NONE,
    by: str = "",
    on: date | None = None,
    basis: str = "",
) -> Determination:
    """Give the specimen a name; it replaces the present one, which stays in the history.

    A qualifier typed into the name ('Amanita cf. phalloides') is taken out of it and kept as such. The name
    stays as typed; the taxon is found by name or synonym where the reference has it. Raises BadInput for an
    empty name, an unknown specimen, or a date in the future.
    """
    if work.specimens.get(specimen_id) is None:
        raise BadInput("That specimen is not there any longer.")
    plain, typed = split_name(name)
    if not plain:
        raise BadInput("A determination needs a name; 'sp.' alone says nothing.")
    today = surroundings.now().date()
    if on is not None and on > today:
        raise BadInput("A name cannot be given in the future.")
    qualifier = typed if qualifier is Qualifier.NONE else qualifier
    taxon = reference.named(plain)
    before = present(history(work, specimen_id))
    made = Determination(
        surroundings.new_id(),
        specimen_id,
        plain,
        taxon.id if taxon is not None and qualifier is not Qualifier.SP else "",
        qualifier,
        by.strip(),
        on or today,
        " ".join(basis.split()),
        surroundings.now(),
        before.id if before is not None else "",
    )
    work.determinations.put(made)
    return made


def history(work: UnitOfWork, specimen_id: str) -> tuple[Determination, ...]:
    """Every name given to the specimen, the first one first."""
    return work.determinations.where(specimen_id=specimen_id)


present = present_determination
"""The name a specimen goes by, from its determinations in the order of entry."""


def present_by_specimen(given: Sequence[Determination]) -> dict[str, Determination]:
    """The present determination of each specimen that has one."""
    by_specimen: dict[str, list[Determination]] = {}
    for one in given:
        by_specimen.setdefault(one.specimen_id, []).append(one)
    return {key: now for key, rows in by_specimen.items() if (now := present(rows)) is not None}


def current_names(work: UnitOfWork, specimen_ids: tuple[str, ...]) -> dict[str, str]:
    """The name each specimen goes by now: the determination that nothing replaces."""
    given = work.determinations.where(specimen_id=specimen_ids) if specimen_ids else ()
    return {key: one.display_name for key, one in present_by_specimen(given).items()}


def split_name(name: str) -> tuple[str, Qualifier]:
    """A typed name without its qualifier, and the qualifier: 'Amanita cf. phalloides' and the like."""
    kept: list[str] = []
    qualifier = Qualifier.NONE
    for word in name.split():
        sign = _SIGNS.get(word.casefold().rstrip("."))
        if sign is not None and (word.endswith(".") or sign is not Qualifier.NONE):
            qualifier = sign
        else:
            kept.append(word)
    if kept:
        kept[0] = kept[0][:1].upper() + kept[0][1:]
    return " ".join(kept), qualifier
