"""Whether the places of a taxon are kept private, as a field of its own instead of a word in its note."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from catalog_gui.catalogue.tables import private_by_the_word

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Carry over what the word 'sensitive' in a note did, wherever it stood in it: no place becomes finer."""
    op.add_column(
        "taxon_notes", sa.Column("private_places", sa.Boolean(), nullable=False, server_default=sa.text("0"))
    )
    connection = op.get_bind()
    for key, words in connection.exec_driver_sql("SELECT id, text FROM taxon_notes").all():
        if private_by_the_word({"text": words}):
            connection.exec_driver_sql("UPDATE taxon_notes SET private_places = 1 WHERE id = ?", (key,))
