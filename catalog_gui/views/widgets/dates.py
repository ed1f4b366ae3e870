"""Writes and asks for days in Qt's own British English."""

from __future__ import annotations

from PySide6.QtCore import QLocale

BRITISH = QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom)
