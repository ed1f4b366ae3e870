"""Says what bringing in an old spreadsheet would do, and what it did."""

from __future__ import annotations

from collections.abc import Sequence

from catalog_gui.presenting.words import counted
from catalog_gui.workflows.import_table import OldFind, TableImport


def outcome_words(finds: Sequence[OldFind]) -> str:
    """How many lines can come in, and the first that cannot or that has a remark, with its line."""
    good = [find for find in finds if find.specimen is not None]
    bad = [find for find in finds if find.specimen is None]
    words = [f"{len(good)} of {len(finds)} lines can come in."]
    if bad:
        more = f" And {len(bad) - 1} more." if bad[1:] else ""
        words.append(f"Line {bad[0].line}: {bad[0].problem}{more}")
    noted = [find for find in good if find.remarks]
    if noted:
        words.append(f"{len(noted)} with a remark, such as line {noted[0].line}: {noted[0].remarks[0]}")
    unnamed = sum(find.name is not None and not find.name.taxon for find in good)
    if unnamed:
        words.append(f"{unnamed} names are not in the reference; they are kept as written.")
    return "\n".join(words)


def brought_in_words(outcome: TableImport, table: str) -> str:
    """How many finds came in from a table, and what was left out."""
    words = f"{counted(len(outcome.specimens), 'find')} brought in from {table}"
    if outcome.left_out:
        first = outcome.left_out[0]
        words += f"; {len(outcome.left_out)} left out, such as line {first.line}: {first.problem}"
    return words
