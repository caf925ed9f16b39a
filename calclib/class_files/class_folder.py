"""The class folder: where each file of a real class lies, outside of any repository.

file or folder          what it holds                                                    who writes it
roster.csv              the class list                                                   faculty
blueprints/SET.toml     one blueprint a set                                              faculty
class.toml              name of the course; gradebook_url of a department's database     faculty, once
standing.toml           what the school asks after a failed exam                         faculty
course-secret.txt       makes draws unforeseeable; readable by its owner alone           the program, once
release/STUDENT/SET/    each student's notebook, to be handed out                        hand-out
submissions/STUDENT/SET/  the latest notebook of each student, with its time             collecting
earlier/STUDENT/SET/    earlier notebooks, by time                                       collecting
autograded/STUDENT/SET/ what nbgrader's formgrader shows                                 marking
rewriting-SET.json      whose of these are being written again                            marking, until it is done
feedback/STUDENT/SET/   one page a student                                               feedback
reports/SET.html        the class report                                                 report
plans/STUDENT/SET/      a plan and a practice notebook after each failed attempt         remedy
reports/SET.plans.html  who needs what                                                   remedy
reports/without-names/  the same for others to see, without names and small counts      report --anonymous
gradebook.db            nbgrader's gradebook, with the recorded draws and marks          the program
gradebook-copies/       the gradebook as it was before a newer version changed its tables  the program
nbgrader_config.py      lets nbgrader's own commands work here                           the program
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path

from calclib.class_files.names import set_name, student_id, visible
from calclib.class_files.text_files import read_text_file
from calclib.class_files.toml_lines import line_of, read_toml
from calclib.errors import BadInput
from calclib.wording.facts import fact

DEFAULT_COURSE = "dosage"


@dataclass(frozen=True)
class ClassFolder:
    """Paths and settings of one class."""

    path: Path
    course: str
    gradebook_url: str

    @property
    def other_gradebook(self) -> bool:
        """Whether the gradebook is another database than the file in this folder."""
        return self.gradebook_url != _own_gradebook(self.path)

    @property
    def roster(self) -> Path:
        """The class list."""
        return self.path / "roster.csv"

    @property
    def secret(self) -> Path:
        """The course secret."""
        return self.path / "course-secret.txt"

    @property
    def config(self) -> Path:
        """Configuration of nbgrader."""
        return self.path / "nbgrader_config.py"

    @property
    def erasing(self) -> Path:
        """What is recorded of an erasure until it is done."""
        return self.path / "erasing.json"

    def rewriting(self, name: str) -> Path:
        """Whose notebooks for the formgrader are written again, until that is done; by pseudonym."""
        return self.path / f"rewriting-{set_name(name)}.json"

    @property
    def notices(self) -> Path:
        """Folder of what commands noticed where it is too much to be printed."""
        return self.path / "notices"

    @property
    def gradebook_copies(self) -> Path:
        """Folder of the copies that were made before a newer version changed the gradebook's tables."""
        return self.path / "gradebook-copies"

    def gradebook_copy(self, version: int) -> Path:
        """The copy of the gradebook as its tables were in a version."""
        return self.gradebook_copies / f"tables-{version}.db"

    def blueprint(self, name: str) -> Path:
        """Where the blueprint of a set is kept."""
        return self.path / "blueprints" / f"{set_name(name)}.toml"

    def template(self, name: str) -> Path:
        """The set's template, the source notebook of nbgrader."""
        return self.path / "solutions" / set_name(name) / f"{name}.ipynb"

    def rendered(self, name: str, student: str) -> Path:
        """The student's own notebook, ready to be handed out."""
        return self.path / "release" / student_id(student) / set_name(name) / f"{name}.ipynb"

    def submitted(self, name: str, student: str) -> Path:
        """The latest notebook that the student handed in."""
        return self.path / "submissions" / student_id(student) / set_name(name) / f"{name}.ipynb"

    def earlier(self, name: str, student: str) -> Path:
        """Folder of the student's earlier submissions."""
        return self.path / "earlier" / student_id(student) / set_name(name)

    def questioned(self, name: str, student: str) -> Path:
        """Folder of hand-ins in the student's name that a person must look at."""
        return self.path / "questioned" / student_id(student) / set_name(name)

    def autograded(self, name: str, student: str) -> Path:
        """The notebook that nbgrader's formgrader shows."""
        return self.path / "autograded" / student_id(student) / set_name(name) / f"{name}.ipynb"

    def feedback(self, name: str, student: str) -> Path:
        """The student's feedback page."""
        return self.path / "feedback" / student_id(student) / set_name(name) / f"{name}.html"

    def plan(self, name: str, student: str, attempt: int) -> Path:
        """The student's plan after an attempt that wasn't passed."""
        return self.path / "plans" / student_id(student) / set_name(name) / f"plan-{attempt}.html"

    def plan_notebook(self, name: str, student: str, attempt: int) -> Path:
        """The practice notebook of that plan."""
        return self.path / "plans" / student_id(student) / set_name(name) / f"practice-{attempt}.ipynb"

    def plan_list(self, name: str) -> Path:
        """The list for faculty of who needs what after a set."""
        return self.path / "reports" / f"{set_name(name)}.plans.html"

    def reached_by_link(self, path: Path) -> bool:
        """Tell whether a path within the class folder, the file itself apart, leads through a symbolic link."""
        folder = str(self.path)
        for name in path.relative_to(self.path).parts[:-1]:
            folder = os.path.join(folder, name)  # noqa: PTH118 - plain text, since every notebook passes here
            if os.path.islink(folder):  # noqa: PTH114
                return True
        return False

    def report(self, name: str) -> Path:
        """The class report of a set."""
        return self.path / "reports" / f"{set_name(name)}.html"

    def report_without_names(self, name: str) -> Path:
        """The class report of a set that others may see."""
        return self.path / "reports" / "without-names" / f"{set_name(name)}.html"


def class_folder(path: Path, *, db_url: str | None = None) -> ClassFolder:
    """Return the class folder at `path`.

    Args:
        path: Where it is.
        db_url: The gradebook's database, if it is to be another than class.toml says.

    Raises:
        BadInput: there is none, or its class.toml is wrong.
    """
    settings = path / "class.toml"
    if not settings.is_file():
        raise BadInput(fact("errors_class_files.no_class_folder", path=str(path)))
    found = class_folder_from_text(path, read_text_file(settings))
    return found if db_url is None else replace(found, gradebook_url=db_url)


def class_folder_from_text(path: Path, text: str) -> ClassFolder:
    """Return the class folder at `path` whose class.toml reads `text`; see `class_folder`."""
    where = "class.toml"
    values = read_toml(text, where=where)
    for key, value in values.items():
        line = line_of(text, key)
        if key not in ("course", "gradebook_url"):
            raise BadInput(fact("errors_class_files.unknown_key_of_class", key=visible(key)), where=where, line=line)
        if not isinstance(value, str) or not value.strip() or not value.isprintable():
            raise BadInput(fact("errors_class_files.words_in_quotes", key=key), where=where, line=line)
    course = set_name(values.get("course", DEFAULT_COURSE), where=where, line=line_of(text, "course"))
    root = path.resolve()
    return ClassFolder(root, course, values.get("gradebook_url", _own_gradebook(root)))


def _own_gradebook(root: Path) -> str:
    return f"sqlite:///{root / 'gradebook.db'}"
