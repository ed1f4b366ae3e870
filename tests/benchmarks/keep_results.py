"""Runs benchmarks and writes their last results as a table into the documentation.

Run: `python -m tests.benchmarks.keep_results` for all, or with names, such as `metadata sorting`: what is not
run keeps its rows. Every figure stands beside the day and the number of cores of the machine that it is from.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

PAGE = Path(__file__).parents[2] / "resources" / "docs" / "benchmarks.md"
BEGIN, END = "<!-- last results: written by tests.benchmarks.keep_results -->", "<!-- end of last results -->"
_ROW = re.compile(r"\| (?P<name>[a-z-]+) \| (?P<said>.*) \| (?P<where>.*) \|")


@dataclass(frozen=True, slots=True)
class Benchmark:
    """A module with its arguments, and which of the lines that it prints are its results."""

    arguments: tuple[str, ...]
    lines: str


BENCHMARKS = {
    "sorting": Benchmark(
        ("tests.benchmarks.grouping.bench", "--no-speed"),
        r": \d+ pictures in|engine |calibration error|clocks:",
    ),
    "sorting-speed": Benchmark(("tests.benchmarks.grouping.bench", "--speed"), r"ratio"),
    "weighing": Benchmark(("tests.benchmarks.weighing.bench",), r"%|ratio|seconds"),
    "metadata": Benchmark(("tests.benchmarks.photos.bench_metadata",), r"^ours  |^exiftool|ratio"),
    "thumbnails": Benchmark(("tests.benchmarks.photos.bench_thumbnails",), r"ratio|ms"),
    "first-proposal": Benchmark(("tests.benchmarks.evening.bench_first_proposal",), r"ms|s "),
    "correction": Benchmark(("tests.benchmarks.evening.bench_correction",), r"ms"),
}


def results(name: str, printed: str) -> list[str]:
    """Rows of the table: the lines of what a benchmark printed that are its results."""
    wanted = re.compile(BENCHMARKS[name].lines)
    where = f"{datetime.now(UTC):%Y-%m-%d}, {os.cpu_count()} cores"
    found = (" ".join(line.split()).replace("|", "/") for line in printed.splitlines() if wanted.search(line))
    return [f"| {name} | {line} | {where} |" for line in found]


def written(page: str, fresh: dict[str, list[str]]) -> str:
    """The page with the rows of what was run anew; other rows stay, in the order of the benchmarks."""
    before, _, rest = page.partition(BEGIN)
    old, _, after = rest.partition(END)
    rows: dict[str, list[str]] = {}
    for line in old.splitlines():
        row = _ROW.fullmatch(line)
        if row is not None and row["name"] in BENCHMARKS:
            rows.setdefault(row["name"], []).append(line)
    rows |= fresh
    head = ["| benchmark | last result | measured |", "|---|---|---|"]
    table = "\n".join([*head, *(line for name in BENCHMARKS for line in rows.get(name, []))])
    return f"{before.rstrip()}\n\n{BEGIN}\n\n{table}\n\n{END}\n{after.lstrip()}"


def main(names: list[str]) -> int:
    """Run the benchmarks of these names, or all; 1 where one failed, which keeps the rows it had."""
    fresh, failed = {}, False
    for name in names or BENCHMARKS:
        done = subprocess.run(
            [sys.executable, "-m", *BENCHMARKS[name].arguments],
            stdout=subprocess.PIPE,
            text=True,
            check=False,
        )
        if done.returncode:
            print(f"{name} failed; its rows stay as they were.", file=sys.stderr)
            failed = True
        else:
            fresh[name] = results(name, done.stdout)
    PAGE.write_text(written(PAGE.read_text(encoding="utf-8"), fresh), encoding="utf-8")
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
