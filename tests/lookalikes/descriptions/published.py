"""Published descriptions of collections as evidence, coded blind; the pack uses none of these pages."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace

import numpy as np

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes.reference import ABSENT, Reference
from tests.lookalikes.descriptions.build import TABLE, half

INSTRUMENTS = frozenset({"microscope", "reagent"})
"""What field records do without."""


@dataclass(frozen=True)
class Published:
    """One page about one taxon, its records in the order of the page."""

    taxon: str
    page: str
    kind: str
    evidence: tuple[Evidence, ...]

    def field(self, reference: Reference) -> tuple[Evidence, ...]:
        """What can be recorded without reagents and microscope."""
        costs = {f.id: f.cost for f in reference.vocabulary.features}
        return tuple(e for e in self.evidence if costs[e.feature] not in INSTRUMENTS)


def published(reference: Reference, which: str) -> list[Published]:
    """The descriptions of one half, 'fit' or 'report', whose taxon is in the reference."""
    pages: dict[tuple[str, str, str], dict[str, list[dict[str, str]]]] = {}
    with TABLE.open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            if half(row["page"]) == which and reference.taxon(row["taxon"]) is not None:
                page = pages.setdefault((row["taxon"], row["page"], row["kind"]), {})
                page.setdefault(row["feature"], []).append(row)
    return [
        Published(
            *key, tuple(e for f, rows in page.items() if (e := _evidence(reference, f, rows)) is not None)
        )
        for key, page in pages.items()
    ]


def _evidence(reference: Reference, feature_id: str, rows: list[dict[str, str]]) -> Evidence | None:
    """A record of what the page says of a feature; exceptions (`%`) are no record of a find."""
    feature = reference.vocabulary.feature(feature_id)
    if feature is None:
        return None
    if feature.kind == "number":
        low, high = float(rows[0]["low"]), float(rows[0]["high"])
        return Evidence(
            feature_id,
            "",
            feature_id,
            Standing.SEEN,
            low=min(low, high),
            high=max(low, high),
            unit=feature.unit,
        )
    said = [row["state"] for row in rows if row["rarity"] != "%"] or [row["state"] for row in rows]
    states = tuple(s for s in said if s != ABSENT and reference.vocabulary.state(feature_id, s) is not None)
    if states:
        return Evidence(feature_id, "", feature_id, Standing.SEEN, states)
    return Evidence(feature_id, "", feature_id, Standing.NOT_THERE) if ABSENT in said else None


def spoilt(
    evidence: tuple[Evidence, ...], reference: Reference, share: float, rng: np.random.Generator
) -> list[Evidence]:
    """The records with a share of them made wrong: another state, or a size far off."""
    made = []
    for one in evidence:
        if rng.random() >= share:
            made.append(one)
        elif one.low is not None and one.high is not None:
            factor = float(rng.choice([0.5, 0.65, 1.5, 2.0]))
            made.append(replace(one, low=one.low * factor, high=one.high * factor))
        else:
            states = [s.id for s in reference.vocabulary.states_of(one.feature)]
            others = [s for s in states if s not in one.states]
            if reference.absent_name(one.feature) and one.standing is not Standing.NOT_THERE:
                others.append(ABSENT)
            if not others:
                made.append(one)
                continue
            other = others[int(rng.integers(len(others)))]
            absent = other == ABSENT
            made.append(
                replace(
                    one,
                    standing=Standing.NOT_THERE if absent else Standing.SEEN,
                    states=() if absent else (other,),
                )
            )
    return made
