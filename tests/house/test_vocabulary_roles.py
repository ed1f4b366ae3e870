"""Ids of features are quoted in two places only: where they are drawn, and in the one file of roles."""

from __future__ import annotations

import ast
import csv
from pathlib import Path

from catalog_gui.domain import vocabulary_roles

HOUSE = Path(__file__).parents[2]
PACKAGE = HOUSE / "catalog_gui"
ROLES = PACKAGE / "domain" / "vocabulary_roles.py"
with (HOUSE / "resources" / "reference" / "features.csv").open(encoding="utf-8", newline="") as table:
    FEATURES = frozenset(row["feature"] for row in csv.DictReader(table))


def quoted(source: str) -> list[tuple[int, str]]:
    """Strings that are the id of a feature, with their lines."""
    return [
        (node.lineno, node.value)
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in FEATURES
    ]


def test_a_quoted_id_would_be_found() -> None:
    assert quoted('x = {"base.volva": 1}\ny = "base of the stem"') == [(1, "base.volva")]


def test_no_id_is_quoted_elsewhere() -> None:
    found = {
        str(file.relative_to(PACKAGE)): ids
        for file in sorted(PACKAGE.rglob("*.py"))
        if file != ROLES
        and file.relative_to(PACKAGE).parts[0] != "drawing"
        and (ids := quoted(file.read_text(encoding="utf-8")))
    }
    assert not found


def test_every_role_is_one_feature_of_our_pack() -> None:
    roles = {name: value for name, value in vars(vocabulary_roles).items() if name.isupper()}
    assert roles
    assert set(roles.values()) <= FEATURES
    assert len(set(roles.values())) == len(roles)


def test_no_role_is_without_use() -> None:
    code = "".join(file.read_text(encoding="utf-8") for file in PACKAGE.rglob("*.py") if file != ROLES)
    assert not [name for name in vars(vocabulary_roles) if name.isupper() and f"roles.{name}" not in code]
