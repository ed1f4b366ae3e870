"""What a drawing is made from: for each feature how it stands and which states it shows.

The same form serves a specimen's evidence and a taxon's usual states, so that both are drawn alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog_gui.domain.evidence import Evidence, Standing

ABSENT = "absent"
_FREQUENCY = ("always", "usually", "sometimes", "rarely")


@dataclass(frozen=True, slots=True)
class Look:
    """How one feature stands; `states` in order of weight; `low` to `high` for numbers."""

    standing: Standing
    states: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None

    @property
    def middle(self) -> float | None:
        """The middle of the range, or the one end that is known."""
        if self.low is None or self.high is None:
            return self.low if self.high is None else self.high
        return (self.low + self.high) / 2


NOT_LOOKED_AT = Look(Standing.NOT_LOOKED_AT)
Features = Mapping[str, Look]


def from_evidence(rows: Iterable[Evidence], fruit_body: str = "") -> dict[str, Look]:
    """Features of a specimen. A row for `fruit_body` counts before one for the whole collection.

    Every row of any other fruit body is left out. Numbers in another unit than mm stay as they are; the
    drawing reads sizes in mm only.
    """
    features: dict[str, Look] = {}
    for row in sorted(rows, key=lambda r: r.fruit_body != ""):
        if row.fruit_body in {"", fruit_body}:
            metric = row.unit != "cm"
            low, high = (
                None if value is None else value if metric else value * 10 for value in (row.low, row.high)
            )
            features[row.feature] = Look(row.standing, row.states, low, high)
    return features


def from_taxon(
    states: Iterable[tuple[str, str, str]], sizes: Iterable[tuple[str, float, float]] = ()
) -> dict[str, Look]:
    """Features of a taxon from rows (feature, state, frequency) and sizes (feature, low, high).

    What it always or usually shows is drawn; failing that, what it sometimes or rarely does. 'absent' as the
    most frequent state is drawn as looked for and not there. Rows with 'never' are left out; a feature
    without any row is not stated and drawn as not looked at.
    """
    by_feature: dict[str, list[tuple[int, str]]] = {}
    for feature, state, frequency in states:
        if frequency in _FREQUENCY:
            by_feature.setdefault(feature, []).append((_FREQUENCY.index(frequency), state))
    features: dict[str, Look] = {}
    for feature, found in by_feature.items():
        found.sort(key=lambda item: item[0])  # stable: equal frequencies keep their order
        best = found[0][0]
        group = 1 if best <= 1 else 3
        chosen = tuple(state for rank, state in found if rank <= group)
        if chosen[0] == ABSENT:
            features[feature] = Look(Standing.NOT_THERE)
        else:
            features[feature] = Look(Standing.SEEN, tuple(s for s in chosen if s != ABSENT))
    for feature, low, high in sizes:
        features[feature] = Look(Standing.SEEN, (), low, high)
    return features
