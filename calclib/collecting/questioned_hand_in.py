"""A hand-in that somebody questioned, and that faculty rule on: found, looked at, and taken or only tried."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.class_files.text_files import replace_file
from calclib.collecting.plain_file import read_plain_file
from calclib.collecting.receipts import Receipt, digest_of, read_receipts, write_receipts
from calclib.collecting.stored_submission import STAMP, Store, write_stamp
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.records.people import pseudonyms
from calclib.records.questioned import Questioned, QuestionKind, questioned_hand_ins, settled_hand_ins
from calclib.records.rulings.ruling import Ruling, in_force, rulings_of
from calclib.records.sealed import lock_set
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
def hand_in_taken(
    store: Store, student: Student, one: Questioned, *, pseudonym: str, preview: bool
) -> Iterator[ClassFolder]:
    """Put a hand-in that is the student's own where marking looks, and yield that class folder.

    For a preview it is a copy of what the student handed in, which is removed afterward: nothing is changed. Else what
    was there before is noted first, and put back by `finish_taking` where the ruling never came to be.

    Args:
        store: Where hand-ins of the set are stored.
        student: The student.
        one: The hand-in.
        pseudonym: What stands for the student in records.
        preview: Whether it is only tried.
    """
    if not preview:
        _note_taking(store, student, one, pseudonym)
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


def _note_taking(store: Store, student: Student, one: Questioned, pseudonym: str) -> None:
    """Note which hand-in is taken, and which notebook lay there before."""
    before, taken = (read_plain_file(path) for path in (store.where.submitted(store.set_name, student.id), one.path))
    noted = {
        "pseudonym": pseudonym,
        "sign": one.sign,
        "taken": digest_of(taken) if isinstance(taken, bytes) else "",
        "before": digest_of(before) if isinstance(before, bytes) else "",
    }
    replace_file(store.where.taking(store.set_name), json.dumps(noted).encode(), lasting=True)


def finish_taking(where: ClassFolder, set_name: str) -> None:
    """Put back what lay there before a hand-in was taken by a ruling that never came to be.

    A run that is stopped after the hand-in was put in its place and before the ruling was kept would leave a notebook
    to be marked that nobody ruled on.

    Args:
        where: The class folder.
        set_name: The set.
    """
    try:
        path = where.taking(set_name)
    except BadInput:  # no set has such a name: whoever asks for it is told so
        return
    if not path.is_file():
        return
    # Whoever is making the ruling now holds the set: the note is read once the ruling is kept, or never will be.
    with gradebook_transaction(where) as connection:
        lock_set(connection, set_name)
        data = read_plain_file(path)
        if not isinstance(data, bytes):
            return
        noted, names = json.loads(data), pseudonyms(connection)
        settled = settled_hand_ins(in_force(rulings_of(connection, set_name)), names)
        student = next((one for one, name in names.items() if name == noted["pseudonym"]), None)
        if student is not None and noted["sign"] not in settled.get(student, ()):
            _put_back(where, set_name, student, noted)
        path.unlink(missing_ok=True)


def _put_back(where: ClassFolder, set_name: str, student: str, noted: Mapping[str, str]) -> None:
    path = where.submitted(set_name, student)
    current = read_plain_file(path)
    if noted["before"] == noted["taken"] or not isinstance(current, bytes) or digest_of(current) != noted["taken"]:
        return
    receipts = {name: one for name, one in read_receipts(path.parent).items() if name != noted["taken"]}
    kept = _kept(where, set_name, student, noted["before"])
    write_receipts(path.parent, receipts)
    if kept is None:
        path.unlink()
        path.with_name(STAMP).unlink(missing_ok=True)
        return
    replace_file(path, kept, lasting=True)
    if noted["before"] in receipts:
        write_stamp(path, receipts[noted["before"]].time)


def _kept(where: ClassFolder, set_name: str, student: str, digest: str) -> bytes | None:
    """The notebook of a digest among a student's earlier ones, where it was put before another took its place."""
    folder = where.earlier(set_name, student)
    for path in sorted(folder.glob(f"*-{digest[:8]}.ipynb")) if digest else ():
        data = read_plain_file(path)
        if isinstance(data, bytes) and digest_of(data) == digest:
            return data
    return None
