"""Reckons, for every specimen, the worst taxon that its records do not exclude. Runs beside the work."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from catalog_gui.domain.ledger import Reckoned, ToReckon
from catalog_gui.lookalikes.prepared import Prepare
from catalog_gui.lookalikes.reference import Reference, Severity
from catalog_gui.workflows.ports import Records
from catalog_gui.workflows.weigh_find import weigh_find

RULE = "1"
"""Raise it when the rule of exclusion changes: what was reckoned by the old one is then reckoned anew."""

AT_ONCE = 20
"""So many specimens are weighed between two looks at whether to stop, and written together."""


def basis_of(reference: Reference) -> str:
    """Name the reference and the rule that a result was reckoned with: 32 hexadecimal digits."""
    made = hashlib.blake2b(RULE.encode(), digest_size=16)
    for table in (
        reference.taxa,
        reference.states,
        reference.sizes,
        reference.hazards,
        reference.confusions,
        reference.synonyms,
        reference.vocabulary.features,
        reference.vocabulary.states,
    ):
        for row in table:
            made.update(repr(row).encode("utf-8", "surrogatepass"))
    made.update(repr((dict(reference.ties.kin), dict(reference.ties.needs))).encode())
    return made.hexdigest()


def reckon_not_excluded(
    records: Records,
    reference: Reference,
    prepare: Prepare,
    *,
    cancelled: Callable[[], bool] = lambda: False,
    progress: Callable[[int], object] = lambda _: None,
) -> int:
    """Weigh every specimen that is not weighed as it stands now; gives how many were. Takes a while."""
    basis = basis_of(reference)
    reckoned = 0
    while not cancelled():
        asked = records.not_excluded_asked(basis, AT_ONCE)
        if not asked:
            break
        records.keep_not_excluded(basis, _weighed(records, asked, reference, prepare))
        reckoned += len(asked)
        progress(reckoned)
    return reckoned


def _weighed(
    records: Records, asked: tuple[ToReckon, ...], reference: Reference, prepare: Prepare
) -> list[Reckoned]:
    versions = {one.specimen_id: one.version for one in asked}
    found = []
    with records.read() as work:
        struck_out = work.struck_out(tuple(versions))
        for specimen in work.specimens.where(id=tuple(versions)):
            judged = weigh_find(
                work.evidence.where(specimen_id=specimen.id),
                prepare(reference),
                determinations=work.determinations.where(specimen_id=specimen.id),
                collected_at=specimen.collected_at,
                struck_out=struck_out.get(specimen.id, ()),
                checks=0,
            )
            hazards = judged.weighing.hazards
            worst = min(hazards, key=lambda hazard: hazard.severity.order, default=None)
            found.append(
                Reckoned(
                    specimen.id,
                    versions[specimen.id],
                    worst.severity.value if worst is not None else "",
                    worst.taxon.id if worst is not None else "",
                    sum(hazard.severity is Severity.FATAL for hazard in hazards),
                    len(hazards),
                )
            )
    return found
