"""Version 2: with each paper, and each item that a ruling re-keyed, the version of calclib that made it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "2"
down_revision = "1"


def upgrade() -> None:
    """Add the version; until now that of the set was recorded alone, and there was one."""
    for table in ("calclib_paper", "calclib_rekeyed"):
        op.add_column(table, sa.Column("library", sa.String(20), nullable=False, server_default=""))
        op.execute(f"UPDATE {table} SET library = '0.1.0'")  # noqa: S608 - names of ours
