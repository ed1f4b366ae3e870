"""Which features to look at next, and until when: the field checklist that adapts to what is known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from catalog_gui.domain import vocabulary_roles as roles
from catalog_gui.domain.deadlines import DEADLINES, STILL_FRESH
from catalog_gui.domain.evidence import Evidence, Standing
from catalog_gui.domain.feature import Feature, Fragility, Part, Vocabulary
from catalog_gui.domain.specimen import Specimen, Task

FORM = roles.FORM
AT_THE_BENCH = frozenset({Part.TASTE, Part.REACTION, Part.MICRO, Part.SEASON})
"""Asked last and not counted as missing in the field: trained people, reagents, a microscope."""


class Likeness(StrEnum):
    """What a find reminds of, as far as the checklist is concerned; common practice of field teachers."""

    AMANITA = "Amanita-like"
    WEBCAP = "webcap-like"
    BROWN_ON_WOOD = "brown-spored, on wood"
    BRITTLE = "brittlegill or milk-cap"
    BOLETE = "bolete"
    FUNNEL = "pale funnel"
    AGARICUS = "mushroom with dark spores"


_FIRST: dict[Likeness, tuple[str, ...]] = {
    Likeness.AMANITA: (
        roles.VOLVA,
        roles.BASE_SHAPE,
        roles.RING,
        roles.GILL_ATTACHMENT,
        roles.CAP_PATCHES,
        roles.GILL_COLOUR,
        roles.PRINT_COLOUR,
        roles.SMELL,
    ),
    Likeness.WEBCAP: (
        roles.CORTINA,
        roles.PRINT_COLOUR,
        roles.YOUNG_GILL_COLOUR,
        roles.BASE_SHAPE,
        roles.FLESH_COLOUR,
    ),
    Likeness.BROWN_ON_WOOD: (
        roles.PRINT_COLOUR,
        roles.RING,
        roles.STEM_SURFACE,
        roles.CAP_DRYING,
        roles.SUBSTRATE,
    ),
    Likeness.BRITTLE: (
        roles.MILK,
        roles.MILK_CHANGE,
        roles.STEM_FIBRE,
        roles.GILLS_TEXTURE,
        roles.PRINT_COLOUR,
    ),
    Likeness.BOLETE: (
        roles.PORE_BRUISE,
        roles.FLESH_CHANGE,
        roles.PORE_COLOUR,
        roles.STEM_NET,
        roles.STEM_SURFACE,
    ),
    Likeness.FUNNEL: (
        roles.GILL_ATTACHMENT,
        roles.PRINT_COLOUR,
        roles.SMELL,
        roles.CAP_SURFACE,
        roles.HABITAT,
    ),
    Likeness.AGARICUS: (
        roles.CUT_BASE_COLOUR,
        roles.FLESH_CHANGE,
        roles.SMELL,
        roles.RING,
        roles.YOUNG_GILL_COLOUR,
        roles.PRINT_COLOUR,
        roles.VOLVA,
    ),
}
_BY_GENUS: dict[str, Likeness] = {
    "amanita": Likeness.AMANITA,
    "volvariella": Likeness.AMANITA,
    "volvopluteus": Likeness.AMANITA,
    "limacella": Likeness.AMANITA,
    "lepiota": Likeness.AMANITA,
    "cortinarius": Likeness.WEBCAP,
    "inocybe": Likeness.WEBCAP,
    "inosperma": Likeness.WEBCAP,
    "hebeloma": Likeness.WEBCAP,
    "galerina": Likeness.BROWN_ON_WOOD,
    "pholiotina": Likeness.BROWN_ON_WOOD,
    "kuehneromyces": Likeness.BROWN_ON_WOOD,
    "hypholoma": Likeness.BROWN_ON_WOOD,
    "pholiota": Likeness.BROWN_ON_WOOD,
    "russula": Likeness.BRITTLE,
    "lactarius": Likeness.BRITTLE,
    "lactifluus": Likeness.BRITTLE,
    "boletus": Likeness.BOLETE,
    "clitocybe": Likeness.FUNNEL,
    "clitopilus": Likeness.FUNNEL,
    "leucocybe": Likeness.FUNNEL,
    "agaricus": Likeness.AGARICUS,
}


_GILLED = (FORM, frozenset({"agaric"}))
_PALE = frozenset({"white", "cream", "pink"})
_BY_LOOKS: tuple[tuple[Likeness, tuple[tuple[str, frozenset[str]], ...]], ...] = (
    (Likeness.BOLETE, ((FORM, frozenset({"bolete"})),)),
    (Likeness.AMANITA, (_GILLED, (roles.VOLVA, frozenset()))),
    (Likeness.AMANITA, (_GILLED, (roles.CAP_PATCHES, frozenset()))),
    (Likeness.AMANITA, ((FORM, frozenset({"egg"})),)),
    (Likeness.BRITTLE, (_GILLED, (roles.MILK, frozenset()))),
    (Likeness.BRITTLE, (_GILLED, (roles.STEM_FIBRE, frozenset({"brittle"})))),
    (Likeness.WEBCAP, (_GILLED, (roles.CORTINA, frozenset()))),
    (Likeness.AGARICUS, (_GILLED, (roles.PRINT_COLOUR, frozenset({"chocolate", "violet-brown", "black"})))),
    (
        Likeness.BROWN_ON_WOOD,
        (
            _GILLED,
            (roles.PRINT_COLOUR, frozenset({"rust", "brown", "ochre"})),
            (roles.SUBSTRATE, frozenset({"stump", "buried-wood", "wood-chips"})),
        ),
    ),
    (
        Likeness.FUNNEL,
        (
            _GILLED,
            (roles.GILL_ATTACHMENT, frozenset({"decurrent"})),
            (roles.CAP_COLOUR, frozenset({"white", "cream", "buff", "grey"})),
        ),
    ),
    (Likeness.AMANITA, (_GILLED, (roles.GILL_ATTACHMENT, frozenset({"free", "nearly-free"})))),
    (Likeness.AMANITA, (_GILLED, (roles.RING, frozenset()), (roles.GILL_COLOUR, _PALE))),
    (Likeness.AMANITA, (_GILLED, (roles.RING, frozenset()), (roles.PRINT_COLOUR, _PALE))),
)
"""What has to be seen (a feature, and one of these states; none: any) to remind of it; the first wins."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One line of the checklist. `due` is when it is likely gone; None where it stays or the find is old."""

    feature: Feature
    due: datetime | None = None


@dataclass(frozen=True, slots=True)
class Checklist:
    """The features of this find in the order to ask. `by_part` in the order of a description.

    `likeness` says what the find reminds of ('' for nothing yet), `first` what is asked first because of
    it; `allowed` holds the ids that make sense.
    """

    by_part: tuple[Asked, ...]
    by_haste: tuple[Asked, ...]
    allowed: frozenset[str]
    likeness: str = ""
    first: frozenset[str] = frozenset()

    def progress(self, recorded: Iterable[str]) -> tuple[int, int]:
        """How many of the features that can be looked at in the field have an entry, and of how many."""
        field = {one.feature.id for one in self.by_part if one.feature.part not in AT_THE_BENCH}
        return len(field.intersection(recorded)), len(field)


def checklist(
    vocabulary: Vocabulary,
    evidence: Sequence[Evidence],
    *,
    specimen: Specimen | None = None,
    name: str = "",
    tasks: Sequence[Task] = (),
    needs: Mapping[str, str] | None = None,
    kin: Mapping[str, str] | None = None,
) -> Checklist:
    """What to look at on this find. `name` is its present name, `needs` and `kin` are the pack's ties.

    A feature that needs another one is left out once that one is looked for and not there. While the form
    is not known it is asked first; once it is known, only features of that form are left.
    """
    needs, kin = needs or {}, kin or {}
    noted = {row.feature: row for row in evidence}
    forms = noted[FORM].states if FORM in noted else ()
    fitting = [f for f in vocabulary.features if _fits(f, forms) and _needed(f, needs, noted)]
    likeness = likeness_of(evidence, name or (specimen.section if specimen is not None else ""))
    early = _FIRST.get(likeness, ()) if likeness is not None else ()
    rank = {feature_id: place for place, feature_id in enumerate(early)}

    def by_part(feature: Feature) -> tuple[int, int]:
        if feature.id == FORM:
            return (0, 0)
        if feature.id in rank:
            return (1, rank[feature.id])
        return (3 if feature.part in AT_THE_BENCH else 2, 0)

    asked = [Asked(f, _due(f, specimen, tasks, kin)) for f in sorted(fitting, key=by_part)]
    haste = sorted(asked, key=lambda one: (one.feature.part in AT_THE_BENCH, *_haste(one)))
    return Checklist(
        tuple(asked),
        tuple(haste),
        frozenset(f.id for f in fitting),
        likeness.value if likeness is not None else "",
        frozenset(f.id for f in fitting if f.id in rank),
    )


def likeness_of(evidence: Sequence[Evidence], name: str = "") -> Likeness | None:
    """What the find reminds of: the genus of a name given to it, or what has been seen. None: nothing yet."""
    words = name.casefold().replace("cf.", " ").replace("aff.", " ").split()
    genus = words[0] if words else ""
    if genus in _BY_GENUS:
        return _BY_GENUS[genus]
    if genus.endswith("boletus"):
        return Likeness.BOLETE
    shown = {row.feature: frozenset(row.states) for row in evidence if row.standing is Standing.SEEN}
    for likeness, conditions in _BY_LOOKS:
        if all(
            feature in shown and (not states or not shown[feature].isdisjoint(states))
            for feature, states in conditions
        ):
            return likeness
    return None


def kind_of_haste(feature: Feature, kin: Mapping[str, str]) -> str:
    """The kind of deadline (see domain.deadlines) a feature falls under, '' for what stays."""
    if feature.part is Part.SMELL:
        return "smell"
    if feature.part is Part.PRINT:
        return "print"
    if feature.cost in {"microscope", "habitat"} or feature.part in AT_THE_BENCH:
        return ""
    if feature.part is Part.RING or kin.get(feature.id, "").endswith("veil"):
        return "ring"
    return "description" if feature.fragility >= Fragility.FADES else ""


def _fits(feature: Feature, forms: Sequence[str]) -> bool:
    known = set(forms) - {"egg"}
    return not known or not feature.forms or bool(known.intersection(feature.forms))


def _needed(feature: Feature, needs: Mapping[str, str], noted: Mapping[str, Evidence]) -> bool:
    other = noted.get(needs.get(feature.id, ""))
    return feature.id in noted or other is None or other.standing is not Standing.NOT_THERE


def _due(
    feature: Feature, specimen: Specimen | None, tasks: Sequence[Task], kin: Mapping[str, str]
) -> datetime | None:
    kind = kind_of_haste(feature, kin)
    if not kind:
        return None
    mine = [task for task in tasks if task.kind == kind]
    open_ones = [task.due for task in mine if task.done_at is None and task.due is not None]
    if open_ones:
        return min(open_ones)
    if mine or specimen is None or specimen.collected_at is None:
        return None
    hours = next((deadline.hours for deadline in DEADLINES if deadline.kind == kind), None)
    return None if hours is None else specimen.collected_at + timedelta(hours=hours)


def _haste(one: Asked) -> tuple[bool, float, int]:
    due = one.due.timestamp() if one.due is not None else 0.0
    return (one.due is None, due, -int(one.feature.fragility))


def still_fresh(specimen: Specimen, now: datetime) -> bool:
    """Whether due times still say anything about this find."""
    return specimen.collected_at is not None and now - specimen.collected_at <= STILL_FRESH
