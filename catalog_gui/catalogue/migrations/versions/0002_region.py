"""Country, country code, province and county of forays and specimens."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Empty everywhere: where a find lies is written by people, never worked out from its coordinates."""
    for table in ("forays", "specimens"):
        for name in ("country", "country_code", "state_province", "county"):
            op.add_column(table, sa.Column(name, sa.Text(), nullable=False, server_default=sa.text("''")))
