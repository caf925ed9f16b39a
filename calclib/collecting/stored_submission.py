"""The notebook of a student that counts, and the others that came in under the same name, kept beside it."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.roster import Student
from calclib.class_files.text_files import replace_file
from calclib.collecting.incoming import file_time
from calclib.collecting.plain_file import Damaged, read_plain_file
from calclib.collecting.submitted_notebook import read_notebook
from calclib.records.questioned import Question, QuestionKind, keep_questioned

_DIGITS = 8


@dataclass(frozen=True)
class Stored:
    """Whether a notebook is new, and a sentence where a person must look."""

    new: bool
    note: str = ""


@dataclass(frozen=True)
class Store:
    """Stores what comes in for one set.

    Args:
        where: The class folder.
        set_name: The set.
        tags: By student id, pseudonym and tag of each notebook that was handed out to that student.
    """

    where: ClassFolder
    set_name: str
    tags: Mapping[str, frozenset[tuple[str, str]]]

    def is_own(self, student: Student, data: bytes | Damaged) -> bool:
        """Tell whether a notebook says that it is the one that was handed out to the student."""
        notebook = data if isinstance(data, Damaged) else read_notebook(data)
        if isinstance(notebook, Damaged) or notebook.set_name != self.set_name:
            return False
        return (notebook.made_for, notebook.tag) in self.tags.get(student.id, frozenset())

    def store(self, student: Student, data: bytes, time: dt.datetime, *, certain: bool = True) -> Stored:
        """Keep one notebook: the student's own before any other, of these the latest, is where marking looks.

        Args:
            student: The student in whose name it came in.
            data: The notebook.
            time: When it was handed in.
            certain: Whether that is known; a notebook that is kept already doesn't become the latest by a guess.
        """
        path = self.where.submitted(self.set_name, student.id)
        if self.where.reached_by_link(path):
            return Stored(False, f"The folder of {student.id} in submissions is a link: remove it, and collect again.")
        stamp = path.with_name("timestamp.txt")
        note = ""
        if path.is_file() and not path.is_symlink():
            current = read_plain_file(path)
            if current == data:
                return Stored(False)
            before = submission_time(stamp) or file_time(path.stat(), time)
            if not certain and self._is_kept(student, data):
                return Stored(False)
            # Whoever hands in under another's name displaces nothing that is really that student's.
            own, own_before = self.is_own(student, data), self.is_own(student, current)
            if (own, time) < (own_before, before):
                beside = self._beside(student, data, time)
                new = replace_file(beside, data)
                return Stored(new, self._note(student, beside, data, time) if own_before and not own else "")
            beside = self._put_beside(student, path, current, before)
            note = self._note(student, beside, current, before) if own and not own_before else ""
        replace_file(path, data)
        replace_file(stamp, f"{time.astimezone(dt.UTC):%Y-%m-%d %H:%M:%S.%f UTC}\n".encode())
        return Stored(True, note)

    def _is_kept(self, student: Student, data: bytes) -> bool:
        digest = hashlib.sha256(data).hexdigest()[:_DIGITS]
        return any(self.where.earlier(self.set_name, student.id).glob(f"*-{digest}.ipynb"))

    def _note(self, student: Student, beside: Path, data: bytes | Damaged, time: dt.datetime) -> str:
        if isinstance(data, bytes):
            why = Question(QuestionKind.NOT_OWN)
            keep_questioned(self.where, self.set_name, student.id, data, why, time)
        return (
            f"A notebook in the name of {student.name} ({student.id}) isn't the one that was handed out to this "
            f"student: the student's own stands, the other is kept as {beside.relative_to(self.where.path).as_posix()}."
        )

    def _put_beside(self, student: Student, path: Path, current: bytes | Damaged, time: dt.datetime) -> Path:
        if isinstance(current, bytes):
            target = self._beside(student, current, time)
            replace_file(target, current)
            return target
        # Too large to be read: it is moved as it is.
        target = self._beside(student, current.words.encode(), time)
        target.parent.mkdir(parents=True, exist_ok=True)
        path.replace(target)
        return target

    def _beside(self, student: Student, data: bytes, time: dt.datetime) -> Path:
        digest = hashlib.sha256(data).hexdigest()[:_DIGITS]
        name = f"{time.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}-{digest}.ipynb"
        return self.where.earlier(self.set_name, student.id) / name


def submission_time(stamp: Path) -> dt.datetime | None:
    """Return the time in a `timestamp.txt`, as the exchange and collecting write it."""
    try:
        with open(stamp, "rb", buffering=0) as file:  # noqa: PTH123 - without a buffer, since every notebook has one
            words = file.read(100).decode("ascii").split()
        time = dt.datetime.fromisoformat(" ".join(words[:2]))
        return time.replace(tzinfo=dt.UTC) if time.tzinfo is None else time.astimezone(dt.UTC)
    except (OSError, ValueError, OverflowError):
        return None
