"""What goes out to students: a class started, sets handed out, released, taken back; a student erased."""

from calclib.releasing.exam_environment import write_exam_environment
from calclib.releasing.exchange_outbound import Released, release
from calclib.releasing.hand_out import HandedOut, hand_out
from calclib.releasing.practice_set import practice_sets, write_release, write_sources
from calclib.releasing.start import StartedClass, start_class

__all__ = [
    "HandedOut",
    "Released",
    "StartedClass",
    "hand_out",
    "practice_sets",
    "release",
    "start_class",
    "write_exam_environment",
    "write_release",
    "write_sources",
]
