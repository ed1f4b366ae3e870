"""The tables of a reference pack: their columns, and how a cell of each kind is read."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from catalog_gui.domain.feature import Fragility, Part
from catalog_gui.lookalikes.reference import Frequency, Severity


class CellKind(StrEnum):
    """What a cell holds; an empty cell is only refused in a `wanted` column."""

    TEXT = "text"
    KEY = "an id"
    NEW_KEY = "a new id"
    LIST = "a list"
    NUMBER = "a number"
    COLOUR = "a colour"
    CHOICE = "a choice"
    FEATURE = "a feature"
    FEATURES = "features"
    STATE = "a state"
    TAXON = "a taxon"
    SOURCE = "a source"
    SOURCES = "sources"
    SYNDROME = "a syndrome"


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column. `choices` for a CHOICE; `wanted` if the cell must not be empty."""

    name: str
    cell: CellKind = CellKind.TEXT
    choices: tuple[str, ...] = ()
    wanted: bool = False


@dataclass(frozen=True, slots=True)
class TableForm:
    """A table: its columns in order, further ones it may have, and whether the first pack must have it."""

    name: str
    columns: tuple[TableColumn, ...]
    may_have: tuple[TableColumn, ...] = ()
    needed: bool = False

    @property
    def file(self) -> str:
        """The name of the file."""
        return f"{self.name}.csv"


def _c(name: str, cell: CellKind = CellKind.TEXT, *choices: str, wanted: bool = False) -> TableColumn:
    return TableColumn(name, cell, choices, wanted)


_TAXON = _c("taxon", CellKind.TAXON, wanted=True)
_FEATURE = _c("feature", CellKind.FEATURE, wanted=True)
_SOURCE = _c("source", CellKind.SOURCE)
_NOTE = _c("note")
_FURTHER = _c("further", CellKind.SOURCES)
ONSET_UNITS = ("min", "h", "d")
COSTS = ("picture", "specimen", "dig", "cut", "smell", "print", "reagent", "microscope", "habitat")

SOURCES = TableForm(
    "sources",
    (
        _c("source", CellKind.NEW_KEY, wanted=True),
        _c("citation", wanted=True),
        _c("kind"),
        _c("year"),
        _c("seen"),
    ),
)
FEATURES = TableForm(
    "features",
    (
        _c("feature", CellKind.NEW_KEY, wanted=True),
        _c("part", CellKind.CHOICE, *(part.value for part in Part), wanted=True),
        _c("name", wanted=True),
        _c("gloss"),
        _c("kind", CellKind.CHOICE, "states", "number", "text", wanted=True),
        _c("unit", CellKind.CHOICE, "mm", "µm", "ratio"),
        _c("fragility", CellKind.CHOICE, *(str(int(f)) for f in Fragility), wanted=True),
        _c("when_to_look"),
        _c("how_to_look"),
        _c("view"),
        _c("forms", CellKind.LIST),
        _c("cost", CellKind.CHOICE, *COSTS),
        _c("figure"),
    ),
    (_c("absent_name"), _c("needs", CellKind.FEATURE), _c("kin")),
    needed=True,
)
STATES = TableForm(
    "states",
    (
        _FEATURE,
        _c("state", CellKind.KEY, wanted=True),
        _c("name", wanted=True),
        _c("gloss"),
        _c("figure"),
        _c("hex", CellKind.COLOUR),
    ),
    needed=True,
)
TAXA = TableForm(
    "taxa",
    (
        _c("taxon", CellKind.NEW_KEY, wanted=True),
        _c("name", wanted=True),
        _c("authority"),
        _c("rank"),
        _c("genus"),
        _c("section"),
        _c("english"),
        _c("forms", CellKind.LIST),
        _c("group"),
        _NOTE,
        _SOURCE,
    ),
    needed=True,
)
SYNONYMS = TableForm("synonyms", (_TAXON, _c("name", wanted=True), _c("authority"), _NOTE, _SOURCE))
TAXON_STATES = TableForm(
    "taxon_states",
    (
        _TAXON,
        _FEATURE,
        _c("state", CellKind.STATE, wanted=True),
        _c("frequency", CellKind.CHOICE, *(f.value for f in Frequency), wanted=True),
        _SOURCE,
        _NOTE,
    ),
    (_c("texts"), _FURTHER),
    needed=True,
)
TAXON_SIZES = TableForm(
    "taxon_sizes",
    (
        _TAXON,
        _FEATURE,
        _c("low", CellKind.NUMBER, wanted=True),
        _c("high", CellKind.NUMBER, wanted=True),
        _c("extreme_low", CellKind.NUMBER),
        _c("extreme_high", CellKind.NUMBER),
        _c("unit"),
        _SOURCE,
        _NOTE,
    ),
)
SYNDROMES = TableForm(
    "syndromes",
    (_c("syndrome", CellKind.NEW_KEY, wanted=True), _c("name", wanted=True), _c("what_happens"), _SOURCE),
    (_c("poison"), _c("organ"), _c("harm"), _c("harm_source", CellKind.SOURCE)),
)
STAGES = TableForm(
    "stages",
    (
        _c("syndrome", CellKind.SYNDROME, wanted=True),
        _c("stage", CellKind.CHOICE, *(str(number) for number in range(1, 10)), wanted=True),
        _c("what", wanted=True),
        _c("low", CellKind.NUMBER),
        _c("high", CellKind.NUMBER),
        _c("unit", CellKind.CHOICE, *ONSET_UNITS),
        _c("counts", CellKind.LIST),
        _c("may_be_missing", CellKind.CHOICE, "yes"),
        _SOURCE,
        _NOTE,
    ),
)
HAZARDS = TableForm(
    "hazards",
    (
        _TAXON,
        _c("syndrome", CellKind.SYNDROME),
        _c("toxin"),
        _c("severity", CellKind.CHOICE, *(s.value for s in Severity), wanted=True),
        _c("onset_low", CellKind.NUMBER),
        _c("onset_high", CellKind.NUMBER),
        _c("onset_unit", CellKind.CHOICE, *ONSET_UNITS),
        _c("onset_counts"),
        _c("misleads"),
        _SOURCE,
        _NOTE,
    ),
    (_FURTHER,),
    needed=True,
)
CONFUSIONS = TableForm(
    "confusions",
    (
        _TAXON,
        _c("lookalike", CellKind.TAXON, wanted=True),
        _c("separates", CellKind.FEATURES),
        _c("does_not_separate", CellKind.FEATURES),
        _NOTE,
        _SOURCE,
    ),
    (_FURTHER,),
)

TABLES = (
    SOURCES,
    FEATURES,
    STATES,
    TAXA,
    SYNONYMS,
    TAXON_STATES,
    TAXON_SIZES,
    SYNDROMES,
    STAGES,
    HAZARDS,
    CONFUSIONS,
)
"""In the order of reading: what a table refers to is read before it."""
