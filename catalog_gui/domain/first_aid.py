"""What to do and not to do after a suspected poisoning, each with who says so, for the emergency page."""

from __future__ import annotations

from dataclasses import dataclass

NZ = "National Poisons Centre, New Zealand (poisons.co.nz, first aid if swallowed)"
ST_JOHN = "St John New Zealand (stjohn.org.nz, first aid library, poisoning)"
ACT = "ACT Health, Canberra (health.act.gov.au, alert on the death cap)"
PRACTICE = "common practice of poison services"


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do or not to do, and its source."""

    words: str
    source: str


DO = (
    Advice("Fits, unconscious, or trouble breathing: the emergency number first.", ST_JOHN),
    Advice("Unconscious but breathing: on the side, head low.", NZ),
    Advice("Everybody else: call the poison service now, symptoms or not. Do not wait for a name.", ACT),
    Advice("Everybody who ate is looked at, also those who feel well.", PRACTICE),
    Advice(
        "Keep leftovers: raw and cooked pieces, peelings, vomit; in paper, cool, labelled.",
        PRACTICE,
    ),
    Advice("Take this page, the fungus with its base, and the pictures along.", PRACTICE),
)
DO_NOT = (
    Advice("Do not make anybody vomit.", NZ),
    Advice("Give nothing to drink or to swallow unless the service says so.", NZ),
    Advice("Do not wait for symptoms.", ACT),
    Advice(
        "Do not take feeling better for recovery: a day or two of quiet can come before the liver fails.", ACT
    ),
)

EU_NUMBER = "112"
"""The single European emergency number (Directive (EU) 2018/1972, Article 109; from memory)."""

NO_NUMBER = (
    f"Emergency: {EU_NUMBER} in the European Union and many other countries; "
    "elsewhere the local number: ____________"
)
"""What stands where no emergency number was typed in."""

TO_WRITE = (
    ("Who ate (age, weight)", "Who else", "When (day, hour)"),
    ("What was eaten", "How much", "Raw or cooked, how long"),
    ("First trouble, and when", "Alcohol, medicines, illnesses"),
    ("Other meals of fungi, last days", "Call back: name and number"),
)
"""What a poison service asks for: lines to write on, some in a row (common practice, no single source)."""


def cited(advice: tuple[Advice, ...]) -> tuple[str, ...]:
    """The sources of some advice, each once."""
    return tuple(dict.fromkeys(one.source for one in advice))
