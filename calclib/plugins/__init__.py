"""What stock nbgrader calls by name: from configuration files and from the hidden tests of practice notebooks."""

from calclib.plugins.practice_points import practice_points

__all__ = [
    "practice_points",
]
