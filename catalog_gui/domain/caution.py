"""The words of caution, in one place, so that every screen and sheet carries the same ones."""

from __future__ import annotations

CAUTION = (
    "Identification from pictures and notes alone is not a basis for eating. "
    "A competent person with the specimen in hand decides. "
    "After a suspected poisoning call the local emergency number or poison information service at once, "
    "symptoms or not."
)

CAUTION_TASTING = (
    "Tasting is recorded only as something a trained person did. It is never a test for beginners, "
    "and some fungi must not be tasted at all."
)

CAUTION_NO_BANNER = "The absence of a hazard here is not a statement about the find."

NO_ENTRY = "no entry"
"""What stands in a column of hazards where the reference has none: an empty field would read as a statement."""

NO_ENTRY_MEANS = (
    f"'{NO_ENTRY}' says only that the reference documents no poisoning under that name, "
    "not that it is harmless."
)

LAW = "Landowner's permission, protected species and collecting codes: local law decides."
