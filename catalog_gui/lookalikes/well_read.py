"""How well a taxon is read: on how many pages, in how many independent texts, and what stands from memory."""

from __future__ import annotations

from dataclasses import dataclass

from catalog_gui.lookalikes.reference import MEMORY, Reference


@dataclass(frozen=True, slots=True)
class Reading:
    """Counts of one taxon, or of a whole reference: `pages` read, features `with_page` of `described`."""

    pages: int
    with_page: int
    described: int

    @property
    def words(self) -> str:
        """'Read on 5 pages: 41 of 52 features have a page, 11 stand from memory.'"""
        if not self.pages:
            return "No page was read for this: everything stands from memory."
        pages = "1 page" if self.pages == 1 else f"{self.pages} pages"
        left = self.described - self.with_page
        rest = f", {left} {'stands' if left == 1 else 'stand'} from memory" if left else ""
        return f"Read on {pages}: {self.with_page} of {self.described} features have a page{rest}."

    @property
    def share_from_memory(self) -> float:
        """The share of the described features for which no page was read, 0 to 1."""
        return 1 - self.with_page / self.described if self.described else 1.0


def reading_of(reference: Reference, taxon_id: str) -> Reading:
    """Count the pages behind what is written of one taxon. A user's own sources count as pages."""
    by_feature: dict[str, set[str]] = {}
    for row in reference.all_states_of(taxon_id):
        by_feature.setdefault(row.feature, set()).update(row.sources)
    for size in reference.sizes_of(taxon_id):
        by_feature.setdefault(size.feature, set()).add(size.source)
    return _counted([by_feature])


def reading_of_all(reference: Reference) -> Reading:
    """Count the pages behind a whole reference, feature by feature of each taxon."""
    by_cell: dict[str, set[str]] = {}
    for row in reference.states:
        by_cell.setdefault(f"{row.taxon} {row.feature}", set()).update(row.sources)
    for size in reference.sizes:
        by_cell.setdefault(f"{size.taxon} {size.feature}", set()).add(size.source)
    return _counted([by_cell])


def _counted(groups: list[dict[str, set[str]]]) -> Reading:
    read = [sources - {MEMORY, ""} for group in groups for sources in group.values()]
    return Reading(len(set().union(*read)), sum(bool(sources) for sources in read), len(read))
