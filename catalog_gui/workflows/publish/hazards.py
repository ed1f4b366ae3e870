"""The dangerous taxa that are not excluded, as papers print them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from catalog_gui.domain.sheet import HazardWords
from catalog_gui.domain.struck_out import StruckOut
from catalog_gui.lookalikes.onset import onset_words
from catalog_gui.lookalikes.reasons import marked
from catalog_gui.lookalikes.reference import Reference
from catalog_gui.lookalikes.weighing import NotExcluded
from catalog_gui.workflows.publish.words import (
    OWN_ON_PAPER,
)
from catalog_gui.workflows.weigh_find import struck_words


def hazard_words(
    hazards: Sequence[NotExcluded],
    reference: Reference,
    held: Mapping[str, Sequence[StruckOut]] | None = None,
) -> tuple[HazardWords, ...]:
    """The dangerous taxa that are not excluded, worst and closest first, as papers print them.

    `held` says which of them stand only because of records that were struck out.
    """
    words = []
    for hazard in hazards:
        taxon = hazard.taxon
        english = f" ({taxon.english})" if taxon.english else ""
        mine = marked(reference, taxon.pack, OWN_ON_PAPER)
        gone = struck_words((held or {}).get(taxon.id, ()), reference)
        words.append(
            HazardWords(
                taxon.name + english + mine,
                hazard.severity.value,
                f"{gone}; {hazard.why_not_excluded}" if gone else hazard.why_not_excluded,
                onset_words(reference, taxon.id),
                hazard.close,
            )
        )
    return tuple(words)
