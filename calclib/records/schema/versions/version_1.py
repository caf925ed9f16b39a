"""Version 1: the tables of 0.1.0, those that it made later than the first gradebooks too."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "1"
down_revision = None


def upgrade() -> None:
    """Make what an early gradebook may lack."""
    known = set(sa.inspect(op.get_bind()).get_table_names())
    if "calclib_erased" not in known:
        op.create_table("calclib_erased", sa.Column("mark", sa.String(64), primary_key=True))
    if "calclib_rekeyed" not in known:
        op.create_table(
            "calclib_rekeyed",
            sa.Column("set_name", sa.String(40), primary_key=True),
            sa.Column("ruling", sa.Integer, primary_key=True, autoincrement=False),
            sa.Column("pseudonym", sa.String(16), primary_key=True),
            sa.Column("attempt", sa.Integer, primary_key=True),
            sa.Column("slot", sa.Integer, primary_key=True),
            sa.Column("model_id", sa.String(80), nullable=False),
            sa.Column("model_version", sa.Integer, nullable=False),
            sa.Column("model_hash", sa.String(64), nullable=False),
            sa.Column("numbers", sa.String(64), nullable=False),
            sa.Column("record", sa.Text, nullable=False),
            sa.Column("faults", sa.Text, nullable=False),
            sa.Column("worked", sa.Text, nullable=False),
            sa.Column("notes", sa.Text, nullable=False),
            sa.ForeignKeyConstraint(
                ["set_name", "pseudonym", "attempt"],
                ["calclib_paper.set_name", "calclib_paper.pseudonym", "calclib_paper.attempt"],
                ondelete="CASCADE",
            ),
        )
