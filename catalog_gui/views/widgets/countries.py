"""Fields for a country and its code: names on offer as one types, the code filled in with a known name."""

from __future__ import annotations

from functools import cache

from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QCompleter, QLineEdit

_NOT_IN_ISO = frozenset({"AC", "CP", "DG", "EA", "EU", "IC", "QO", "TA", "UN", "XK"})
"""Codes that Qt has from CLDR but that ISO 3166-1 only reserves, or leaves to its users."""


@cache
def codes() -> dict[str, str]:
    """The English names of countries and their ISO 3166-1 alpha-2 codes, from Qt's copy of Unicode CLDR."""
    found = {}
    for country in QLocale.Country:
        code = QLocale.territoryToCode(country)
        if len(code) == 2 and code.isalpha() and code not in _NOT_IN_ISO:
            found[QLocale.territoryToString(country)] = code
    return found


def code_of(country: str) -> str:
    """The code of a country by its English name, or ''; a name that is not known gets none."""
    wanted = country.strip().casefold()
    return next((code for name, code in codes().items() if name.casefold() == wanted), "")


def tie(country: QLineEdit, code: QLineEdit) -> None:
    """Offer countries as something is typed, and fill in the code of a known one; it can still be written over."""
    completer = QCompleter(sorted(codes()), country)
    completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
    completer.setFilterMode(Qt.MatchFlag.MatchContains)
    country.setCompleter(completer)
    code.setMaxLength(2)

    def fill(words: str) -> None:
        known = code_of(words)
        if known or code.text() in codes().values():
            code.setText(known)

    country.textEdited.connect(fill)
    completer.activated.connect(fill)
    code.textEdited.connect(lambda words: code.setText(words.upper()))
