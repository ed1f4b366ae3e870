"""The house as import-linter does not see it: no ring of modules anywhere, and no Qt where pages think."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

import grimp
import pytest


@pytest.fixture(scope="module")
def graph() -> grimp.ImportGraph:
    return grimp.build_graph("catalog_gui", include_external_packages=True, cache_dir=None)


def ring_in(imports: dict[str, set[str]]) -> list[str]:
    """Modules that import each other round in a ring, the first one again at the end; [] for none."""
    try:
        tuple(TopologicalSorter(imports).static_order())
    except CycleError as found:
        return list(found.args[1])
    return []


def test_a_ring_would_be_found() -> None:
    assert ring_in({"a": {"b"}, "b": {"c"}, "c": {"a"}})
    assert not ring_in({"a": {"b", "c"}, "b": {"c"}})


def test_no_modules_import_each_other_in_a_ring(graph: grimp.ImportGraph) -> None:
    """Imports within functions and for type checking count, too: they are read and moved like the others."""
    assert not ring_in(
        {module: set(graph.find_modules_directly_imported_by(module)) for module in graph.modules}
    )


def test_presenting_reaches_no_qt_by_any_way(graph: grimp.ImportGraph) -> None:
    thinking = graph.find_descendants("catalog_gui.presenting")
    assert len(thinking) > 20
    reached = {
        module: chain
        for module in thinking
        for qt in ("PySide6", "shiboken6")
        if qt in graph.modules and (chain := graph.find_shortest_chain(module, qt))
    }
    assert not reached
