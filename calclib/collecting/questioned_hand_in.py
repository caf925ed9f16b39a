"""A hand-in that somebody questioned, and that faculty rule on: found, looked at, and taken or only tried."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.collecting.plain_file import read_plain_file
from calclib.collecting.receipts import Receipt
from calclib.collecting.stored_submission import Store
from calclib.errors import BadInput
from calclib.records.questioned import Questioned, QuestionKind, questioned_hand_ins
from calclib.records.rulings.ruling import Ruling
from calclib.wording.facts import fact


def questioned_hand_in(
    where: ClassFolder, set_name: str, rulings: Iterable[Ruling], names: Mapping[str, str], student: str, sign: str
) -> Questioned:
    """Return the hand-in of a sign that waits in a student's name.

    Args:
        where: The class folder.
        set_name: The set.
        rulings: The rulings in force.
        names: The pseudonym of each student by id.
        student: Id of the student.
        sign: The sign by which it was named.

    Raises:
        BadInput: there is none.
    """
    for one in questioned_hand_ins(where, set_name, rulings, names):
        if (one.student, one.sign) == (student, sign):
            return one
    raise BadInput(fact("errors_collecting.no_hand_in", sign=visible(sign), student=visible(student)))


def refuse_unacceptable(store: Store, student: Student, one: Questioned) -> None:
    """Refuse to take a hand-in that marking wouldn't look at.

    Raises:
        BadInput: it is another student's notebook or can't be marked, or the student's folder leads elsewhere.
    """
    if not store.may_be_own(student, read_plain_file(one.path)):
        raise BadInput(fact("errors_collecting.another_notebook", sign=one.sign, student=one.student))
    if store.where.reached_by_link(store.where.submitted(store.set_name, student.id)):
        raise BadInput(fact("errors_collecting.folder_is_a_link", student=student.id))


@contextmanager
def hand_in_taken(store: Store, student: Student, one: Questioned, *, preview: bool) -> Iterator[ClassFolder]:
    """Put a hand-in that is the student's own where marking looks, and yield that class folder.

    For a preview it is a copy of what the student handed in, which is removed afterward: nothing is changed.

    Args:
        store: Where hand-ins of the set are stored.
        student: The student.
        one: The hand-in.
        preview: Whether it is only tried.
    """
    if not preview:
        yield _stored(store, student, one)
        return
    with TemporaryDirectory(prefix="calclib-") as name:
        there = replace(store, where=replace(store.where, path=Path(name).resolve()))
        for folder, copy in zip(_folders(store, student), _folders(there, student), strict=True):
            _copied(folder, copy)
        yield _stored(there, student, one)


def _stored(store: Store, student: Student, one: Questioned) -> ClassFolder:
    data = read_plain_file(one.path)
    assert isinstance(data, bytes), "it was read a moment ago"
    # Of what came from another account only that it is the student's was in question; the latest counts as ever.
    store.store(student, data, Receipt(one.time, one.time), decided=one.why.kind is not QuestionKind.OTHER_ACCOUNT)
    return store.where


def _folders(store: Store, student: Student) -> tuple[Path, Path]:
    """Where a student's latest and earlier notebooks lie."""
    where = store.where
    return where.submitted(store.set_name, student.id).parent, where.earlier(store.set_name, student.id)


def _copied(folder: Path, to: Path) -> None:
    """Copy the plain files of a folder, their times with them."""
    for path in folder.iterdir() if folder.is_dir() else ():
        if path.is_file() and not path.is_symlink():
            to.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, to / path.name)
