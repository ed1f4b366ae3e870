"""Which photos go by which clock: two cameras of one model without serial numbers have one each."""

from __future__ import annotations

from collections.abc import Mapping

from catalog_gui.grouping.proposal import Proposal


def photos_by_clock(proposal: Proposal) -> Mapping[str, tuple[str, ...]]:
    """Clock key to the ids of its photos, in the order given; photos without any time go by none."""
    if proposal.reckoning is None:
        return {}
    ids = proposal.reckoning.timeline.columns.ids
    return {
        s.key: tuple(ids[row] for row in sorted(s.rows.tolist())) for s in proposal.reckoning.timeline.streams
    }
