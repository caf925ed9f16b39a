"""Hand-ins in a student's name that aren't, or may not be, the student's: kept apart, unmarked, until a person decides.

Each is the notebook as it came in and, beside it, why it is questioned. Nothing in this folder is ever marked.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.text_files import replace_file
from calclib.records.rulings.ruling import Ruling
from calclib.wording.facts import Fact, fact

# Whoever floods another's name with hand-ins fills no disk.
MOST_OF_ONE_STUDENT = 20
_SIGN = 8


class QuestionKind(StrEnum):
    """Why a hand-in is questioned; the values are what is recorded, and never change."""

    OTHER_ACCOUNT = "other account"  # owner, account, readable
    NOT_OWN = "not the student's own"
    SAME_TIME = "same time as another"
    CAME_LATER = "came later with an earlier time"
    WITHIN_ANOTHERS = "within another's hand-in"  # owner: id of that student
    # What an earlier version recorded as a sentence of no kind.
    SENTENCE = "sentence"  # account: the sentence


@dataclass(frozen=True)
class Question:
    """Why a hand-in in a student's name is questioned.

    Attributes:
        kind: The kind of reason.
        owner: Name of the account that made it, "" where that isn't known any more.
        account: The student's own account.
        readable: Whether it holds a notebook that can be read.
    """

    kind: QuestionKind
    owner: str = ""
    account: str = ""
    readable: bool = True

    def fact(self) -> Fact:
        """Return it to be told to faculty."""
        if self.kind is QuestionKind.NOT_OWN:
            return fact("questioned.not_own")
        if self.kind is QuestionKind.SAME_TIME:
            return fact("questioned.same_time")
        if self.kind is QuestionKind.CAME_LATER:
            return fact("questioned.came_later")
        if self.kind is QuestionKind.WITHIN_ANOTHERS:
            return fact("questioned.within", owner=self.owner) if self.owner else fact("questioned.within_forgotten")
        if self.kind is QuestionKind.SENTENCE:
            return Fact("recorded.text", (("text", self.account),))
        if not self.owner:
            return fact(
                "questioned.forgotten_account" if self.readable else "questioned.forgotten_account_unreadable",
                account=self.account,
            )
        return fact(
            "questioned.other_account" if self.readable else "questioned.other_account_unreadable",
            owner=visible(self.owner),
            account=self.account,
        )


@dataclass(frozen=True)
class Questioned:
    """One such hand-in.

    Attributes:
        student: Id of the student in whose name it came.
        sign: The first letters of its SHA-256, by which a person names it.
        why: Why it is questioned.
        time: When it was handed in.
        path: The notebook in the class folder.
    """

    student: str
    sign: str
    why: Question
    time: dt.datetime
    path: Path


def keep_questioned(
    where: ClassFolder,
    set_name: str,
    student: str,
    data: bytes,
    why: Question,
    time: dt.datetime,
    *,
    settled: Collection[str] = (),
) -> bool:
    """Keep a hand-in that a person must look at; a second time nothing changes.

    Args:
        where: The class folder.
        set_name: The set.
        student: Id of the student in whose name it came.
        data: The notebook as it came in.
        why: Why it is questioned.
        time: When it was handed in.
        settled: The signs of those in the student's name that faculty ruled on.

    Returns:
        False if so many wait in the student's name that it isn't kept.
    """
    folder = where.questioned(set_name, student)
    if where.reached_by_link(folder / "x"):
        return True
    sign = hashlib.sha256(data).hexdigest()[:_SIGN]
    known = {path.stem for path in folder.glob("*.json")} if folder.is_dir() else set()
    if sign in known:
        return True
    if len(known - set(settled)) >= MOST_OF_ONE_STUDENT:
        return False
    replace_file(folder / f"{sign}.ipynb", data, mode=0o600)
    about = {**asdict(why), "time": time.astimezone(dt.UTC).isoformat(timespec="seconds")}
    replace_file(folder / f"{sign}.json", json.dumps(about, ensure_ascii=False).encode(), mode=0o600)
    return True


def settled_hand_ins(rulings: Iterable[Ruling], names: Mapping[str, str]) -> Mapping[str, frozenset[str]]:
    """Return the signs of the hand-ins that faculty ruled on, by the student in whose name they came.

    Args:
        rulings: The rulings in force.
        names: The pseudonym of each student by id.
    """
    signs: dict[str, set[str]] = {}
    for ruling in rulings:
        if ruling.kind == "hand_in":
            signs.setdefault(ruling.pseudonym, set()).add(ruling.value["sign"])
    return {student: frozenset(signs.get(name, ())) for student, name in names.items()}


def taken_notebooks(rulings: Iterable[Ruling], names: Mapping[str, str]) -> Mapping[str, frozenset[str]]:
    """Return the SHA-256 of the notebooks that faculty took for a student's own, by student.

    Args:
        rulings: The rulings in force.
        names: The pseudonym of each student by id.
    """
    taken: dict[str, set[str]] = {}
    for ruling in rulings:
        if ruling.takes:
            taken.setdefault(ruling.pseudonym, set()).add(ruling.takes)
    return {student: frozenset(taken.get(name, ())) for student, name in names.items()}


def not_listed(student: Fact | str) -> Fact:
    """Return what is told of a hand-in that `keep_questioned` didn't keep, as the end of a sentence.

    Args:
        student: Name and id of the student in whose name it came.
    """
    return fact("questioned.not_listed", most=MOST_OF_ONE_STUDENT, student=student)


def questioned_hand_ins(
    where: ClassFolder, set_name: str, rulings: Iterable[Ruling], names: Mapping[str, str]
) -> tuple[Questioned, ...]:
    """Return the hand-ins of a set that nobody decided on yet, by student.

    Args:
        where: The class folder.
        set_name: The set.
        rulings: The rulings in force.
        names: The pseudonym of each student by id.
    """
    # The same file may have come in the names of several students: each is a hand-in of its own.
    decided = {(ruling.pseudonym, ruling.value["sign"]) for ruling in rulings if ruling.kind == "hand_in"}
    found = []
    for path in sorted(where.path.glob(f"questioned/*/{set_name}/*.json")):
        student = path.parent.parent.name
        if (names.get(student), path.stem) not in decided and not path.is_symlink() and not where.reached_by_link(path):
            about = json.loads(path.read_text(encoding="utf-8"))
            time = dt.datetime.fromisoformat(about["time"])
            notebook = path.with_suffix(".ipynb")
            why = Question(QuestionKind(about["kind"]), about["owner"], about["account"], about["readable"])
            found.append(Questioned(student, path.stem, why, time, notebook))
    return tuple(found)


def forget_owner(where: ClassFolder, accounts: Collection[str]) -> None:
    """Take accounts out of what is said of hand-ins in others' names."""
    for path in where.path.glob("questioned/*/*/*.json"):
        if path.is_symlink() or where.reached_by_link(path):
            continue
        about = json.loads(path.read_text(encoding="utf-8"))
        if about["owner"] in accounts:
            replace_file(path, json.dumps({**about, "owner": ""}).encode(), mode=0o600)
