"""The user's own words on a taxon of the reference, and whether the places of its finds are kept private."""

from __future__ import annotations

from catalog_gui.domain.ledger import TaxonNote
from catalog_gui.workflows.ports import Surroundings, UnitOfWork


def note_of(work: UnitOfWork, taxon_id: str) -> TaxonNote | None:
    """Find what is written about a taxon, or None."""
    found = work.taxon_notes.where(taxon=taxon_id)
    return found[-1] if found else None


def write_note(
    work: UnitOfWork,
    taxon_id: str,
    text: str | None = None,
    *,
    private_places: bool | None = None,
    surroundings: Surroundings,
) -> TaxonNote | None:
    """Keep words on a taxon, and whether its places are private, in place of what stood there.

    None leaves what stood. Where no word is left and the places are not private the note is taken away.
    """
    before = note_of(work, taxon_id)
    words = text.strip() if text is not None else before.text if before is not None else ""
    private = private_places if private_places is not None else before is not None and before.private_places
    if not words and not private:
        if before is not None:
            work.taxon_notes.remove(before.id)
        return None
    key = before.id if before is not None else surroundings.new_id()
    note = TaxonNote(key, taxon_id, words, surroundings.now(), private)
    work.taxon_notes.put(note)
    return note
