"""One way from a failure to the screen: no window recites an exception."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

WINDOWS = Path(__file__).parents[2] / "catalog_gui" / "views"


def caught_in(scope: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Names of exceptions, with the code in which they are known by that name."""
    for node in ast.walk(scope):
        if isinstance(node, ast.ExceptHandler) and node.name:
            yield node.name, node
        if isinstance(node, ast.FunctionDef | ast.Lambda):
            for one in node.args.args:
                said = ast.unparse(one.annotation) if one.annotation is not None else one.arg
                if said in {"Exception", "BaseException", "error"}:
                    yield one.arg, node


def recited(source: str) -> list[int]:
    """Lines in which an exception is turned into words as it is."""
    lines = set()
    for name, scope in caught_in(ast.parse(source)):
        for node in ast.walk(scope):
            words = (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in {"str", "repr"}
                and [ast.unparse(one) for one in node.args] == [name]
            )
            inside = isinstance(node, ast.FormattedValue) and ast.unparse(node.value) == name
            if words or inside:
                lines.add(node.lineno)  # type: ignore[attr-defined]
    return sorted(lines)


def test_a_recital_would_be_found() -> None:
    assert recited("def failed(error: Exception) -> None:\n    say(str(error))") == [2]
    assert recited("try:\n    a()\nexcept OSError as one:\n    say(f'It is {one}.')") == [4]
    assert recited("do(failed=lambda error: say(str(error)))") == [1]
    assert recited("def failed(error: Exception) -> None:\n    bench.fail(error)") == []


def test_no_window_recites_an_exception() -> None:
    found = {
        str(file.relative_to(WINDOWS)): lines
        for file in sorted(WINDOWS.rglob("*.py"))
        if (lines := recited(file.read_text(encoding="utf-8")))
    }
    assert not found
