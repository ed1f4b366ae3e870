"""Says what became of every file that was taken in."""

from __future__ import annotations

from catalog_gui.presenting.words import counted
from catalog_gui.workflows.import_photos import (
    IntakeReport,
)


def report_sentence(report: IntakeReport) -> str:
    """The account in one line."""
    parts = [f"{len(report.taken)} taken in"]
    if report.tracks:
        parts.append(counted(len(report.tracks), "track"))
    if report.known:
        parts.append(f"{len(report.known)} known already")
    if report.refused:
        parts.append(f"{len(report.refused)} refused")
    if report.not_reached:
        parts.append(f"{len(report.not_reached)} not reached")
    return f"{counted(report.files, 'file')}: " + ", ".join(parts) + "."


def account_rows(report: IntakeReport) -> list[tuple[str, str, str]]:
    """Every file that was not simply taken in: what became of it, its path, and why."""
    rows = [("refused", refusal.path, refusal.reason) for refusal in report.refused]
    for known in report.known:
        if known.moved:
            reason = f"Found again here; it stood at {known.first} before."
        elif known.path == known.first:
            reason = "In the catalogue already."
        else:
            reason = f"The same picture as {known.first}."
        rows.append(("known already", known.path, reason))
    rows += [("track", path, "Taken in as the walk.") for path in report.tracks]
    rows += [("not reached", path, "You stopped before it was read.") for path in report.not_reached]
    return rows
