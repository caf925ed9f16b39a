"""The notebook of a student that counts, and the others that came in under the same name, kept beside it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.roster import Student
from calclib.class_files.text_files import replace_file
from calclib.collecting.file_owner import told_of
from calclib.collecting.plain_file import Damaged, read_plain_file
from calclib.collecting.receipts import Receipt, digest_of, read_receipts, write_receipts
from calclib.collecting.submitted_notebook import read_notebook
from calclib.records.questioned import Question, QuestionKind, keep_questioned, not_listed
from calclib.wording import said

STAMP = "timestamp.txt"
"""The file beside a notebook that tells when it came in, as nbgrader's exchange names it."""
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
        settled: By student id, the signs of the hand-ins in that name that faculty ruled on.
        taken: By student id, SHA-256 of the notebooks that faculty took for the student's own.
    """

    where: ClassFolder
    set_name: str
    tags: Mapping[str, frozenset[tuple[str, str]]]
    settled: Mapping[str, frozenset[str]] = field(default_factory=dict)
    taken: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def keep_questioned(self, student: str, data: bytes, why: Question, time: dt.datetime) -> bool:
        """Keep a hand-in in a student's name for a person to look at; False if too many wait there already."""
        settled = self.settled.get(student, frozenset())
        return keep_questioned(self.where, self.set_name, student, data, why, time, settled=settled)

    def is_own(self, student: Student, data: bytes | Damaged) -> bool:
        """Tell whether a notebook says that it is the one that was handed out to the student, or faculty say so."""
        if isinstance(data, bytes) and digest_of(data) in self.taken.get(student.id, frozenset()):
            return True
        notebook = data if isinstance(data, Damaged) else read_notebook(data)
        if isinstance(notebook, Damaged) or notebook.set_name != self.set_name:
            return False
        return (notebook.made_for, notebook.tag) in self.tags.get(student.id, frozenset())

    def may_be_own(self, student: Student, data: bytes | Damaged) -> bool:
        """Tell whether faculty can take a notebook for the student's: it is, or it names nobody else.

        One that names the student with another tag, or with none, was offered to be taken when it lay alone, too.
        """
        notebook = data if isinstance(data, Damaged) else read_notebook(data)
        if isinstance(notebook, Damaged):
            return False
        names = {"", *(made_for for made_for, _ in self.tags.get(student.id, frozenset()))}
        nobody_elses = notebook.made_for in names and notebook.set_name in ("", self.set_name)
        return nobody_elses or self.is_own(student, data)

    def sealed_for(self, data: bytes) -> str:
        """Return the id of the student to whom a notebook of this set was handed out, "" if to nobody."""
        notebook = read_notebook(data)
        if isinstance(notebook, Damaged) or notebook.set_name != self.set_name:
            return ""
        mark = (notebook.made_for, notebook.tag)
        return next((student for student, marks in self.tags.items() if mark in marks), "")

    def is_of_another_set(self, data: bytes | Damaged) -> bool:
        """Tell whether a notebook says that it is of another set."""
        notebook = data if isinstance(data, Damaged) else read_notebook(data)
        return not isinstance(notebook, Damaged) and notebook.set_name not in ("", self.set_name)

    def store(self, student: Student, data: bytes, receipt: Receipt, *, decided: bool = False) -> Stored:
        """Keep one notebook: the student's own before any other, of these the latest, is where marking looks.

        A notebook that was collected before doesn't become the latest once more, unless it was handed in once more.

        Args:
            student: The student in whose name it came in.
            data: The notebook.
            receipt: When it came in.
            decided: Whether a person decided that this one counts.
        """
        path = self.where.submitted(self.set_name, student.id)
        if self.where.reached_by_link(path):
            return Stored(False, said("collecting.linked_folder", id=student.id))
        digest = digest_of(data)
        receipts = read_receipts(path.parent)
        if not path.is_file() or path.is_symlink():
            self._put(path, data, receipts | {digest: receipt}, receipt)
            return Stored(True)
        current = read_plain_file(path)
        if current == data:
            # The first run may have been stopped before it wrote the time beside the notebook.
            if digest in receipts:
                self._stamp(path, receipts[digest])
            return Stored(False)
        if not decided and self._was_kept(student, data, receipts.get(digest), receipt):
            return Stored(False)
        before = self._current_receipt(path, current, receipts, receipt)
        receipts = ({} if isinstance(current, Damaged) else {digest_of(current): before}) | receipts
        receipts = {**{name: one for name, one in receipts.items() if name != digest}, digest: receipt}
        own, own_before = decided or self.is_own(student, data), self.is_own(student, current)
        # Whoever hands in under another's name displaces nothing that is really that student's.
        older = own == own_before and not decided and self._is_older(receipt, before)
        if (own_before and not own) or older:
            write_receipts(path.parent, receipts)
            beside = self._beside(student, data, receipt.time)
            note = ""
            if not older:
                note = self._not_own(student, beside, data, receipt.time)
            elif own and receipt.time < before.collected < receipt.collected:
                note = self._asked(student, beside, data, receipt, QuestionKind.CAME_LATER)
            # The last step: until it is there, another run takes all of them again.
            return Stored(replace_file(beside, data, lasting=True), note)
        beside = self._put_beside(student, path, current, before.time)
        note = ""
        if own and not own_before and not decided:
            note = self._not_own(student, beside, current, before.time)
        elif own and own_before and not decided and self._same_time(receipt, before):
            note = self._asked(student, beside, current, before, QuestionKind.SAME_TIME)
        elif own and own_before and not decided and receipt.time < before.time:
            note = self._instead(student, beside)
        self._put(path, data, receipts, receipt)
        return Stored(True, note)

    def _is_older(self, receipt: Receipt, before: Receipt) -> bool:
        # What came in by a later run is the newer one, unless both times are believed and say otherwise.
        return not receipt.doubt and not before.doubt and receipt.time < before.time

    def _same_time(self, receipt: Receipt, before: Receipt) -> bool:
        if receipt.collected != before.collected and (receipt.doubt or before.doubt):
            return False
        return receipt.time == before.time

    def _put(self, path: Path, data: bytes, receipts: Mapping[str, Receipt], receipt: Receipt) -> None:
        write_receipts(path.parent, receipts)
        replace_file(path, data, lasting=True)
        self._stamp(path, receipt)

    def _stamp(self, path: Path, receipt: Receipt, *, only_missing: bool = False) -> None:
        if not (only_missing and path.with_name(STAMP).is_file()):
            write_stamp(path, receipt.time)

    def _current_receipt(
        self, path: Path, current: bytes | Damaged, receipts: Mapping[str, Receipt], coming: Receipt
    ) -> Receipt:
        """When the notebook that lies there came in; one that calclib didn't put there has the time beside it."""
        known = None if isinstance(current, Damaged) else receipts.get(digest_of(current))
        if known is not None:
            return known
        time = submission_time(path.with_name(STAMP)) or _file_time(path, coming.time)
        return Receipt(time, time)

    def _was_kept(self, student: Student, data: bytes, known: Receipt | None, receipt: Receipt) -> bool:
        """Whether a notebook was collected before, and is kept, and hasn't been handed in once more since."""
        folder = self.where.earlier(self.set_name, student.id)
        kept = sorted(folder.glob(f"*-{digest_of(data)[:_DIGITS]}.ipynb"))
        if not kept:
            return False
        # The name holds whole seconds.
        time = known.time if known else (stamped(kept[-1]) or receipt.time) + dt.timedelta(seconds=1)
        return bool(receipt.doubt) or receipt.time <= time

    def _asked(
        self, student: Student, beside: Path, data: bytes | Damaged, receipt: Receipt, reason: QuestionKind
    ) -> str:
        """Let a person say which of two notebooks of one student is the later."""
        if isinstance(data, Damaged):
            return ""
        listed = self.keep_questioned(student.id, data, Question(reason), receipt.time)
        kept = beside.relative_to(self.where.path).as_posix()
        who = told_of(student)
        if not listed:
            return said("collecting.not_kept", kept=kept, rest=not_listed(who))
        return said("collecting.which_is_later", who=who, kept=kept)

    def _instead(self, student: Student, beside: Path) -> str:
        kept = beside.relative_to(self.where.path).as_posix()
        return said("collecting.came_since", who=told_of(student), kept=kept)

    def _not_own(self, student: Student, beside: Path, data: bytes | Damaged, time: dt.datetime) -> str:
        kept, who = beside.relative_to(self.where.path).as_posix(), told_of(student)
        if isinstance(data, bytes) and not self.keep_questioned(student.id, data, Question(QuestionKind.NOT_OWN), time):
            return said("collecting.not_own_not_kept", who=who, kept=kept, rest=not_listed(who))
        return said("collecting.not_own", who=who, kept=kept)

    def _put_beside(self, student: Student, path: Path, current: bytes | Damaged, time: dt.datetime) -> Path:
        if isinstance(current, bytes):
            target = self._beside(student, current, time)
            replace_file(target, current, lasting=True)
            return target
        # Too large to be read: it is moved as it is, under a name by what is amiss with it.
        target = self._beside(student, f"{current.kind} {current.about}".encode(), time)
        target.parent.mkdir(parents=True, exist_ok=True)
        path.replace(target)
        return target

    def _beside(self, student: Student, data: bytes, time: dt.datetime) -> Path:
        name = f"{time.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}-{digest_of(data)[:_DIGITS]}.ipynb"
        return self.where.earlier(self.set_name, student.id) / name


def write_stamp(path: Path, time: dt.datetime) -> None:
    """Write beside a notebook when it came in, as the exchange does."""
    replace_file(path.with_name(STAMP), f"{time.astimezone(dt.UTC):%Y-%m-%d %H:%M:%S.%f UTC}\n".encode())


def submission_time(stamp: Path) -> dt.datetime | None:
    """Return the time in a `timestamp.txt`, as the exchange and collecting write it."""
    try:
        with open(stamp, "rb", buffering=0) as file:  # noqa: PTH123 - without a buffer, since every notebook has one
            words = file.read(100).decode("ascii").split()
        time = dt.datetime.fromisoformat(" ".join(words[:2]))
        return time.replace(tzinfo=dt.UTC) if time.tzinfo is None else time.astimezone(dt.UTC)
    except (OSError, ValueError, OverflowError):
        return None


def stamped(path: Path) -> dt.datetime | None:
    """Return the time in the name of a notebook that is kept beside the latest."""
    try:
        return dt.datetime.strptime(path.name.partition("-")[0], "%Y%m%dT%H%M%SZ").replace(tzinfo=dt.UTC)
    except ValueError:
        return None


def _file_time(path: Path, latest: dt.datetime) -> dt.datetime:
    try:
        return min(dt.datetime.fromtimestamp(path.stat().st_mtime, dt.UTC), latest)
    except (ValueError, OverflowError, OSError):
        return latest
