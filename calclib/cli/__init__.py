"""The command `calclib`. Each command loads what it needs when it runs, so that help stays quick."""

from calclib.cli.main import main

__all__ = ["main"]
