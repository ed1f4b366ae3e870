"""Names the signal words of hazards, after the published standard for safety signs."""

from __future__ import annotations

from catalog_gui.lookalikes.reference import Severity

SIGNAL_WORDS = {Severity.FATAL: "DANGER", Severity.SERIOUS: "WARNING", Severity.UNPLEASANT: "CAUTION"}
"""Signal words after ISO 3864-2: danger for what kills, warning for what may, caution for the rest."""
