"""What a student can do, kept per skill in a file of the student's own."""

from calclib.memory.keeping import Opened, kept_in, practice_file, read_memory, write_memory
from calclib.memory.mastery import is_mastered
from calclib.memory.record import Memory, Practiced, Skill
from calclib.memory.scheduling import with_practice, with_problem_of_set
from calclib.memory.today import MINUTES, Today, today

__all__ = [
    "MINUTES",
    "Memory",
    "Opened",
    "Practiced",
    "Skill",
    "Today",
    "is_mastered",
    "kept_in",
    "practice_file",
    "read_memory",
    "today",
    "with_practice",
    "with_problem_of_set",
    "write_memory",
]
