"""The scripts that alembic runs, one for each version of our tables."""
