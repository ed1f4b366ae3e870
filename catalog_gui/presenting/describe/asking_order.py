"""Decides which feature is asked next: the next one without an entry, what was passed over last of all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from catalog_gui.domain.checklist import Asked, Checklist
from catalog_gui.domain.evidence import Evidence, Standing


@dataclass(slots=True)
class AskingOrder:
    """The features in the order they are asked, with what is known of them.

    `needs` names for a feature the one that has to be seen first. `just_noted` are entries that are being
    saved; `skipped` were passed over. `recent` are (feature, state) pairs used last, newest first.
    """

    needs: Mapping[str, str]
    order: tuple[Asked, ...] = ()
    rows: Mapping[str, Evidence] = field(default_factory=dict)
    recent: tuple[tuple[str, str], ...] = ()
    just_noted: set[str] = field(default_factory=set)
    skipped: set[str] = field(default_factory=set)

    def about(
        self,
        asked: Checklist,
        rows: Mapping[str, Evidence],
        recent: tuple[tuple[str, str], ...],
        *,
        hasty: bool,
        fresh: bool,
    ) -> None:
        """Ask about this find from now on; of a `fresh` one nothing was passed over yet."""
        self.order = asked.by_haste if hasty else asked.by_part
        self.rows, self.recent = rows, recent
        self.just_noted.clear()
        if fresh:
            self.skipped.clear()

    @property
    def keys(self) -> list[str]:
        """The ids of the features, in order."""
        return [one.feature.id for one in self.order]

    @property
    def noted(self) -> frozenset[str]:
        """The features that have an entry."""
        return frozenset(key for key in {*self.rows, *self.just_noted} if self.is_noted(key))

    @property
    def waiting(self) -> frozenset[str]:
        """The features that are not asked before another one was seen."""
        return frozenset(key for key in self.needs if self.waits(key))

    def is_noted(self, feature_id: str) -> bool:
        """Tell whether a feature has an entry, kept or being saved."""
        row = self.rows.get(feature_id)
        looked_at = row is not None and row.standing is not Standing.NOT_LOOKED_AT
        return feature_id in self.just_noted or looked_at

    def waits(self, feature_id: str) -> bool:
        """Tell whether another feature has to be seen before this one is asked."""
        need = self.needs.get(feature_id, "")
        if not need or need in self.just_noted:
            return False
        row = self.rows.get(need)
        return row is None or row.standing is not Standing.SEEN

    def first(self) -> str:
        """The feature to begin with, '' where there is none."""
        keys = self.keys
        return self.next_open("") or (keys[0] if keys else "")

    def first_of_part(self, part: str) -> str:
        """The first open feature of a part, or its first one when none is open; '' where there is none."""
        mine = [one.feature.id for one in self.order if one.feature.part.value == part]
        still_open = [key for key in mine if not self.is_noted(key)]
        return (still_open or mine or [""])[0]

    def next_open(self, start: str, by: int = 1, *, again: bool = False) -> str:
        """The next feature without an entry (`by` -1: the one before).

        One that was passed over comes only when no other is left, but with `again`; `start` where all are noted.
        """
        keys = self.keys
        if not keys:
            return ""
        at = keys.index(start) if start in keys else (-1 if by > 0 else 0)
        round_trip = [keys[(at + by * offset) % len(keys)] for offset in range(1, len(keys) + 1)]
        still_open = [key for key in round_trip if self._is_open(key)]
        unasked = still_open if again else [key for key in still_open if key not in self.skipped]
        return (unasked or still_open or [start])[0]

    def _is_open(self, feature_id: str) -> bool:
        asked = self.asked(feature_id)
        if asked is None or asked.feature.kind == "text":
            return False
        return not self.is_noted(feature_id) and not self.waits(feature_id)

    def asked(self, feature_id: str) -> Asked | None:
        """What the checklist says of a feature, None where it does not ask for it."""
        return next((one for one in self.order if one.feature.id == feature_id), None)

    def last_state(self, feature_id: str) -> str:
        """The state of a feature that was used last, '' for none."""
        return next((state for feature, state in self.recent if feature == feature_id), "")

    def note(self, feature_id: str, standing: Standing) -> None:
        """An entry was made, or taken back, that is being saved."""
        if standing is Standing.NOT_LOOKED_AT:
            self.just_noted.discard(feature_id)
        else:
            self.just_noted.add(feature_id)
