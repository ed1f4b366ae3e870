"""Evidence that was withdrawn or changed: it no longer speaks against a danger, and is never forgotten.

What counts as struck out:

- a record that was cleared, moved to another specimen, or changed into one that no longer says what it said;
- not a record that was only widened (another state ticked beside the first, a longer range), confirmed, or
  given a note: what it said is still said;
- not a record that the user doubted: it never took part in excluding anything;
- not a record whose entry was taken back with 'Take back': that restores the exact state before, so what was
  typed by a slip never was evidence. Taking back the change of a record brings the record itself back.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from catalog_gui.domain.evidence import Evidence, Standing


@dataclass(frozen=True, slots=True)
class StruckOut:
    """A record as it was before it was struck out, when that was, and the step that did it."""

    evidence: Evidence
    at: datetime
    label: str = ""


def says_something(evidence: Evidence) -> bool:
    """Whether a record takes part in excluding: something was seen, or looked for, without doubt."""
    return evidence.sure and evidence.standing in {Standing.SEEN, Standing.NOT_THERE}


def still_said(before: Evidence, now: Evidence) -> bool:
    """Whether `now` says everything that `before` said, of the same specimen and fruit body."""
    if (before.specimen_id, before.feature, before.fruit_body, before.standing) != (
        now.specimen_id,
        now.feature,
        now.fruit_body,
        now.standing,
    ):
        return False
    if not now.sure or not set(before.states) <= set(now.states):
        return False
    if before.low is None and before.high is None:
        return True
    ends = [value for value in (before.low, before.high) if value is not None]
    span = [value for value in (now.low, now.high) if value is not None]
    return bool(span) and before.unit == now.unit and min(span) <= min(ends) and max(ends) <= max(span)
