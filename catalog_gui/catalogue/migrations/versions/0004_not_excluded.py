"""The worst taxon that is not excluded for each specimen, with the records that it was reckoned from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table empty: a specimen without a row is one that was not weighed yet."""
    op.create_table(
        "not_excluded",
        sa.Column("specimen_id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False, server_default=sa.text("0")),
        sa.Column("reckoned", sa.Integer()),
        *(
            sa.Column(name, sa.Text(), nullable=False, server_default=sa.text("''"))
            for name in ("basis", "severity", "taxon")
        ),
        *(
            sa.Column(name, sa.Integer(), nullable=False, server_default=sa.text("0"))
            for name in ("deadly", "dangerous")
        ),
        sa.PrimaryKeyConstraint("specimen_id", name=op.f("pk_not_excluded")),
    )
    op.create_index(op.f("ix_not_excluded_severity_taxon"), "not_excluded", ["severity", "taxon"])
