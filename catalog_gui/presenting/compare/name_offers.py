"""Names to offer for what somebody types: what begins with it before what only holds it somewhere."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog_gui.lookalikes.reference import Reference

MOST = 60
"""So many names are offered at once."""


@dataclass(frozen=True, slots=True)
class NameOffer:
    """A name that can be typed: the words of the list, the taxon's id, and the names it answers to."""

    words: str
    taxon: str
    names: tuple[str, ...]


def name_offers(reference: Reference) -> tuple[NameOffer, ...]:
    """Make one offer a taxon and one a synonym, in the order of the alphabet."""
    offers = []
    for taxon in reference.taxa:
        english = f" ({taxon.english})" if taxon.english else ""
        names = tuple(name.casefold() for name in (taxon.name, taxon.english) if name)
        offers.append(NameOffer(f"{taxon.name}{english}", taxon.id, names))
        offers += [
            NameOffer(f"{one.name}, now {taxon.name}", taxon.id, (one.name.casefold(),))
            for one in reference.synonyms_of(taxon.id)
        ]
    return tuple(sorted(offers, key=lambda offer: offer.words.casefold()))


def offers_for(typed: str, offers: Iterable[NameOffer]) -> list[NameOffer]:
    """Choose the offers that hold what was typed, the likeliest first, `MOST` at most.

    First a name that is just that, then one that begins with it, then one with a word that begins with it,
    then the rest. So "death cap" means the death cap before the false death cap.
    """
    wanted = " ".join(typed.casefold().split())
    if not wanted:
        return []
    ranked = []
    for offer in offers:
        rank = min((_rank(wanted, name) for name in (*offer.names, offer.words.casefold())), default=9)
        if rank < _NOWHERE:
            ranked.append((rank, offer))
    ranked.sort(key=lambda pair: pair[0])
    return [offer for _, offer in ranked[:MOST]]


def taxon_typed(typed: str, offers: Sequence[NameOffer], reference: Reference) -> str:
    """Find the id of the taxon that is meant beyond doubt: a whole name or offer, or the only one; else ''."""
    words = " ".join(typed.casefold().split())
    exact = {offer.taxon for offer in offers if words == offer.words.casefold()}
    exact = exact or {offer.taxon for offer in offers if words in offer.names}
    if len(exact) == 1:
        return exact.pop()
    named = reference.named(typed.split(" (", maxsplit=1)[0])
    if named is not None:
        return named.id
    left = {offer.taxon for offer in offers_for(typed, offers)}
    return left.pop() if len(left) == 1 else ""


_NOWHERE = 4


def _rank(wanted: str, name: str) -> int:
    if name == wanted:
        return 0
    if name.startswith(wanted):
        return 1
    if f" {wanted}" in name or f"({wanted}" in name:
        return 2
    return 3 if wanted in name else _NOWHERE
