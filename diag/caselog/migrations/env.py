"""What Alembic runs: the migrations on the connection and in the transaction of whoever called."""

from __future__ import annotations

from alembic import context

from diag.caselog.schema import METADATA, VERSION_TABLE

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    version_table=VERSION_TABLE,
    transactional_ddl=True,  # SQLite can, since our connections begin their transactions themselves
)
with context.begin_transaction():
    context.run_migrations()
