"""Writes `solutions/`, `exercises/` and nbgrader's configuration again after a blueprint of a practice set changed."""

from __future__ import annotations

from pathlib import Path

from calclib.releasing import write_release, write_sources

if __name__ == "__main__":
    root = Path(__file__).parents[2]
    write_sources(root)
    write_release(root)
