"""The tables. One for each kind of record, with real columns, and the journal of steps.

Each has `seq`, the order of first insertion, never used twice, and `id`, the value's own id.
Links are foreign keys checked when the step ends (deferred), so a step may write its rows in any order
and the journal may put back any row; a row that something still points to cannot go. A link marked
loose is cleared instead when its target goes, inside the same step, so that undo brings it back.
A link to nothing is NULL and reads as ''. Changing a table here needs a migration beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import (
    BLOB,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    text,
)

APPLICATION_ID = 0x464F5242  # 'FORB': how a file says that it is one of ours (PRAGMA application_id)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _words(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, server_default=text("''"))


def _list(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, server_default=text("'[]'"))


def _yes_no(name: str, *, default: bool) -> Column[bool]:
    return Column(
        name, Boolean(create_constraint=False), nullable=False, server_default=text(str(int(default)))
    )


def _whole(name: str, default: int = 0) -> Column[int]:
    return Column(name, Integer, nullable=False, server_default=text(str(default)))


def _number(name: str) -> Column[float]:
    return Column(name, Float)


def _moment(name: str) -> Column[str]:
    """Aware UTC as ISO 8601 with microseconds: text that sorts as time does."""
    return Column(name, Text)


def _link(name: str, to: str, *, loose: bool = False) -> Column[str]:
    key = ForeignKey(f"{to}.id", deferrable=True, initially="DEFERRED")
    return Column(name, Text, key, info={"loose": loose})


def _record_table(name: str, *columns: Column[Any], indexes: tuple[tuple[str, ...], ...] = ()) -> Table:
    seq = Column("seq", Integer, primary_key=True, autoincrement=True)
    key = Column("id", Text, nullable=False, unique=True)
    table = Table(name, metadata, seq, key, *columns, sqlite_autoincrement=True)
    wanted = {*indexes, *((c.name,) for c in columns if c.foreign_keys)}
    for names in sorted(wanted):
        if not any(other != names and other[: len(names)] == names for other in wanted):
            Index(None, *(table.c[n] for n in names))
    return table


forays = _record_table(
    "forays",
    _words("title"),
    _words("site"),
    _moment("started"),
    _moment("ended"),
    _words("time_zone"),
    _list("people"),
    _words("permission"),
    _words("note"),
    _list("folders"),
    _words("country"),
    _words("country_code"),
    _words("state_province"),
    _words("county"),
)

photos = _record_table(
    "photos",
    _words("path"),
    _words("camera_make"),
    _words("camera_model"),
    _words("camera_serial"),
    _words("written_raw"),
    Column("written_local", Text, info={"naive": True}),  # as the camera wrote it, without a zone
    Column("written_offset_us", Integer),  # microseconds, east positive
    _words("written_tag"),
    _words("written_problem"),
    _number("fix_latitude"),
    _number("fix_longitude"),
    _number("fix_error_m"),
    _number("fix_altitude_m"),
    _moment("fix_satellite_time"),
    Column("fix_date_inferred", Boolean(create_constraint=False)),
    _number("fix_direction_deg"),
    Column("fix_direction_reference", Text),
    _words("fix_problem"),
    _words("format"),
    _whole("width"),
    _whole("height"),
    _whole("orientation", 1),
    _whole("size_bytes"),
    Column("counter", Integer),
    _words("quick_key"),
    _words("content_hash"),
    _link("foray_id", "forays"),
    _link("group_id", "groups"),
    _words("aside"),
    indexes=(("foray_id", "path"), ("path",), ("quick_key",), ("content_hash",), ("written_local",)),
)

clocks = _record_table(
    "clocks",
    _link("foray_id", "forays"),
    _words("camera_key"),
    Column("offset_s", Float, nullable=False),
    Column("spread_s", Float, nullable=False),
    _words("basis"),
    _yes_no("settled", default=True),
    _yes_no("by_hand", default=False),
    _whole("photos"),
)

groups = _record_table(
    "groups",
    _link("foray_id", "forays"),
    _list("photos"),
    _moment("start"),
    _moment("end"),
    _number("place_latitude"),
    _number("place_longitude"),
    _number("place_uncertainty_m"),
    Column("place_basis", Text),
    _yes_no("held", default=False),
    _link("specimen_id", "specimens"),
    _words("note"),
    indexes=(("start",),),
)

# Joins and offers are proposals: they name photos and groups that the next proposal may replace, so
# these names are not foreign keys.
joins = _record_table(
    "joins",
    _link("foray_id", "forays"),
    _words("before"),
    _words("after"),
    Column("probability", Float, nullable=False),
    _words("reason"),
    Column("settled", Boolean(create_constraint=False)),
)

same_as = _record_table(
    "same_as",
    _link("foray_id", "forays"),
    _words("group"),
    _words("earlier_group"),
    Column("probability", Float, nullable=False),
    _words("reason"),
    Column("accepted", Boolean(create_constraint=False)),
)

tracks = _record_table(
    "tracks",
    _link("foray_id", "forays"),
    _words("name"),
    _list("times"),
    _list("latitudes"),
    _list("longitudes"),
)

specimens = _record_table(
    "specimens",
    _words("number"),
    _link("foray_id", "forays"),
    _moment("collected_at"),
    _number("place_latitude"),
    _number("place_longitude"),
    _number("place_uncertainty_m"),
    Column("place_basis", Text),
    _words("collector"),
    _words("site"),
    _words("habitat"),
    _words("substrate"),
    _words("associated_taxa"),
    Column("fruit_bodies", Integer),
    _words("ages"),
    _words("condition"),
    _words("voucher"),
    _words("permission"),
    _words("note"),
    _yes_no("private_place", default=True),
    _link("cover_photo", "photos", loose=True),
    _words("section"),
    _words("country"),
    _words("country_code"),
    _words("state_province"),
    _words("county"),
    indexes=(("number",), ("collected_at",)),
)

evidence = _record_table(
    "evidence",
    _link("specimen_id", "specimens"),
    _words("feature"),
    _words("standing"),
    _list("states"),
    _number("low"),
    _number("high"),
    _words("unit"),
    _words("note"),
    _moment("noted_at"),
    _words("noted_by"),
    _link("photo_id", "photos", loose=True),
    _link("mark_id", "marks", loose=True),
    _words("fruit_body"),
    _yes_no("sure", default=True),
    indexes=(("specimen_id", "feature"), ("feature", "standing")),
)

marks = _record_table(
    "marks",
    _link("photo_id", "photos"),
    _words("kind"),
    _list("points"),
    _words("label"),
    _link("specimen_id", "specimens", loose=True),
    _words("part"),
    _words("feature"),
    _words("state"),
    _number("length_mm"),
    _number("length_u_mm"),
    _words("note"),
)

determinations = _record_table(
    "determinations",
    _link("specimen_id", "specimens"),
    _words("name"),
    _words("taxon"),
    _words("qualifier"),
    _words("determined_by"),
    Column("determined_on", Text),  # ISO date
    _words("basis"),
    _moment("entered_at"),
    _link("replaces", "determinations", loose=True),
    indexes=(("taxon",),),
)

tasks = _record_table(
    "tasks",
    _link("specimen_id", "specimens"),
    _words("kind"),
    _words("title"),
    _moment("due"),
    _moment("done_at"),
    _moment("started_at"),
    _words("note"),
    indexes=(("done_at", "due"),),
)

handed_on = _record_table(
    "handed_on",
    _moment("at"),
    _words("what"),
    _words("to_whom"),
    _words("precision"),
    _list("specimens"),
    _words("target"),
)

searches = _record_table("searches", _words("name"), _words("text"))


def private_by_the_word(cells: Mapping[str, Any]) -> bool:
    """Whether a note that is older than its field kept places private: by the word, wherever it stood."""
    words = cells["text"]
    told = words.decode("utf-8", "replace") if isinstance(words, bytes) else str(words or "")
    return "sensitive" in told.casefold()


taxon_notes = _record_table(
    "taxon_notes",
    _words("taxon"),
    _words("text"),
    _moment("at"),
    Column(
        "private_places",
        Boolean(create_constraint=False),
        nullable=False,
        server_default=text("0"),
        info={"older": private_by_the_word},  # what a journal written before this column meant
    ),
    indexes=(("taxon",),),
)

not_excluded = Table(
    "not_excluded",
    metadata,
    Column("specimen_id", Text, primary_key=True),
    _whole("version"),  # raised by every change of the records that are weighed
    Column("reckoned", Integer),  # the version that the rest was reckoned from; NULL: not yet
    _words("basis"),  # which reference and rule it was reckoned with
    _words("severity"),
    _words("taxon"),
    _whole("deadly"),
    _whole("dangerous"),
)
"""The worst taxon that is not excluded for each specimen: reckoned beside the work, so no shelf and no journal."""
Index(None, not_excluded.c.severity, not_excluded.c.taxon)

journal = Table(
    "journal",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("label", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("undoable", Boolean(create_constraint=False), nullable=False),
    Column("undone", Boolean(create_constraint=False), nullable=False),
    Column("images", BLOB, nullable=False),
    sqlite_autoincrement=True,
)
Index(None, journal.c.undoable, journal.c.undone)

RECORD_TABLES: dict[str, Table] = {
    table.name: table
    for table in (
        forays, photos, clocks, groups, joins, same_as, tracks, specimens, evidence, marks, determinations,
        tasks, handed_on, searches, taxon_notes,
    )
}  # fmt: skip
"""Every table of records by name, as `UnitOfWork` and `Changed` name them."""

LOOSE_LINKS: dict[str, tuple[Column[Any], ...]] = {
    name: tuple(
        column
        for table in RECORD_TABLES.values()
        for column in table.c
        if column.info.get("loose") and any(key.column.table.name == name for key in column.foreign_keys)
    )
    for name in RECORD_TABLES
}
"""For each kind, the columns elsewhere that are cleared when one of its rows goes."""
