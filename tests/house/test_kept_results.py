"""Results of benchmarks are kept in the documentation: what is not run again keeps its rows."""

from __future__ import annotations

from tests.benchmarks.keep_results import BEGIN, END, PAGE, results, written


def test_rows_are_the_lines_that_tell_and_others_stay() -> None:
    rows = results("metadata", "100 pictures\nours   1.7 ms a | picture\nratio, start taken off   19.4\n")
    assert [row.split(" | ")[1] for row in rows] == ["ours 1.7 ms a / picture", "ratio, start taken off 19.4"]
    once = written("# Benchmarks\n\nWords.\n", {"metadata": rows})
    assert once.startswith(f"# Benchmarks\n\nWords.\n\n{BEGIN}")
    assert rows[0] in once
    speed = results("sorting-speed", "engine 3 ms, ratio 0.5\n")
    twice = written(once, {"sorting-speed": speed})
    assert twice.index(speed[0]) < twice.index(rows[0])
    assert rows[1] in twice
    assert written(twice, {}) == twice


def test_the_page_has_its_place_for_them() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert page.count(BEGIN) == page.count(END) == 1
    assert written(page, {}) == page
