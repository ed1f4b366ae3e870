"""When a poisoning begins, stage by stage: the one place that says so to screens, papers and the command line.

A number without its organ misleads: gut trouble 24 to 36 h after orellanine reads as if the danger were over
at 48 h, when the kidneys fail days later. So every stage is named with what it strikes. The stages come from
the pack (`Reference.stages_of`); the windows of a taxon's own hazards widen them, and are stages of their own
where the pack knows none. Several sources are joined into the widest window; nothing is averaged.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog_gui.lookalikes.reference import MEMORY, Hazard, Reference, Stage

_MINUTES = {"min": 1.0, "h": 60.0, "d": 1440.0}
_HALF_LATER = "median"


@dataclass(frozen=True, slots=True)
class OnsetStage:
    """One stage over all sources: `what` is struck, from `low` to `high` minutes after the meal.

    No window where both are None. `or_later`: the latest figure is a median, so half came later.
    `from_memory`: no text was seen for any of it.
    """

    what: str
    low: float | None = None
    high: float | None = None
    may_be_missing: bool = False
    or_later: bool = False
    from_memory: bool = False

    @property
    def window(self) -> str:
        """'6 to 24 h', 'about 12 h', '1 to 3 days or later'; '' where none is known."""
        if self.low is None and self.high is None:
            return ""
        return span_words(self.low, self.high) + (" or later" if self.or_later else "")

    @property
    def words(self) -> str:
        """'gut after 6 to 24 h', 'gut after 24 to 36 h or none', 'then a quiet spell'."""
        window = self.window
        after = "" if not window else (f" {window}" if window.startswith("up to") else f" after {window}")
        missing = (", or none" if self.or_later else " or none") if self.may_be_missing else ""
        return f"{self.what}{after}{missing}" + (" (from memory)" if self.from_memory else "")


@dataclass(frozen=True, slots=True)
class Onset:
    """The stages of one syndrome, the first trouble first. `poison` is its short name, '' where it has none."""

    syndrome: str
    poison: str
    stages: tuple[OnsetStage, ...]

    @property
    def first(self) -> str:
        """The first trouble: 'gut after 6 to 24 h'; '' where nothing is known."""
        return self.stages[0].words if self.stages else ""

    @property
    def later(self) -> str:
        """What comes after it: 'then a quiet spell; liver after 1 to 7 days'."""
        return _joined(stage.words for stage in self.stages[1:])

    @property
    def words(self) -> str:
        """All stages: 'gut after 6 to 24 h, then a quiet spell; liver after 1 to 7 days'."""
        return _joined(stage.words for stage in self.stages)


def onset_words(reference: Reference, taxon_id: str) -> str:
    """When which organ of somebody who ate this taxon is struck; says so where no window is known.

    '' for a taxon without a hazard. Where a taxon makes several syndromes each is named.
    """
    onsets = onsets_of(reference, taxon_id)
    if not onsets:
        return ""
    told = [one.words or "onset not known" for one in onsets]
    if len(onsets) == 1:
        return told[0]
    return ". ".join(
        f"{one.poison or one.syndrome}: {words}" for one, words in zip(onsets, told, strict=True)
    )


def onsets_of(reference: Reference, taxon_id: str) -> tuple[Onset, ...]:
    """The stages of every syndrome that a taxon makes, the worst first."""
    rows = reference.hazards_of(taxon_id)
    keys = dict.fromkeys(row.syndrome for row in rows)
    return tuple(_onset(reference, key, [row for row in rows if row.syndrome == key]) for key in keys)


def onset_of_syndrome(reference: Reference, syndrome_id: str, taxa: Iterable[str] = ()) -> Onset:
    """The stages of a syndrome, wide enough for each of `taxa`."""
    rows = [row for taxon in taxa for row in reference.hazards_of(taxon) if row.syndrome == syndrome_id]
    return _onset(reference, syndrome_id, rows)


def _onset(reference: Reference, syndrome_id: str, hazards: Sequence[Hazard]) -> Onset:
    syndrome = reference.syndrome(syndrome_id)
    by_number: dict[int, list[Stage]] = {}
    for row in reference.stages_of(syndrome_id):
        by_number.setdefault(row.number, []).append(row)
    left = [row for row in hazards if row.onset_low is not None or row.onset_high is not None]
    stages = []
    for rows in by_number.values():
        meant = {words for row in rows for words in row.counts}
        stages.append(_stage(rows, [row for row in left if row.onset_counts in meant]))
        left = [row for row in left if row.onset_counts not in meant]
    further: dict[str, list[Hazard]] = {}
    for hazard in left:
        further.setdefault(hazard.onset_counts or "first trouble", []).append(hazard)
    own = [_stage([Stage(syndrome_id, 0, what)], rows) for what, rows in further.items()]
    stages += sorted(own, key=lambda stage: stage.low or 0.0)
    return Onset(syndrome_id, syndrome.poison if syndrome is not None else "", tuple(stages))


def _stage(rows: Sequence[Stage], hazards: Sequence[Hazard]) -> OnsetStage:
    windows = [
        (_minutes(row.low, row.unit), _minutes(row.high, row.unit), "|".join(row.counts))
        for row in rows
        if row.unit
    ]
    windows += [
        (_minutes(row.onset_low, row.onset_unit), _minutes(row.onset_high, row.onset_unit), row.onset_counts)
        for row in hazards
    ]
    lows = [low for low, _, _ in windows if low is not None]
    highs = [high for _, high, _ in windows if high is not None]
    open_end = any(high is None for _, high, _ in windows)
    latest = max(highs, default=None)
    sources = [row.source for row in rows if row.source] + [row.source for row in hazards]
    return OnsetStage(
        rows[0].what,
        min(lows) if lows and len(lows) == len(windows) else None,
        latest,
        any(row.may_be_missing for row in rows),
        open_end or any(high == latest and _HALF_LATER in counts for _, high, counts in windows),
        bool(sources) and set(sources) == {MEMORY},
    )


def _minutes(number: float | None, unit: str) -> float | None:
    return None if number is None else number * _MINUTES.get(unit, 60.0)


def span_words(low: float | None, high: float | None) -> str:
    """Minutes as people say them: (360, 1440) is '6 to 24 h', (1440, 4320) is '1 to 3 days'."""
    if low is None or not low:
        return f"up to {' '.join(_time(high or 0.0))}"
    if high is None or low == high:
        return f"about {' '.join(_time(low))}"
    (first, unit), (last, other) = _time(low), _time(high)
    if other == "days" and low % 1440 == 0:
        first, unit = f"{low / 1440:g}", "days"
    return f"{first} to {last} {unit}" if unit == other else f"{first} {unit} to {last} {other}"


def _time(minutes: float) -> tuple[str, str]:
    if minutes < 60:
        return f"{minutes:g}", "min"
    if minutes <= 2 * 1440:
        return f"{minutes / 60:.3g}", "h"
    return f"{minutes / 1440:.3g}", "days"


def _joined(words: Iterable[str]) -> str:
    told = ""
    for one in words:
        told += one if not told else (f", {one}" if one.startswith("then ") else f"; {one}")
    return told
