"""The words of caution, in one place, so that every screen and sheet carries the same ones."""

from __future__ import annotations

CAUTION = (
    "After a suspected poisoning call the local emergency number or poison information service at once, "
    "symptoms or not. "
    "Identification from pictures and notes alone is not a basis for eating. "
    "A competent person with the specimen in hand decides."
)

CAUTION_TASTING = "Do not taste. A taste is kept only for what a trained person has already done."

CAUTION_NO_BANNER = "The absence of a hazard here is not a statement about the find."

NOTHING_LEFT = (
    "No dangerous taxon listed here fits these records. Records can be wrong and the list is incomplete: "
    "this says nothing about the find."
)
"""What stands where no dangerous taxon is left; it must not read as an all-clear."""

TREAT_AS_WORST = (
    "Nothing in the reference parts these for certain. Treat every one of them as the most dangerous."
)

NO_ENTRY = "nothing on record: no clearance"
"""What stands beside a name of which no poisoning is written down: an empty field would read as a statement."""

NO_ENTRY_MEANS = (
    f"'{NO_ENTRY[0].upper()}{NO_ENTRY[1:]}' says only that the reference documents no poisoning under that "
    "name, not that it is harmless."
)

IF_EATEN = "If somebody has eaten"

CALL_NOW = (
    "Call the emergency number or poison service now, before anything else; do not wait for symptoms or for "
    "a name."
)
"""The first thing to do after a suspected poisoning, wherever more is said."""

AFTER_A_MEAL = (
    CALL_NOW,
    "Keep what is left: the meal, peelings, vomit, and whole fruit bodies with their base, in paper, cool, labelled.",
    (
        "Be ready to say: who ate, when, how much, how it was prepared, the first symptom and when it began, "
        "alcohol and medicines, meals on the days before."
    ),
    "Everybody who ate is looked at, also those who feel well. Feeling better after a first bout is not recovery.",
    "Early sickness does not rule out the dangerous kinds: a mixed meal can hide a second, slower poison.",
)
"""What a poison service asks for (from published syndrome guidance and emergency-department reports)."""

NO_NUMBERS = "Call your local emergency\nnumber; type it in beforehand."
"""What stands in place of the numbers where none was typed in."""

LAW = (
    "Ask the landowner. Check protected species, reserve by-laws and collecting codes before you pick. "
    "Local law decides."
)

PERMISSION = "Who allowed it, on what terms. It goes out only on labels, when names and site go out too."
"""What happens to the permission that is written down."""
