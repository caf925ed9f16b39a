"""Sets in nbgrader: hand out, collect and mark without running what students hand in."""

from calclib.nbgrading.collect import Collected, collect
from calclib.nbgrading.dropping import Dropped, drop
from calclib.nbgrading.exam_environment import write_exam_environment
from calclib.nbgrading.hand_out import HandedOut, hand_out
from calclib.nbgrading.mark import Marked, mark
from calclib.nbgrading.practice_set import practice_points, practice_sets, write_release, write_sources
from calclib.nbgrading.start import StartedClass, start_class

__all__ = [
    "Collected",
    "Dropped",
    "HandedOut",
    "Marked",
    "StartedClass",
    "collect",
    "drop",
    "hand_out",
    "mark",
    "practice_points",
    "practice_sets",
    "start_class",
    "write_exam_environment",
    "write_release",
    "write_sources",
]
