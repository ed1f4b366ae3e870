"""Run by Alembic: migrate over the connection that `schema.migrate` hands in, inside its transaction."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True)
context.run_migrations()
