"""Her own words on a taxon of the reference."""

from __future__ import annotations

from catalog_gui.domain.ledger import TaxonNote
from catalog_gui.workflows.ports import Surroundings, Work


def note_of(work: Work, taxon_id: str) -> TaxonNote | None:
    """What she wrote about a taxon, or None."""
    found = work.taxon_notes.where(taxon=taxon_id)
    return found[-1] if found else None


def write_note(work: Work, taxon_id: str, text: str, *, surroundings: Surroundings) -> TaxonNote | None:
    """Keep her words on a taxon in place of what stood there; empty words take the note away."""
    before = note_of(work, taxon_id)
    words = text.strip()
    if not words:
        if before is not None:
            work.taxon_notes.remove(before.id)
        return None
    note = TaxonNote(
        before.id if before is not None else surroundings.new_id(), taxon_id, words, surroundings.now()
    )
    work.taxon_notes.put(note)
    return note
