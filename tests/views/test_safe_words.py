"""Nothing a person can read may be taken for a clearance, delay the call for help, or teach tasting.

The rules walk every string constant of the program (by its syntax tree, docstrings left out), every cell of
the reference's tables and of the demo's, and the papers of tests/outputs walk their pages.
"""

from __future__ import annotations

import ast
import csv
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from catalog_gui.domain import caution
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes.prepared import prepare
from catalog_gui.lookalikes.reference import Severity
from catalog_gui.lookalikes.weighing import weigh
from catalog_gui.outputs.teaching import FALSE_RULES
from catalog_gui.packs.reader import read_packs
from catalog_gui.presenting.words import emergency_words
from catalog_gui.settings import Preferences

HOUSE = Path(__file__).parents[2]
PACK = HOUSE / "resources" / "reference"


def _docstrings(tree: ast.AST) -> set[int]:
    found = set()
    for node in ast.walk(tree):
        for child in getattr(node, "body", []) if isinstance(getattr(node, "body", None), list) else []:
            if isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant):
                found.add(id(child.value))
    return found


def said_in_code() -> Iterator[tuple[str, str]]:
    for file in sorted((HOUSE / "catalog_gui").rglob("*.py")):
        if "migrations" in file.parts:
            continue
        tree = ast.parse(file.read_text(encoding="utf-8"))
        passed_over = _docstrings(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed_over:
                yield f"{file.relative_to(HOUSE)}:{node.lineno}", node.value


def said_in_tables() -> Iterator[tuple[str, str]]:
    for file in sorted([*PACK.glob("*.csv"), *(HOUSE / "demo_data").glob("*.csv")]):
        with file.open(encoding="utf-8", newline="") as lines:
            for number, row in enumerate(csv.DictReader(lines), 2):
                for column, cell in row.items():
                    if cell:
                        yield f"{file.name}:{number}:{column}", cell
    told = json.loads((HOUSE / "demo_data" / "evening.json").read_text(encoding="utf-8"))
    waiting = [told]
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            waiting.extend(one.values())
        elif isinstance(one, list):
            waiting.extend(one)
        elif isinstance(one, str):
            yield "evening.json", one


@pytest.fixture(scope="module")
def everything() -> tuple[tuple[str, str], ...]:
    found = (*said_in_code(), *said_in_tables())
    assert len(found) > 20_000  # the walk found the program and the tables
    return found


RULES = {
    "teaches touching with the lips, or tasting": (
        r"\blips?\b|\btongues?\b|spat out|spit out|crumb of|chew|must not be tasted"
    ),
    "reads as 'cook it'": (
        r"when raw|half-cooked|undercooked|\braw or (?!cooked, how long$)|well cooked|parboil|in raw flesh|\braw; "
    ),
    "permits": (
        r"(?<!not )\bedible\b|safe to eat|\bis safe\b|\bdelicious\b|\bpleasant mushroom"
        r"|(?<!not that it is )\bharmless\b(?!\.$)"
    ),
    "takes several for one": r"treat them as one",
    "reads as all clear": r"every dangerous taxon of the reference\. |is left open",
    "leaves the user without a number": r"no emergency numbers are set",
    "belittles": r"documented as (unpleasant|serious|fatal)|poisonous, serious",
    "promises what labels do not keep": r"stays private",
    "calls keeping a specimen a verdict": r"\d accepted|\} accepted|^ accepted|is accepted yet",
    "says of slug damage that it was eaten": r"^eaten, |; eaten: |eaten places",
}


@pytest.mark.parametrize("why", RULES)
def test_no_string_breaks_the_rule(everything: tuple[tuple[str, str], ...], why: str) -> None:
    rule = re.compile(RULES[why], re.IGNORECASE)
    broken = [
        (where, words) for where, words in everything if rule.search(re.sub(r"https?://\S+", "", words))
    ]
    allowed = {"Wrong: a cap that peels is harmless."} if why == "permits" else set()
    assert [one for one in broken if one[1] not in allowed] == []


def test_the_rules_find_what_they_are_for() -> None:
    """Each of the sentences that stood in the program, and what may be said."""
    faults = {
        "teaches touching with the lips, or tasting": "Touch with a dry lip or finger; note the weather.",
        "reads as 'cook it'": "raw or half-cooked, and some people always",
        "permits": "pleasant mushroom",
        "takes several for one": "Nothing parts these for certain. Treat them as one.",
        "reads as all clear": "No dangerous taxon of the reference is left open.",
        "leaves the user without a number": "No emergency numbers are set.",
        "belittles": "poisonous, serious",
        "promises what labels do not keep": "Who allowed it, on what terms. Stays private.",
        "calls keeping a specimen a verdict": " accepted",
        "says of slug damage that it was eaten": "Eaten, old, frosted, soaked, snapped off …",
    }
    assert faults.keys() == RULES.keys()
    for why, words in faults.items():
        assert re.search(RULES[why], words, re.IGNORECASE), why
    assert not re.search(RULES["permits"], caution.NO_ENTRY_MEANS)


def test_the_call_for_help_comes_first() -> None:
    for words in (caution.CAUTION, caution.AFTER_A_MEAL[0], caution.NO_NUMBERS):
        first = words.split(". ")[0].casefold()
        assert "call " in first, words
    assert "before anything else" in caution.AFTER_A_MEAL[0]
    assert "do not wait for symptoms" in caution.AFTER_A_MEAL[0]
    assert emergency_words(Preferences()).startswith("Call ")


def test_no_false_rule_stands_bare() -> None:
    assert FALSE_RULES
    assert all(said.startswith("Wrong: ") and why for said, why in FALSE_RULES)
    assert "Neither smell nor taste warns." in dict(FALSE_RULES).values()


def test_one_grade_has_one_wording() -> None:
    assert [severity.means for severity in Severity] == ["can kill", "can do serious harm", "can make ill"]


def test_tasting_is_neither_taught_nor_permitted() -> None:
    assert caution.CAUTION_TASTING.startswith("Do not taste.")
    with (PACK / "features.csv").open(encoding="utf-8", newline="") as lines:
        tastes = [row for row in csv.DictReader(lines) if row["part"] == "taste"]
    assert tastes
    assert all(row["how_to_look"].startswith("Do not taste.") for row in tastes)
    with (PACK / "confusions.csv").open(encoding="utf-8", newline="") as lines:
        assert not [row for row in csv.DictReader(lines) if "taste." in row["separates"]]


def test_a_taste_moves_no_name_and_no_hazard() -> None:
    """Decided: it stays in the record and weighs nothing, so that nobody gains by tasting."""
    reference = prepare(read_packs(PACK))
    spotted = [
        Evidence("e1", "s", "cap.colour", Standing.SEEN, ("red",)),
        Evidence("e2", "s", "gills.colour", Standing.SEEN, ("white",)),
    ]
    bare = weigh(spotted, reference)
    for state in ("mild", "hot", "bitter"):
        tasted = weigh([*spotted, Evidence("t", "s", "taste.kind", Standing.SEEN, (state,))], reference)
        assert [(c.taxon.id, c.score) for c in tasted.candidates] == [
            (c.taxon.id, c.score) for c in bare.candidates
        ]
        assert [h.taxon.id for h in tasted.hazards] == [h.taxon.id for h in bare.hazards]


def test_an_onset_is_not_told_for_raw_meals_only() -> None:
    with (PACK / "hazards.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert not [row for row in rows if re.search(r"\braw\b|cooked", row["note"] + row["toxin"])]
