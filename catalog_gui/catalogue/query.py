"""Read what was typed into the search box as conditions. Never fails: what is not understood is said.

    cortinarius beech          words, all of them, anywhere in what was written or chosen
    "old railway"              these words together
    base: sac-like volva       a state of a part (or of a feature, by its name), or a feature seen on it
    ring: gone                 a part's standing: gone, not there, seen, not looked at
    missing: base              nothing of that part was looked at; also name, picture, place, date
    undetermined               nobody named it yet
    hazard:  hazard: danger    its present name is hazardous, or hazardous with that severity
    not-excluded: danger       the worst taxon that its records do not exclude: danger, warning, caution, a
                               name, or none; what is not weighed yet is found by all of them
    taxon: death cap           its present name, by any name of the reference
    site: country: province: county:             words of the place, the foray and the region
    collector: habitat: number: note:            words in that field
    date: 2025  2025-10  2025-10-04  2025-09..2025-11  ..2024  october
    -word                      not this word

Everything is combined by AND. A field's words run to the next field, comma or semicolon; after a part
they run as far as they name a state, the rest are plain words.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from catalog_gui.catalogue import index
from catalog_gui.catalogue.lexicon import Lexicon, words_of
from catalog_gui.domain.day_words import MONTHS
from catalog_gui.domain.evidence import Standing, standing_from_text
from catalog_gui.domain.feature import Feature
from catalog_gui.domain.problem import BadInput

_FIELDS = {
    "site": "site", "where": "site", "foray": "site", "country": "site", "province": "site",
    "county": "site", "collector": "people", "by": "people",
    "habitat": "habitat",
    "substrate": "habitat", "number": "number", "no": "number", "note": "notes", "notes": "notes",
}  # fmt: skip
_DATE = re.compile(r"(\d{4})(?:-(\d{1,2}))?(?:-(\d{1,2}))?$")
_PIECE = re.compile(r'"([^"]*)"?|([,;])|([^\s,;"]+)')
_MOST_WORDS = 30
_SIGNALS = {
    "danger": "fatal", "fatal": "fatal", "can kill": "fatal", "warning": "serious", "serious": "serious",
    "caution": "unpleasant", "unpleasant": "unpleasant", "none": "",
}  # fmt: skip
"""Signal words and severities, to the severity that is kept."""
_KEPT = "SELECT specimen_id FROM not_excluded WHERE reckoned = version"
_NOT_WEIGHED = f"s.id NOT IN ({_KEPT})"
_WORST_OF = f"s.id IN ({_KEPT} AND"


@dataclass(frozen=True, slots=True)
class Condition:
    """Specimens whose words match the FTS5 expression `words` or that have one of `tags`; `negative`: not."""

    words: str = ""
    tags: tuple[int, ...] = ()
    negative: bool = False


@dataclass(slots=True)
class Query:
    """What was understood: `conditions` that all hold, and `where`, SQL on the listing `l` and the
    specimen `s` with its parameters. `notes` are sentences about what was not understood. `words` and
    `shown` are what a snippet looks for: plain words, and (feature, state) pairs.
    """

    conditions: list[Condition] = field(default_factory=list)
    where: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    words: list[tuple[str, ...]] = field(default_factory=list)
    shown: set[tuple[str, str]] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _SearchWord:
    text: str
    quoted: bool = False
    stop: bool = False


def read_query(text: str, lexicon: Lexicon) -> Query:
    """Read what the user typed. An empty text wants everything."""
    return _Reader(text, lexicon).read()


def _pieces(text: str) -> list[_SearchWord]:
    pieces = []
    for quoted, stop, bare in _PIECE.findall(text.replace("“", '"').replace("”", '"')):
        if stop:
            pieces.append(_SearchWord(stop, stop=True))
        elif bare:
            pieces.append(_SearchWord(bare))
        elif quoted.strip():
            pieces.append(_SearchWord(quoted, quoted=True))
    return pieces


def _phrase(text: str, *, prefix: bool) -> str:
    """The text as an FTS5 phrase: the index splits it as it split what it holds."""
    plain = "".join(" " if c in '\0"' or "\ud800" <= c <= "\udfff" else c for c in text)
    words = words_of(plain)
    return f'"{plain}"{"*" if prefix and words and len(words[-1]) > 1 else ""}'


def _in_words(text: str, *, prefix: bool, column: str = "") -> str:
    columns = column or "{" + " ".join(index.WORD_COLUMNS) + "}"
    return f"{columns} : {_phrase(text, prefix=prefix)}"


class _Reader:
    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._pieces = _pieces(text)
        self._query = Query()
        self._count = 0

    def read(self) -> Query:
        at = 0
        while at < len(self._pieces):
            name, width = self._field_at(at)
            if name is None:
                self._plain(self._pieces[at])
                at += 1
                continue
            at += width
            rest = self._pieces[at - 1].text.partition(":")[2]
            value = [_SearchWord(rest)] if rest else []
            while at < len(self._pieces) and not self._pieces[at].stop and self._field_at(at)[0] is None:
                value.append(self._pieces[at])
                at += 1
            self._clause(name, value)
        if self._count > _MOST_WORDS:
            self._query.notes.append(f"Only the first {_MOST_WORDS} words were used.")
        return self._query

    def _field_at(self, at: int) -> tuple[str | None, int]:
        """The field that begins here, of one to three words up to a colon, and how many pieces name it."""
        for width in range(1, 4):
            run = self._pieces[at : at + width]
            if len(run) < width or any(piece.quoted or piece.stop for piece in run):
                break
            head, colon, _ = run[-1].text.partition(":")
            if not colon:
                continue
            name = " ".join([*(piece.text for piece in run[:-1]), head]).casefold()
            if width == 1 or self._lexicon.called(name) is not None:
                return (name, width) if name else (None, 0)
            break
        return None, 0

    def _clause(self, name: str, value: list[_SearchWord]) -> None:
        special: dict[str, Callable[[list[_SearchWord]], None]] = {
            "date": self._date,
            "when": self._date,
            "taxon": self._taxon,
            "name": self._taxon,
            "missing": self._missing,
            "hazard": self._hazard,
            "not-excluded": self._not_excluded,
        }
        if name in special:
            special[name](value)
        elif name in _FIELDS:
            self._column(name, value)
        elif (meant := self._lexicon.called(name)) is not None:
            self._feature(name, meant, value)
        elif alike := self._lexicon.features(words_of(name)):
            self._feature(name, alike, value)
        else:
            self._query.notes.append(f"There is no field or part called '{name}'; it was searched as a word.")
            for piece in (_SearchWord(name), *value):
                self._plain(piece)

    def _plain(self, piece: _SearchWord) -> None:
        if piece.stop:
            return
        if not piece.quoted and piece.text.casefold() == "undetermined":
            self._want(tags=[index.NAMED], negative=True)
            return
        negative = not piece.quoted and piece.text.startswith("-") and len(piece.text) > 1
        words = words_of(piece.text)
        if not words:
            if piece.text.strip("-"):
                self._query.notes.append(f"'{piece.text}' has no letter or digit to search for.")
            return
        self._count += 1
        if self._count > _MOST_WORDS:
            return
        text = piece.text.removeprefix("-") if negative else piece.text
        pairs = self._lexicon.states(words, phrase=piece.quoted)
        tags = [index.shows(*pair) for pair in pairs]
        tags += [
            index.stands(feature.id, Standing.SEEN)
            for feature in self._lexicon.features(words, phrase=piece.quoted)
        ]
        tags += [index.was_named(taxon) for taxon in self._lexicon.taxa(words, phrase=piece.quoted)]
        self._want([_in_words(text, prefix=not piece.quoted)], tags, negative=negative)
        if not negative:
            self._query.words.append(words)
            self._query.shown.update(pairs)

    def _want(self, words: Iterable[str] = (), tags: Iterable[int] = (), *, negative: bool = False) -> None:
        """One condition: any of these expressions or tags."""
        either = " OR ".join(f"({one})" for one in words)
        self._query.conditions.append(Condition(either, tuple(tags), negative))

    def _column(self, name: str, value: list[_SearchWord]) -> None:
        column = _FIELDS[name]
        parts = [
            (_in_words(piece.text, prefix=not piece.quoted, column=column), words)
            for piece in value
            if (words := words_of(piece.text))
        ]
        if not parts:
            self._query.notes.append(f"After '{name}:' a word is wanted.")
        for expression, words in parts:
            self._want([expression])
            self._query.words.append(words)

    def _taxon(self, value: list[_SearchWord]) -> None:
        words = [word for piece in value for word in words_of(piece.text)]
        if not words:
            self._query.notes.append("After 'taxon:' a name is wanted.")
            return
        typed = " AND ".join(_in_words(word, prefix=True, column="name") for word in words)
        taxa = self._lexicon.taxa(words)
        self._want([typed, *self._typed_freely(taxa)], map(index.is_named, taxa))

    def _typed_freely(self, taxa: Iterable[str]) -> list[str]:
        """Names typed without choosing the taxon: whole names of these taxa in the present name."""
        names = {name for taxon in taxa for name in self._lexicon.names_of(taxon) if len(words_of(name)) > 1}
        return [_in_words(name, prefix=False, column="name") for name in sorted(names)]

    def _hazard(self, value: list[_SearchWord]) -> None:
        hazards = self._lexicon.hazards
        severity = value[0].text.casefold() if value else ""
        known = sorted({word.casefold() for word in hazards.values()})
        taxa = [
            taxon for taxon, word in hazards.items() if word.casefold() == severity or severity not in known
        ]
        rest = value[1:] if severity in known else value
        if severity and severity not in known:
            allowed = ", ".join(known) or "none in this reference"
            self._query.notes.append(
                f"'{value[0].text}' is not a severity ({allowed}); every hazard was taken, the word searched."
            )
        self._want(self._typed_freely(taxa), map(index.is_named, taxa))
        for piece in rest:
            self._plain(piece)

    def _not_excluded(self, value: list[_SearchWord]) -> None:
        """The worst taxon not excluded; a specimen that is not weighed yet is never left out."""
        text = " ".join(piece.text for piece in value).casefold().strip()
        if not text:
            self._query.where.append((f"{_NOT_WEIGHED} OR {_WORST_OF} severity != '')", ()))
        elif text in _SIGNALS:
            self._query.where.append((f"{_NOT_WEIGHED} OR {_WORST_OF} severity = ?)", (_SIGNALS[text],)))
        else:
            taxa = self._lexicon.taxa(words_of(text))
            given = "taxon IN (SELECT value FROM json_each(?))"
            self._query.where.append((f"{_NOT_WEIGHED} OR {_WORST_OF} {given})", (json.dumps(taxa),)))
            if not taxa:
                self._query.notes.append(
                    f"'{text}' is not danger, warning, caution, none, or a name of the reference."
                )

    def _missing(self, value: list[_SearchWord]) -> None:
        name = " ".join(piece.text for piece in value).casefold().strip()
        simple: dict[str, str] = {
            "place": "s.place_latitude IS NULL",
            "position": "s.place_latitude IS NULL",
            "date": "s.collected_at IS NULL",
            "time": "s.collected_at IS NULL",
            "collector": "s.collector = ''",
            "picture": _NO_PICTURE,
            "pictures": _NO_PICTURE,
            "photo": _NO_PICTURE,
            "photos": _NO_PICTURE,
        }
        if name in ("name", "determination"):
            self._want(tags=[index.NAMED], negative=True)
        elif name in simple:
            self._query.where.append((simple[name], ()))
        elif meant := self._lexicon.called(name):
            self._not_looked_at(meant)
        else:
            self._query.notes.append(
                f"Missing what? '{name}' is not a part, name, picture, place or date."
                if name
                else "After 'missing:' a part is wanted, or name, picture, place or date."
            )

    def _not_looked_at(self, features: Sequence[Feature]) -> None:
        self._want(tags=[index.looked_at(feature.id) for feature in features], negative=True)

    def _feature(self, name: str, features: Sequence[Feature], value: list[_SearchWord]) -> None:
        """The longest run of words that is a standing or names a state; the rest are plain words."""
        for size in range(len(value), 0, -1):
            text = " ".join(piece.text for piece in value[:size])
            if self._standing(text, features) or self._state(words_of(text), features):
                for piece in value[size:]:
                    self._plain(piece)
                return
        if not features:
            self._query.notes.append(f"The reference has no features of '{name}'.")
        elif not value:
            self._query.notes.append(f"After '{name}:' a state is wanted, or gone, not there, not looked at.")
        else:
            self._query.notes.append(
                f"No state of '{name}' is called '{value[0].text}'; the words were searched everywhere."
            )
        for piece in value:
            self._plain(piece)

    def _standing(self, text: str, features: Sequence[Feature]) -> bool:
        try:
            standing = standing_from_text(text)
        except BadInput:
            return False
        if not features:
            return False
        if standing is Standing.NOT_LOOKED_AT:
            self._not_looked_at(features)
        else:
            self._want(tags=[index.stands(feature.id, standing) for feature in features])
        return True

    def _state(self, words: Sequence[str], features: Sequence[Feature]) -> bool:
        pairs = self._lexicon.states_within(words, features)
        named = [feature for feature in self._lexicon.features(words) if feature in features]
        if not pairs and named:  # 'base: volva' is the feature itself
            self._want(tags=[index.stands(feature.id, Standing.SEEN) for feature in named])
            return True
        if not pairs:
            return False
        self._want(tags=[index.shows(*pair) for pair in pairs])
        self._query.shown.update(pairs)
        return True

    def _date(self, value: list[_SearchWord]) -> None:
        if not value:
            self._query.notes.append(
                "After 'date:' a year, month, day or range is wanted, as 2025-09..2025-11."
            )
            return
        text = value[0].text.casefold()
        month = next(
            (
                n
                for n, name in enumerate(map(str.casefold, MONTHS), 1)
                if len(text) > 2 and name.startswith(text)
            ),
            0,
        )
        if month:
            self._query.where.append(("substr(l.local_date, 6, 2) = ?", (f"{month:02}",)))
        else:
            first, dots, last = text.partition("..")
            begin, end = _span(first), _span(last if dots else first)
            if begin is None or end is None or not (first or last):
                self._query.notes.append(
                    f"'{value[0].text}' is not a date; write 2025, 2025-10 or 2025-10-04."
                )
            else:
                if begin[0] > end[0] and first and last:
                    self._query.notes.append("The range ran backwards; it was turned round.")
                    begin, end = end, begin
                self._query.where.append(("l.local_date BETWEEN ? AND ?", (begin[0], end[1])))
        for piece in value[1:]:
            self._plain(piece)


_NO_PICTURE = (
    "NOT EXISTS (SELECT 1 FROM groups AS g JOIN photos AS p ON p.group_id = g.id WHERE g.specimen_id = s.id)"
)


def _span(text: str) -> tuple[str, str] | None:
    """First and last day of a year, month or day; of all time for ''; None for what is no date."""
    if not text:
        return "0001-01-01", "9999-12-31"
    found = _DATE.match(text)
    if found is None:
        return None
    year, month, day = (int(part) if part else None for part in found.groups())
    try:
        first = date(year or 1, month or 1, day or 1)
    except ValueError:
        return None
    if day is not None:
        return first.isoformat(), first.isoformat()
    start = first.isoformat()[:7] if month else first.isoformat()[:4]
    return first.isoformat(), f"{start}-31" if month else f"{start}-12-31"
