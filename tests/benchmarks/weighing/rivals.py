"""Other ways to rank and to exclude, written plainly, to stand beside ours in the same run."""

from __future__ import annotations

import numpy as np

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.lookalikes.reference import ABSENT, Frequency, Reference

WORDS = {
    Frequency.ALWAYS: 0.95,
    Frequency.USUALLY: 0.75,
    Frequency.SOMETIMES: 0.3,
    Frequency.RARELY: 0.05,
    Frequency.NEVER: 0.0,
}
ERROR = 0.05


class Plain:
    """A reference as naive tables: for each feature a (T, S) array of chances, or (T, 2) of sizes."""

    def __init__(self, reference: Reference) -> None:
        self.reference = reference
        self.taxa = [t.id for t in reference.taxa]
        self.dangerous = np.array([self.taxa.index(t) for t in reference.dangerous], dtype=int)
        place = {t: i for i, t in enumerate(self.taxa)}
        self.labels: dict[str, dict[str, int]] = {}
        self.chance: dict[str, np.ndarray] = {}
        self.known: dict[str, np.ndarray] = {}
        self.sizes: dict[str, np.ndarray] = {}
        for feature in reference.vocabulary.features:
            names = [s.id for s in reference.vocabulary.states_of(feature.id)] + [ABSENT]
            self.labels[feature.id] = {name: i for i, name in enumerate(names)}
            self.chance[feature.id] = np.zeros((len(self.taxa), len(names)))
        for row in reference.states:
            column = self.labels[row.feature][row.state]
            cell = self.chance[row.feature][place[row.taxon]]
            cell[column] = max(cell[column], WORDS[row.frequency])
        for feature_id, chance in self.chance.items():
            total = chance.sum(axis=1, keepdims=True)
            self.known[feature_id] = total[:, 0] > 0
            self.chance[feature_id] = chance / np.maximum(total, 1e-9)
        for size in reference.sizes:
            sizes = self.sizes.setdefault(size.feature, np.full((len(self.taxa), 2), np.nan))
            sizes[place[size.taxon]] = (size.low, size.high)

    def by_record(self, evidence: list[Evidence]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """(n, T) each: chance of the record without errors, its similarity 0 to 1, and whether it is known."""
        chances, similar, known = [], [], []
        for item in evidence:
            if item.low is not None:
                sizes = self.sizes.get(item.feature)
                if sizes is None:
                    continue
                has = ~np.isnan(sizes[:, 0])
                low, high = np.nan_to_num(sizes[:, 0], nan=1.0), np.nan_to_num(sizes[:, 1], nan=1.0)
                gap = np.maximum(np.maximum(low - item.low, item.low - high), 0)
                spread = np.nanmax(sizes) - np.nanmin(sizes)
                chances.append(np.exp(-0.5 * (gap / (0.3 * (high - low) + 1e-6)) ** 2) * 0.5)
                similar.append(1 - np.minimum(gap / spread, 1))
                known.append(has)
                continue
            states = [ABSENT] if item.standing is Standing.NOT_THERE else list(item.states)
            column = self.labels[item.feature][states[0]]
            chance = self.chance[item.feature][:, column]
            chances.append(chance)
            similar.append((chance > 0).astype(float))
            known.append(self.known[item.feature])
        if not chances:
            nothing = np.zeros((0, len(self.taxa)))
            return nothing, nothing, nothing.astype(bool)
        return np.array(chances), np.array(similar), np.array(known)


def strict_filter(plain: Plain, evidence: list[Evidence]) -> np.ndarray:
    """(T,) minus the number of records that a taxon is not known to show: a key without forgiveness."""
    _, similar, known = plain.by_record(evidence)
    return -((similar < 1) & known).sum(axis=0).astype(float)


def gower(plain: Plain, evidence: list[Evidence]) -> np.ndarray:
    """(T,) Gower's general similarity (1971, Biometrics 27:857-871) over the features known of each taxon."""
    _, similar, known = plain.by_record(evidence)
    return (similar * known).sum(axis=0) / np.maximum(known.sum(axis=0), 1)


def naive_bayes(plain: Plain, evidence: list[Evidence]) -> np.ndarray:
    """(T,) log likelihood with one error rate; a missing value counts as the mean over the table."""
    chance, _, known = plain.by_record(evidence)
    if not len(chance):
        return np.zeros(len(plain.taxa))
    mean = (chance * known).sum(axis=1, keepdims=True) / np.maximum(known.sum(axis=1, keepdims=True), 1)
    filled = np.where(known, chance, mean)
    return np.log((1 - ERROR) * filled + ERROR / 5).sum(axis=0)
