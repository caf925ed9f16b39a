"""What stock nbgrader calls by name: from configuration files and from the check cells of practice notebooks."""

from calclib.plugins.plan_checks import check_practice
from calclib.plugins.practice_checks import check_answer
from calclib.plugins.practice_points import practice_points

__all__ = [
    "check_answer",
    "check_practice",
    "practice_points",
]
