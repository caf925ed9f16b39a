"""The nbgrader_config.py of a class folder and of a folder of practice sets."""

from __future__ import annotations

from calclib.nbgrading.notebook import PLACE
from calclib.records.class_folder import ClassFolder


def practice_config() -> str:
    """Return the configuration with which `nbgrader generate_assignment` makes `exercises/` from `solutions/`."""
    return _COMMON.format(place=PLACE)


def class_config(folder: ClassFolder) -> str:
    """Return the configuration of a class folder, so that nbgrader's own commands find its files."""
    return _COMMON.format(place=PLACE) + _CLASS.format(course=folder.course, url=folder.gradebook_url)


_COMMON = '''"""Where nbgrader finds the sets."""

c = get_config()  # noqa: F821 (nbgrader provides it)

c.CourseDirectory.source_directory = "solutions"
c.CourseDirectory.release_directory = "exercises"
# What an answer cell holds in place of the answer, below its own line `answer_1 = ""`.
c.ClearSolutions.code_stub = {{"python": "{place}"}}
'''

_CLASS = """
c.CourseDirectory.course_id = {course!r}
c.CourseDirectory.db_url = {url!r}
c.CourseDirectory.submitted_directory = "submissions"
"""
