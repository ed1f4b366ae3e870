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

LAW = "Landowner's permission, protected species and collecting codes: local law decides."
