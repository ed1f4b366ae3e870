"""One word for one thing: no class name stands in two rooms, and nobody but the user is spoken of."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "catalog_gui"
FILES = [file for file in sorted(PACKAGE.rglob("*.py")) if "versions" not in file.parts]
IN_TWO_ROOMS: dict[str, str] = {}
"""Class names that may stand in two files, each with its reason."""


def class_names(source: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ClassDef):
            yield node.name


def told(source: str) -> Iterator[tuple[int, str]]:
    """Docstrings and comments, with their lines."""
    for node in ast.walk(ast.parse(source)):
        body = getattr(node, "body", None)
        for statement in body if isinstance(body, list) else ():
            if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
                yield statement.lineno, str(statement.value.value)
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string


def of_somebody(source: str) -> list[int]:
    """Lines whose docstring or comment says she, her, hers or herself; names in backticks are code."""
    return [
        line
        for line, words in told(source)
        if re.search(r"\b(she|her|hers|herself)\b", re.sub(r"`[^`]*`", "", words), re.IGNORECASE)
    ]


def test_what_is_looked_for_would_be_found() -> None:
    assert list(class_names("class A:\n    class B: ...")) == ["A", "B"]
    assert of_somebody('"""What she typed."""\nx = "her"  # Hers\n"""`her` own"""') == [1, 2]


def test_no_class_name_stands_in_two_files() -> None:
    places = defaultdict(set)
    for file in FILES:
        for name in class_names(file.read_text(encoding="utf-8")):
            places[name].add(str(file.relative_to(PACKAGE)))
    twice = {name: sorted(found) for name, found in places.items() if len(found) > 1}
    assert not {name: found for name, found in twice.items() if name not in IN_TWO_ROOMS}
    assert not IN_TWO_ROOMS.keys() - twice.keys()


def test_docstrings_and_comments_speak_of_the_user() -> None:
    found = {
        str(file.relative_to(PACKAGE)): lines
        for file in FILES
        if (lines := of_somebody(file.read_text(encoding="utf-8")))
    }
    assert not found
