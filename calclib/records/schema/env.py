"""What alembic runs: the scripts in `versions/`, on the connection and in the transaction that it is given.

A script finds the class folder in `context.config.attributes["folder"]`.
"""

from __future__ import annotations

from alembic import context

from calclib.records.schema.version import VERSION_TABLE

context.configure(
    connection=context.config.attributes["connection"],
    version_table=VERSION_TABLE,
    # Ours begin on SQLite with a lock, so they hold changes of tables too.
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
