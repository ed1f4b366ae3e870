"""How bad a poisoning is, in words: the grade, and what the sick suffer. No reader sees the grades' code."""

from __future__ import annotations

from catalog_gui.lookalikes.reference import Reference, Severity


def harm_words(reference: Reference, syndrome_id: str, severity: Severity) -> str:
    """'can kill: liver failure, often with the kidneys': the grade of a taxon, and its syndrome's harm."""
    syndrome = reference.syndrome(syndrome_id)
    harm = syndrome.harm if syndrome is not None else ""
    return f"{severity.means}: {harm}" if harm else severity.means


def harm_of(reference: Reference, taxon_id: str) -> str:
    """The worst that is documented for a taxon, in words; '' where nothing is written down."""
    rows = reference.hazards_of(taxon_id)
    return harm_words(reference, rows[0].syndrome, rows[0].severity) if rows else ""
