"""A last look at finished files that go out with no place: whatever is still written as a place is asked about."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from catalog_gui.domain.privacy import places_in
from catalog_gui.domain.problem import Problem

_MASK = "\ue000"
# What only looks like a place. File names as JEITA CP-3461 (DCF) forms them: four letters or figures, then four
# figures. A stem that begins as a lettered grid square does, and goes on in figures alone, is looked at.
_NO_PLACES = re.compile(
    r"\b(?![HJNOST][A-HJ-Z]\d{6}\.)[A-Z0-9_]{4}\d{4}\.(?:jpe?g|tiff?|png|heic|heif|dng|webp)\b"
    # identifiers: RFC 9562, DOI
    r"|\b[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}\b"
    r"|\b(?:https?://(?:dx\.)?doi\.org/|doi:\s?)10\.\d{4,9}/\S+"
    # the names of schemas and terms, and the licences of one well-known maker of licences
    r"|\bhttps?://(?:[a-z]+\.)*(?:tdwg\.org|gbif\.org|purl\.org|w3\.org|adobe\.com|ecoinformatics\.org"
    r"|creativecommons\.org)(?=[/\s\"'<>,;)]|$)[^\s<>\"',;]*"
    # moments of ISO 8601 with their offset from UTC, which ISO 6709 could take for a place
    r"|\b\d{4}-\d{2}-\d{2}(?:[T ]\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:?\d{2})?)?\b",
    re.IGNORECASE,
)


class PlacesLeft(Problem):
    """What was to go out with no place still holds words that are written as places are; nothing was written."""

    def __init__(self, places: tuple[str, ...]) -> None:
        self.places = places
        shown = ", ".join(f"'{' '.join(words.split())}'" for words in places)
        super().__init__(f"It was to go out with no place, but {shown} may be one. Nothing was written.")

    def __reduce__(self) -> tuple[type[PlacesLeft], tuple[tuple[str, ...]]]:
        """Carry the places to another process."""
        return PlacesLeft, (self.places,)


@dataclass(frozen=True, slots=True)
class LastLook:
    """What to let pass: `known` words of the order itself (numbers to call, a licence), addresses that begin
    with one of `webs`, and `left_in`, what the user has said may stay.
    """

    known: tuple[str, ...] = ()
    webs: tuple[str, ...] = ()
    left_in: frozenset[str] = frozenset()

    def at(self, texts: Iterable[str]) -> None:
        """Look at every text. Raises PlacesLeft with all that was found in them."""
        found = dict.fromkeys(
            words for text in texts for words in places_in(self._masked(text)) if words not in self.left_in
        )
        if found:
            raise PlacesLeft(tuple(found))

    def _masked(self, text: str) -> str:
        for words in sorted(filter(None, self.known), key=len, reverse=True):
            text = text.replace(words, _MASK * len(words))
        if "://" in text and self.webs:
            for site in (site for site in self.webs if site in text):
                text = re.sub(re.escape(site) + r"\S*", lambda match: _MASK * len(match.group(0)), text)
        return _NO_PLACES.sub(lambda match: _MASK * len(match.group(0)), text)
