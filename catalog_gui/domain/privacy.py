"""What must not leave the house by accident: how much place a reader gets, and words that give a place away."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from catalog_gui.domain.sheet import Precision

WITHHELD = "[withheld]"
_LEAST_LETTERS = 3  # a word of two letters stands in too many others to be searched for


class Audience(StrEnum):
    """For whom something goes out. The words stand on screens and in the log."""

    MYSELF = "myself"
    LANDOWNER = "the landowner"
    COURSE = "a course or group"
    SCHEME = "a recording scheme"
    PUBLIC = "the public"
    HOSPITAL = "a poison service or hospital"


@dataclass(frozen=True, slots=True)
class Reader:
    """For whom a paper is and what it gives away.

    `precision` is the finest place; a specimen whose place is kept private, or the places of whose taxon
    are, goes out no finer than a 10 km square unless `deliberate` says that the user chose the exact
    place for this very paper. `names`: people's names stand on it. `notes`: the user's notes in free words do.
    `site`: the site is named (a landowner knows it).
    """

    precision: Precision = Precision.TEN_KM
    names: bool = False
    notes: bool = False
    site: bool = False
    deliberate: bool = False


_ORDER = (Precision.EXACT, Precision.ONE_KM, Precision.TEN_KM, Precision.HIDDEN)


def coarser(first: Precision, second: Precision) -> Precision:
    """The one of two that gives less place away."""
    return max(first, second, key=_ORDER.index)


def precision_for(reader: Reader, *, private: bool) -> Precision:
    """How much place of one specimen this reader gets.

    The exact place never goes out without `deliberate`: then a 1 km square is given, or 10 km if private.
    """
    if reader.precision is Precision.EXACT and reader.deliberate:
        return Precision.EXACT
    least = Precision.TEN_KM if private else Precision.ONE_KM
    return coarser(reader.precision, least)


def usual_precision(preference: str) -> Precision:
    """The precision a new paper begins with: the preference, but never the exact place."""
    words = {
        "1 km": Precision.ONE_KM,
        "10 km": Precision.TEN_KM,
        "hidden": Precision.HIDDEN,
        "exact": Precision.ONE_KM,
    }
    return words.get(preference, Precision.TEN_KM)


@dataclass(frozen=True, slots=True)
class Secrets:
    """Words that may not stand on a paper (names, sites, serials, paths), and whether coordinates may not."""

    words: tuple[str, ...] = ()
    places: bool = True


def secrets(words: Iterable[str], *, places: bool) -> Secrets:
    """Secrets from raw words: what is too short to be searched for is left out, long ones come first."""
    kept = {" ".join(word.split()) for word in words}
    kept = {word for word in kept if sum(c.isalnum() for c in word) >= _LEAST_LETTERS}
    return Secrets(tuple(sorted(kept, key=lambda word: (-len(word), word))), places)


def scrubbed(text: str, kept: Secrets) -> str:
    """The text with every secret word, and every way of writing a place if asked, replaced by '[withheld]'.

    Case, accents, kinds and numbers of spaces, full-width figures and characters that cannot be seen do not
    matter.
    """
    if not text:
        return text
    folded = _folded(text)
    spans = [span for word in kept.words for span in _spans(_pattern(word), folded)]
    if kept.places:
        spans += _place_spans(folded, text)
    return _without(text, spans)


def places_in(text: str) -> tuple[str, ...]:
    """Whatever in a finished text is written as a place is written, each once, in the order it stands there."""
    spans = _merged(_place_spans(_folded(text), text))
    return tuple(dict.fromkeys(text[first:last].strip() for first, last in spans))


def _place_spans(folded: _Folded, text: str) -> list[tuple[int, int]]:
    """Where places stand; what one way of writing took is out of reach for the next, so that no rest is left."""
    found: list[tuple[int, int]] = []
    for way in (folded, _folded(text, close_up=True)):
        rest = way
        for pattern in _PLACES:
            found += _spans(pattern, rest)
            rest = _Folded(pattern.sub(lambda match: _TAKEN * len(match.group(0)), rest.text), rest.at)
    return found


_TAKEN = "\ue000"


@dataclass(frozen=True, slots=True)
class _Folded:
    """A text as it is searched: `at[i]` is where the i-th character stands in the text as written."""

    text: str
    at: tuple[int, ...]


_INVISIBLE = frozenset({"Cf", "Cc", "Mn", "Me"})
_POINTS = frozenset("·٫‧⋅∙・")


def _folded(text: str, *, close_up: bool = False) -> _Folded:
    """Compatibility forms (Unicode NFKC) as plain ones, without what cannot be seen.

    With `close_up` a number that is broken by anything but one plain space is whole again.
    """
    letters: list[str] = []
    at: list[int] = []
    for place, letter in enumerate(text):
        if unicodedata.category(letter) in _INVISIBLE and not letter.isspace():
            if unicodedata.category(letter).startswith("M"):
                letters.append(letter)  # an accent: the search for names allows for it
                at.append(place)
            continue
        if close_up and letter.isspace() and letter != " ":
            before, after = text[:place].rstrip()[-1:], text[place:].lstrip()[:1]
            if before and after and (before.isdigit() or before in ".,") and after.isdigit():
                continue
        plain = "." if letter in _POINTS else unicodedata.normalize("NFKC", letter)
        letters.extend(plain)
        at.extend([place] * len(plain))
    return _Folded("".join(letters), tuple(at))


def _spans(pattern: re.Pattern[str], folded: _Folded) -> list[tuple[int, int]]:
    """Where it was found in the text as written, without the blanks at its ends."""
    found = []
    for match in pattern.finditer(folded.text):
        words = match.group(0)
        first = match.start() + len(words) - len(words.lstrip())
        last = match.end() - (len(words) - len(words.rstrip()))
        if last > first:
            found.append((folded.at[first], folded.at[last - 1] + 1))
    return found


def _merged(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The spans in order, those that overlap or touch as one."""
    merged: list[tuple[int, int]] = []
    for first, last in sorted(spans):
        if merged and first <= merged[-1][1]:
            merged[-1] = merged[-1][0], max(last, merged[-1][1])
        else:
            merged.append((first, last))
    return merged


def _without(text: str, spans: Iterable[tuple[int, int]]) -> str:
    pieces, at = [], 0
    for first, last in _merged(spans):
        pieces += [text[at:first], WITHHELD]
        at = last
    return "".join([*pieces, text[at:]])


@lru_cache(maxsize=512)
def _pattern(word: str) -> re.Pattern[str]:
    parts = []
    for piece in word.split():
        letters = []
        for letter in unicodedata.normalize("NFC", piece):
            plain = unicodedata.normalize("NFD", letter)
            both = {re.escape(letter), re.escape(plain), re.escape(plain[0])}
            letters.append(f"(?:{'|'.join(sorted(both, key=lambda b: (-len(b), b)))})")
        parts.append("".join(letters))
    body = r"[\s_\-]+".join(parts)
    # Whole words only where the secret begins or ends with a letter: 'Ash' is not in 'ashen'.
    before = r"(?<![^\W_])" if word[0].isalnum() else ""
    after = r"(?![^\W_])" if word[-1].isalnum() else ""
    return re.compile(before + body + after, re.IGNORECASE)


_D = r"(?:deg(?:rees?)?\b\.?|grad\b|[°ºd˚])"
_M = r"(?:min(?:utes?|uten)?\b\.?|['′’m])"
_S = r"(?:sec(?:onds?)?\b\.?|sek(?:unden)?\b\.?|[\"″”s]|''|′′)"
_HEMI = r"[NSEWO]"
_DEGREES = r"[+-]?\d{1,3}[.,]\d{3,}\s*[°º]?\s*"
# Every usual way of writing a place, the widest first. Common practice, no single source; the notations are
# those of geo/typed.py, ISO 6709, RFC 5870 (geo URI) and Open Location Code.
_PLACES = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        r"\b(?:https?|geo|maps):[^\s<>\"]+",
        r"\bwww\.[^\s<>\"]+",
        # lettered grids in small letters too, broken by blanks or hyphens, in unlike halves of a pair, and tetrads
        r"\b[hjnost][a-hj-z][\s\-_./]*(?:\d{3}[\s\-_./]+\d{3}|\d{4}[\s\-_./]+\d{4}|\d{5}[\s\-_./]+\d{5})\b",
        r"\b[hjnost][a-hj-z][\s\-_]*\d{6}[\s\-_./]+\d{6}\b",
        r"\b(?-i:[HJNOST][A-HJ-Z])\s?\d{2}\s?(?-i:[A-NP-Z]|[NS][EW])\b",
        r"\b[hjnost][a-hj-z]\d{2}(?:[a-np-z]|[ns][ew])\b",
        # UTM with its zone, eastings and northings by name
        r"\b\d{1,2}\s?(?-i:[C-HJ-NP-X])\s+\d{6}(?:\.\d+)?\s*m?\s*E?\s*[,;/ ]\s*\d{6,7}(?:\.\d+)?\s*m?\s*N?\b",
        r"\b(?:easting|northing|rechtswert|hochwert|estnord|nordwert|ostwert)s?\b\.?\s*[:=]?\s*\d{3,7}(?:[.,]\d+)?",
        # ISO 6709: +52.6579+001.7160/ or +523928+0014258/
        r"(?<![\w.])[+-]\d{2,6}(?:\.\d+)?[+-]\d{3,7}(?:\.\d+)?(?:[+-]\d+(?:\.\d+)?)?/?",
        # degrees with minutes, seconds: 52°39'28.7"N, N 52 39 28.7, 52° 39.4786' N
        rf"{_HEMI}?\s*\d{{1,3}}\s*{_D}\s*\d{{1,2}}(?:[.,]\d+)?\s*{_M}?(?:\s*\d{{1,2}}(?:[.,]\d+)?\s*{_S}?)?\s*(?:{_HEMI}\b)?",
        rf"\b{_HEMI}\s*\d{{1,3}}[ :]\d{{1,2}}(?:[ :]\d{{1,2}})?(?:[.,]\d+)?\b",
        rf"\b\d{{1,3}}[ :]\d{{1,2}}(?:[ :]\d{{1,2}})?(?:[.,]\d+)?\s*{_HEMI}\b",
        # exif and XMP: 52,39.4786N
        rf"\b\d{{1,3}},\d{{1,2}}(?:[.,]\d+)?\s*{_HEMI}\b",
        # decimal degrees, a pair or one with its sign or letter
        rf"(?<![\w.]){_DEGREES}{_HEMI}?\s*[,;/| ]\s*{_DEGREES}(?:{_HEMI}\b)?",
        rf"(?<![\w.])[+-]?\d{{1,3}}[.,]\d{{2,}}\s*(?:[°º]\s*{_HEMI}?|{_HEMI}\b)",
        rf"\b{_HEMI}\s*\d{{1,3}}[.,]\d{{2,}}",
        r"\b(?:lat|lon|long|latitude|longitude|breite|länge)\b\.?\s*[:=]?\s*[+-]?\d{1,3}(?:[.,]\d+)?",
        # six to eight figures of metres, a pair
        r"\b\d{6}(?:\.\d+)?\s*m?\s*[EeNn]?\s*[,;/ ]\s*\d{5,7}(?:\.\d+)?\s*m?\s*[EeNn]?\b",
        # MGRS, UTM
        r"\b\d{1,2}\s?(?-i:[C-HJ-NP-X])\s?[A-HJ-NP-Z]{2}\s?\d{1,5}\s?\d{1,5}\b",
        # lettered grids: two letters (British), one letter (Irish); in small letters only without a space,
        # or 'on 2025' would be a place
        r"\b(?-i:[HJNOST][A-HJ-Z])\s?\d{2,5}\s?\d{2,5}\b",
        r"\b[hjnost][a-hj-z]\d{4,10}\b",
        r"\b(?-i:[A-HJ-Z])\s?\d{3,5}\s?\d{3,5}\b",
        # four or more decimals are no measure of a fruit body; millionths of a degree
        r"(?<![\w.])[+-]?\d{1,3}[.,]\d{4,}(?!\d)",
        r"(?<![\w.])[+-]?\d{7,9}\s*[,;/ ]\s*[+-]?\d{6,9}(?!\w)",
        # locators of radio amateurs (Maidenhead), geohashes, three words with points, British postcodes
        r"\b[A-R]{2}\d{2}[A-X]{2}(?:\d{2})?\b",
        r"\b(?=(?:\d*[b-hjkmnp-z]){3})(?=[b-hjkmnp-z]*\d)[0-9b-hjkmnp-z]{7,12}\b",
        r"(?<![\w.@/])/{0,3}[^\W\d_]{4,}\.[^\W\d_]{4,}\.[^\W\d_]{4,}(?![\w.@])",
        r"\b[A-Z]{1,2}\d[A-Z\d]?\s?\d[A-Z]{2}\b",
        # open location codes
        r"\b[23456789CFGHJMPQRVWX]{4,8}\+[23456789CFGHJMPQRVWX]{2,3}\b",
    )
)
