"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Every table as the first catalogue had it."""
    op.create_table(
        "forays",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("site", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("started", sa.Text()),
        sa.Column("ended", sa.Text()),
        sa.Column("time_zone", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("people", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.Column("permission", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("note", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("folders", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.PrimaryKeyConstraint("seq", name="pk_forays"),
        sa.UniqueConstraint("id", name="uq_forays_id"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "photos",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("camera_make", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("camera_model", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("camera_serial", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("written_raw", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("written_local", sa.Text()),
        sa.Column("written_offset_us", sa.Integer()),
        sa.Column("written_tag", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("written_problem", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("fix_latitude", sa.Float()),
        sa.Column("fix_longitude", sa.Float()),
        sa.Column("fix_error_m", sa.Float()),
        sa.Column("fix_altitude_m", sa.Float()),
        sa.Column("fix_satellite_time", sa.Text()),
        sa.Column("fix_date_inferred", sa.Boolean()),
        sa.Column("fix_direction_deg", sa.Float()),
        sa.Column("fix_direction_reference", sa.Text()),
        sa.Column("fix_problem", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("format", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("width", sa.Integer(), nullable=False, server_default=sa.text("0")),
        sa.Column("height", sa.Integer(), nullable=False, server_default=sa.text("0")),
        sa.Column("orientation", sa.Integer(), nullable=False, server_default=sa.text("1")),
        sa.Column("size_bytes", sa.Integer(), nullable=False, server_default=sa.text("0")),
        sa.Column("counter", sa.Integer()),
        sa.Column("quick_key", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("content_hash", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("foray_id", sa.Text()),
        sa.Column("group_id", sa.Text()),
        sa.Column("aside", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.PrimaryKeyConstraint("seq", name="pk_photos"),
        sa.ForeignKeyConstraint(
            ["foray_id"], ["forays.id"], name="fk_photos_foray_id", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["group_id"], ["groups.id"], name="fk_photos_group_id", initially="DEFERRED", deferrable=True
        ),
        sa.UniqueConstraint("id", name="uq_photos_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_photos_content_hash", "photos", ["content_hash"])
    op.create_index("ix_photos_foray_id_path", "photos", ["foray_id", "path"])
    op.create_index("ix_photos_group_id", "photos", ["group_id"])
    op.create_index("ix_photos_path", "photos", ["path"])
    op.create_index("ix_photos_quick_key", "photos", ["quick_key"])
    op.create_index("ix_photos_written_local", "photos", ["written_local"])
    op.create_table(
        "clocks",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("foray_id", sa.Text()),
        sa.Column("camera_key", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("offset_s", sa.Float(), nullable=False),
        sa.Column("spread_s", sa.Float(), nullable=False),
        sa.Column("basis", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("settled", sa.Boolean(), nullable=False, server_default=sa.text("1")),
        sa.Column("by_hand", sa.Boolean(), nullable=False, server_default=sa.text("0")),
        sa.Column("photos", sa.Integer(), nullable=False, server_default=sa.text("0")),
        sa.PrimaryKeyConstraint("seq", name="pk_clocks"),
        sa.ForeignKeyConstraint(
            ["foray_id"], ["forays.id"], name="fk_clocks_foray_id", initially="DEFERRED", deferrable=True
        ),
        sa.UniqueConstraint("id", name="uq_clocks_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_clocks_foray_id", "clocks", ["foray_id"])
    op.create_table(
        "groups",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("foray_id", sa.Text()),
        sa.Column("photos", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.Column("start", sa.Text()),
        sa.Column("end", sa.Text()),
        sa.Column("place_latitude", sa.Float()),
        sa.Column("place_longitude", sa.Float()),
        sa.Column("place_uncertainty_m", sa.Float()),
        sa.Column("place_basis", sa.Text()),
        sa.Column("held", sa.Boolean(), nullable=False, server_default=sa.text("0")),
        sa.Column("specimen_id", sa.Text()),
        sa.Column("note", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.PrimaryKeyConstraint("seq", name="pk_groups"),
        sa.ForeignKeyConstraint(
            ["foray_id"], ["forays.id"], name="fk_groups_foray_id", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["specimen_id"],
            ["specimens.id"],
            name="fk_groups_specimen_id",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.UniqueConstraint("id", name="uq_groups_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_groups_foray_id", "groups", ["foray_id"])
    op.create_index("ix_groups_specimen_id", "groups", ["specimen_id"])
    op.create_index("ix_groups_start", "groups", ["start"])
    op.create_table(
        "joins",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("foray_id", sa.Text()),
        sa.Column("before", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("after", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("probability", sa.Float(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("settled", sa.Boolean()),
        sa.PrimaryKeyConstraint("seq", name="pk_joins"),
        sa.ForeignKeyConstraint(
            ["foray_id"], ["forays.id"], name="fk_joins_foray_id", initially="DEFERRED", deferrable=True
        ),
        sa.UniqueConstraint("id", name="uq_joins_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_joins_foray_id", "joins", ["foray_id"])
    op.create_table(
        "same_as",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("foray_id", sa.Text()),
        sa.Column("group", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("earlier_group", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("probability", sa.Float(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("accepted", sa.Boolean()),
        sa.PrimaryKeyConstraint("seq", name="pk_same_as"),
        sa.ForeignKeyConstraint(
            ["foray_id"], ["forays.id"], name="fk_same_as_foray_id", initially="DEFERRED", deferrable=True
        ),
        sa.UniqueConstraint("id", name="uq_same_as_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_same_as_foray_id", "same_as", ["foray_id"])
    op.create_table(
        "tracks",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("foray_id", sa.Text()),
        sa.Column("name", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("times", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.Column("latitudes", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.Column("longitudes", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.PrimaryKeyConstraint("seq", name="pk_tracks"),
        sa.ForeignKeyConstraint(
            ["foray_id"], ["forays.id"], name="fk_tracks_foray_id", initially="DEFERRED", deferrable=True
        ),
        sa.UniqueConstraint("id", name="uq_tracks_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_tracks_foray_id", "tracks", ["foray_id"])
    op.create_table(
        "specimens",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("foray_id", sa.Text()),
        sa.Column("collected_at", sa.Text()),
        sa.Column("place_latitude", sa.Float()),
        sa.Column("place_longitude", sa.Float()),
        sa.Column("place_uncertainty_m", sa.Float()),
        sa.Column("place_basis", sa.Text()),
        sa.Column("collector", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("site", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("habitat", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("substrate", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("associated_taxa", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("fruit_bodies", sa.Integer()),
        sa.Column("ages", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("condition", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("voucher", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("permission", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("note", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("private_place", sa.Boolean(), nullable=False, server_default=sa.text("1")),
        sa.Column("cover_photo", sa.Text()),
        sa.Column("section", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.PrimaryKeyConstraint("seq", name="pk_specimens"),
        sa.ForeignKeyConstraint(
            ["foray_id"], ["forays.id"], name="fk_specimens_foray_id", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["cover_photo"],
            ["photos.id"],
            name="fk_specimens_cover_photo",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.UniqueConstraint("id", name="uq_specimens_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_specimens_collected_at", "specimens", ["collected_at"])
    op.create_index("ix_specimens_cover_photo", "specimens", ["cover_photo"])
    op.create_index("ix_specimens_foray_id", "specimens", ["foray_id"])
    op.create_index("ix_specimens_number", "specimens", ["number"])
    op.create_table(
        "evidence",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("specimen_id", sa.Text()),
        sa.Column("feature", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("standing", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("states", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.Column("low", sa.Float()),
        sa.Column("high", sa.Float()),
        sa.Column("unit", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("note", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("noted_at", sa.Text()),
        sa.Column("noted_by", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("photo_id", sa.Text()),
        sa.Column("mark_id", sa.Text()),
        sa.Column("fruit_body", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("sure", sa.Boolean(), nullable=False, server_default=sa.text("1")),
        sa.PrimaryKeyConstraint("seq", name="pk_evidence"),
        sa.ForeignKeyConstraint(
            ["specimen_id"],
            ["specimens.id"],
            name="fk_evidence_specimen_id",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["photo_id"], ["photos.id"], name="fk_evidence_photo_id", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["mark_id"], ["marks.id"], name="fk_evidence_mark_id", initially="DEFERRED", deferrable=True
        ),
        sa.UniqueConstraint("id", name="uq_evidence_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_evidence_feature_standing", "evidence", ["feature", "standing"])
    op.create_index("ix_evidence_mark_id", "evidence", ["mark_id"])
    op.create_index("ix_evidence_photo_id", "evidence", ["photo_id"])
    op.create_index("ix_evidence_specimen_id_feature", "evidence", ["specimen_id", "feature"])
    op.create_table(
        "marks",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("photo_id", sa.Text()),
        sa.Column("kind", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("points", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.Column("label", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("specimen_id", sa.Text()),
        sa.Column("part", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("feature", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("state", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("length_mm", sa.Float()),
        sa.Column("length_u_mm", sa.Float()),
        sa.Column("note", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.PrimaryKeyConstraint("seq", name="pk_marks"),
        sa.ForeignKeyConstraint(
            ["photo_id"], ["photos.id"], name="fk_marks_photo_id", initially="DEFERRED", deferrable=True
        ),
        sa.ForeignKeyConstraint(
            ["specimen_id"],
            ["specimens.id"],
            name="fk_marks_specimen_id",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.UniqueConstraint("id", name="uq_marks_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_marks_photo_id", "marks", ["photo_id"])
    op.create_index("ix_marks_specimen_id", "marks", ["specimen_id"])
    op.create_table(
        "determinations",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("specimen_id", sa.Text()),
        sa.Column("name", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("taxon", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("qualifier", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("determined_by", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("determined_on", sa.Text()),
        sa.Column("basis", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("entered_at", sa.Text()),
        sa.Column("replaces", sa.Text()),
        sa.PrimaryKeyConstraint("seq", name="pk_determinations"),
        sa.ForeignKeyConstraint(
            ["specimen_id"],
            ["specimens.id"],
            name="fk_determinations_specimen_id",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["replaces"],
            ["determinations.id"],
            name="fk_determinations_replaces",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.UniqueConstraint("id", name="uq_determinations_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_determinations_replaces", "determinations", ["replaces"])
    op.create_index("ix_determinations_specimen_id", "determinations", ["specimen_id"])
    op.create_index("ix_determinations_taxon", "determinations", ["taxon"])
    op.create_table(
        "tasks",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("specimen_id", sa.Text()),
        sa.Column("kind", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("title", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("due", sa.Text()),
        sa.Column("done_at", sa.Text()),
        sa.Column("started_at", sa.Text()),
        sa.Column("note", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.PrimaryKeyConstraint("seq", name="pk_tasks"),
        sa.ForeignKeyConstraint(
            ["specimen_id"],
            ["specimens.id"],
            name="fk_tasks_specimen_id",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.UniqueConstraint("id", name="uq_tasks_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_tasks_done_at_due", "tasks", ["done_at", "due"])
    op.create_index("ix_tasks_specimen_id", "tasks", ["specimen_id"])
    op.create_table(
        "handed_on",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("at", sa.Text()),
        sa.Column("what", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("to_whom", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("precision", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("specimens", sa.Text(), nullable=False, server_default=sa.text("'[]'")),
        sa.Column("target", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.PrimaryKeyConstraint("seq", name="pk_handed_on"),
        sa.UniqueConstraint("id", name="uq_handed_on_id"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "searches",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("text", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.PrimaryKeyConstraint("seq", name="pk_searches"),
        sa.UniqueConstraint("id", name="uq_searches_id"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "taxon_notes",
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("taxon", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("text", sa.Text(), nullable=False, server_default=sa.text("''")),
        sa.Column("at", sa.Text()),
        sa.PrimaryKeyConstraint("seq", name="pk_taxon_notes"),
        sa.UniqueConstraint("id", name="uq_taxon_notes_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_taxon_notes_taxon", "taxon_notes", ["taxon"])
    op.create_table(
        "journal",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("undoable", sa.Boolean(), nullable=False),
        sa.Column("undone", sa.Boolean(), nullable=False),
        sa.Column("images", sa.BLOB(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_journal"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_journal_undoable_undone", "journal", ["undoable", "undone"])
    op.execute("PRAGMA application_id = 1179603522")
