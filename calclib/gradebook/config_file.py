"""The nbgrader_config.py of a class folder and of a folder of practice sets."""

from __future__ import annotations

from calclib.class_files.class_folder import ClassFolder
from calclib.reading import PLACE


def practice_config() -> str:
    """Return the configuration with which `nbgrader generate_assignment` makes `exercises/` from `solutions/`."""
    return _COMMON.format(place=PLACE)


def class_config(folder: ClassFolder) -> str:
    """Return the configuration of a class folder, so that nbgrader's own commands work there on our sets.

    `nbgrader autograde`, the formgrader and the exchange then go through the same code as our commands, and run
    nothing of what a student handed in.
    """
    # The folder may be moved, or be read from another place: nbgrader by itself looks where it was started.
    url = repr(folder.gradebook_url) if folder.other_gradebook else "f\"sqlite:///{here / 'gradebook.db'}\""
    return _COMMON.format(place=PLACE) + _CLASS.format(course=folder.course, url=url)


_COMMON = '''"""Where nbgrader finds the sets."""

c = get_config()  # noqa: F821 (nbgrader provides it)

c.CourseDirectory.source_directory = "solutions"
c.CourseDirectory.release_directory = "exercises"
# What an answer cell holds in place of the answer, below its own line `answer_1 = ""`.
c.ClearSolutions.code_stub = {{"python": "{place}"}}
'''

_CLASS = """
from pathlib import Path  # noqa: E402

here = Path(__file__).resolve().parent
c.CourseDirectory.root = str(here)
c.CourseDirectory.course_id = {course!r}
c.CourseDirectory.db_url = {url}
c.CourseDirectory.submitted_directory = "submissions"

# `nbgrader autograde` marks by the sealed records. Nothing that was handed in is run, or becomes part of a page.
c.Autograde.exporter_class = "calclib.plugins.stock_autograde.SealedExporter"
c.Autograde.pre_convert_hook = "calclib.plugins.stock_autograde.expect_notebook"
c.Autograde.sanitize_preprocessors = []
c.Autograde.autograde_preprocessors = []
# A folder that is nobody's makes no student.
c.Autograde.create_student = False

# `nbgrader collect` looks at who owns a hand-in; `nbgrader release_feedback` takes our pages too.
c.ExchangeFactory.collect = "calclib.plugins.stock_exchange.CheckedCollect"
c.ExchangeFactory.release_feedback = "calclib.plugins.stock_exchange.ReleasePages"
"""
