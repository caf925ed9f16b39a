"""What students hand in: found, read as data, kept; never followed, never run."""

from calclib.collecting.collect import Collected, collect

__all__ = [
    "Collected",
    "collect",
]
