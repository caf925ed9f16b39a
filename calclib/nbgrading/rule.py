"""Rule on answers of a set: checked, recorded and applied in one transaction, or shown first and taken back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.errors import BadInput
from calclib.nbgrading.gradebook import gradebook_transaction
from calclib.nbgrading.keying_anew import key_anew
from calclib.nbgrading.mark import Marked, Undone, marked_within
from calclib.nbgrading.mended_model import mended_value
from calclib.nbgrading.policy_texts import marking_text, rounding_text
from calclib.nbgrading.proved_model import proved_model
from calclib.nbgrading.questioned_hand_in import hand_in_taken, questioned_hand_in, refuse_untakable
from calclib.nbgrading.stored_submission import Store
from calclib.nbgrading.submitted_notebook import Damaged, read_notebook, read_notebook_file
from calclib.quantity.writing import read_number, write_number
from calclib.records.class_folder import ClassFolder, class_folder
from calclib.records.marks import MarkedPaper, PartMark, marked_papers
from calclib.records.names import visible
from calclib.records.part_letters import part_letters
from calclib.records.questioned import Questioned
from calclib.records.rekeyed import KeyChange, key_changes, keying_notes
from calclib.records.roster import Student, read_roster
from calclib.records.rulings import (
    Ruling,
    add_ruling,
    in_force,
    keying,
    ruling_in_words,
    rulings_of,
    typed_hash,
    where_in_words,
)
from calclib.records.sealed import (
    Slot,
    freeze_text,
    lock_set,
    pseudonyms,
    sealed_set,
    tags_by_student,
    write_history,
)

if TYPE_CHECKING:
    from calclib.models import ItemModel

Progress = Callable[[int, int, str], None]
_LONGEST_REASON = 1_000
_ACCEPTING = ("text", "within", "between")
_OF_THE_SET = {
    "marking": "the whole set",
    "rounding": "the whole set",
    "model": "every problem of the item model",
}


@dataclass(frozen=True)
class Wish:
    """A ruling as faculty asks for it.

    Attributes:
        kind: See `calclib.records.rulings`.
        value: What the kind needs, as typed: points; text; amount ("0.1" or "2%"); low and high; policy; policy or
            model, and printed ("yes" if what is right as it was handed out stays right, or ""); sign and outcome;
            number. A model is a file of one's own, its path ending in .toml, or an id for the bank's present version.
        reason: Why.
        problem: Number of the problem, None for the whole set.
        part: Name of a part, "" for the only one or for all of them.
        student: Id of the student, "" for everyone.
        by: Who rules, "" if that isn't said.
    """

    kind: str
    value: Mapping[str, str]
    reason: str
    problem: int | None = None
    part: str = ""
    student: str = ""
    by: str = ""


@dataclass(frozen=True)
class KeyingNote:
    """A sentence on one student's problem that is keyed anew: it isn't fair by the new key, or has none."""

    student: Student
    problem: int
    says: str


@dataclass(frozen=True)
class Ruled:
    """What a ruling leads to.

    Attributes:
        ruling: The ruling with its number.
        marked: The marking that follows from it.
        notes: What faculty should know of problems that a mended model or another rounding policy doesn't key fairly,
            or not at all.
        keys: What became of the right answers where the ruling keys problems anew, with a student who has another.
    """

    ruling: Ruling
    marked: Marked
    notes: tuple[KeyingNote, ...] = ()
    keys: tuple[tuple[KeyChange, Student | None], ...] = ()


def rule(
    folder: Path,
    set_name: str,
    wish: Wish,
    *,
    now: dt.datetime,
    preview: bool = False,
    progress: Progress | None = None,
) -> Ruled:
    """Record a ruling and mark the set by it.

    Args:
        folder: The class folder.
        set_name: The set.
        wish: The ruling.
        now: The time that is recorded.
        preview: Only tell what it would lead to; nothing is written.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: the ruling speaks of something that isn't there, or lacks something.
    """
    where = class_folder(folder)
    # Proving a file takes seconds, in which nobody else is kept waiting.
    mended = proved_model(wish.value["model"]) if wish.kind == "model" else None
    found: list[Ruled] = []
    try:
        with gradebook_transaction(where) as connection:
            lock_set(connection, set_name)
            checked = _Checked(connection, where, set_name, wish, now, mended)
            ruling = add_ruling(connection, set_name, checked.ruling())
            detail = {"ruling": ruling.number, "says": ruling_in_words(ruling), "about": where_in_words(ruling)}
            write_history(
                connection, at=now, event="ruled", set_name=set_name, pseudonym=ruling.pseudonym, detail=detail
            )
            key_anew(connection, set_name, now=now, refuse=ruling.kind == "model")
            with checked.taken_hand_in(ruling, preview=preview) as taken:
                marked = marked_within(
                    connection,
                    where,
                    set_name,
                    now=now,
                    undo=lambda _changes: preview,
                    progress=progress,
                    files=not preview,
                    taken=taken,
                )
            found.append(_ruled(connection, where, ruling, marked, set_name))
            if marked.undone:
                raise Undone
    except Undone:
        pass
    return found[0]


def _ruled(connection: Connection, where: ClassFolder, ruling: Ruling, marked: Marked, set_name: str) -> Ruled:
    """A ruling with what it leads to, where it keys problems anew also for their keys."""
    if ruling.kind not in ("rounding", "model"):
        return Ruled(ruling, marked)
    names = pseudonyms(connection)
    students = {names.get(student.id): student for student in read_roster(where.roster).students}
    here = [found for found in keying_notes(connection, set_name) if found[0] in students]
    notes = (KeyingNote(students[name], slot, note) for name, slot, said in here for note in said)
    changes = (one for one in key_changes(connection, set_name) if one.slot in (ruling.problems or (one.slot,)))
    return Ruled(ruling, marked, tuple(notes), tuple((one, students.get(one.pseudonym)) for one in changes))


class _Checked:
    """Turns a wish into a ruling, or says in one sentence what is wrong with it."""

    def __init__(
        self,
        connection: Connection,
        where: ClassFolder,
        set_name: str,
        wish: Wish,
        now: dt.datetime,
        mended: ItemModel | None,
    ) -> None:
        sealed = sealed_set(connection, set_name)
        if sealed is None:
            raise BadInput(f"No set '{visible(set_name)}' was handed out in this class: check the name.")
        self.connection, self.where, self.sealed, self.wish, self.now = connection, where, sealed, wish, now
        self.mended = mended
        self.rulings = rulings_of(connection, set_name)

    def ruling(self) -> Ruling:
        wish = self.wish
        reason = " ".join(wish.reason.split())
        if not reason or len(reason) > _LONGEST_REASON or not reason.isprintable():
            raise BadInput(f"A ruling needs a reason of 1 to {_LONGEST_REASON:,} characters: add --reason.")
        plain = Ruling(
            0, wish.kind, 0, "", "", {}, reason, wish.by.strip()[:120], self.now.isoformat(timespec="seconds")
        )
        if wish.kind == "withdraw":
            return self.withdrawal(plain)
        if wish.kind in _OF_THE_SET:
            if wish.problem is not None or wish.part or wish.student:
                raise BadInput(f"This speaks of {_OF_THE_SET[wish.kind]}: leave --problem, --part and --student out.")
            return replace(plain, value=self.of_the_set())
        if wish.kind in ("take", "leave"):
            return self.taken(plain)
        if wish.kind == "hand_in":
            return replace(plain, pseudonym=self.named(), value=self.hand_in())
        slot = self.slot()
        part = self.part(slot)
        student = self.pseudonym()
        ruling = replace(plain, slot=slot.number, part=part, pseudonym=student)
        if wish.kind == "answer":
            return self.answer(ruling, slot)
        if wish.kind in ("void", "credit") and student:
            raise BadInput("This speaks of everyone: leave --student out, or give one student's answer its --points.")
        return replace(ruling, value=self.accepted(slot, part) if wish.kind in _ACCEPTING else {})

    def slot(self) -> Slot:
        numbers = [slot.number for slot in self.sealed.slots]
        if self.wish.problem is None:
            raise BadInput("Which problem? Add its number: --problem 3.")
        if self.wish.problem not in numbers:
            raise BadInput(f"The set has no problem {self.wish.problem}: its problems are 1 to {numbers[-1]}.")
        return self.sealed.slots[numbers.index(self.wish.problem)]

    def part(self, slot: Slot) -> str:
        names = list(slot.points)
        asked = self.wish.part.strip().replace(" ", "_")
        if asked:
            if asked not in names:
                lettered = {letter: name for name, letter in part_letters(names).items() if letter}
                asked = lettered.get(asked.casefold(), "")
            if not asked:
                raise BadInput(
                    f"Problem {slot.number} has no part '{visible(self.wish.part)}': it has {', '.join(names)}."
                )
            return asked
        if len(names) > 1 and self.wish.kind in ("answer", *_ACCEPTING):
            raise BadInput(f"Problem {slot.number} has several parts: add --part with one of {', '.join(names)}.")
        return names[0] if len(names) == 1 else ""

    def pseudonym(self) -> str:
        if not self.wish.student:
            return ""
        name = pseudonyms(self.connection).get(self.wish.student)
        if name is None:
            raise BadInput(f"No student of the class has the id '{visible(self.wish.student)}'.")
        return name

    def named(self) -> str:
        name = self.pseudonym()
        if not name:
            raise BadInput("Which student? Add the id: --student ID.")
        return name

    def hand_in(self) -> Mapping[str, str]:
        one = self.doubted()
        if self.wish.value["outcome"] == "taken":
            refuse_untakable(self.store(), self.student(), one)
        return {"sign": one.sign, "outcome": self.wish.value["outcome"]}

    @contextmanager
    def taken_hand_in(self, ruling: Ruling, *, preview: bool) -> Iterator[Mapping[str, ClassFolder]]:
        """By student id, the class folder where marking finds a hand-in that the ruling takes; none for all others."""
        if ruling.kind != "hand_in" or ruling.value["outcome"] != "taken":
            yield {}
            return
        student = self.student()
        with hand_in_taken(self.store(), student, self.doubted(), preview=preview) as there:
            yield {student.id: there}

    def doubted(self) -> Questioned:
        of = (self.wish.student, self.wish.value["sign"])
        return questioned_hand_in(self.where, self.sealed.name, in_force(self.rulings), *of)

    def store(self) -> Store:
        return Store(self.where, self.sealed.name, tags_by_student(self.connection, self.sealed.name))

    def student(self) -> Student:
        student = read_roster(self.where.roster).by_id().get(self.wish.student)
        if student is None:
            raise BadInput(f"{self.wish.student} is no longer on the roster, so nothing of theirs is marked.")
        return student

    def recorded(self) -> MarkedPaper:
        name = self.named()
        paper = marked_papers(self.connection, self.sealed.name, name).get(name)
        if paper is None:
            raise BadInput(f"Nothing of {self.wish.student} was marked in this set yet: run calclib mark first.")
        return paper

    def answer(self, ruling: Ruling, slot: Slot) -> Ruling:
        mark = next(one for one in self.recorded().marks if (one.slot, one.part) == (slot.number, ruling.part))
        self.refuse_void(mark)
        points = self.number(self.wish.value["points"], "--points")
        if points > mark.points:
            most = write_number(mark.points, 2)
            raise BadInput(f"This answer is worth {most} at the most: give --points from 0 to {most}.")
        value = {"points": str(points), "typed": typed_hash(ruling.pseudonym, mark.typed)}
        return replace(ruling, value=value)

    def refuse_void(self, mark: PartMark) -> None:
        for one in in_force(self.rulings):
            if one.kind == "void" and one.covers(mark.slot, mark.part, ""):
                raise BadInput(f"This question doesn't count any more, by ruling {one.number}.")

    def taken(self, plain: Ruling) -> Ruling:
        paper = self.recorded()
        if not any(mark.verdict == "set_aside" for mark in paper.marks):
            raise BadInput(f"The notebook of {self.wish.student} isn't set aside: it was marked.")
        path = self.where.submitted(self.sealed.name, self.wish.student)
        data = read_notebook_file(path) if path.is_file() else b"{}"
        notebook = data if isinstance(data, Damaged) else read_notebook(data)
        if self.wish.kind == "take" and isinstance(notebook, Damaged) and path.is_file():
            raise BadInput(
                f"The notebook of {self.wish.student} can't be marked, since it {notebook.reason}: have it handed in "
                "again, rule on single answers with --points, or let it be with --leave-notebook."
            )
        return replace(plain, pseudonym=paper.pseudonym, value={"submission": paper.submission})

    def accepted(self, slot: Slot, part: str) -> Mapping[str, str]:
        value = self.wish.value
        if self.wish.kind == "text":
            text = value["text"].strip()
            if not text or len(text) > 200 or not text.isprintable():
                raise BadInput("The text that is accepted must have 1 to 200 printable characters.")
            return {"text": text}
        if slot.kinds[part] != "quantity":
            raise BadInput("This question doesn't ask for a number: accept an answer by its text, --accept.")
        if self.wish.kind == "within":
            typed = value["amount"].strip()
            amount = self.number(typed.removesuffix("%"), "--within")
            return {"amount": str(amount), "percent": "yes" if typed.endswith("%") else ""}
        low, high = self.number(value["low"], "--from"), self.number(value["high"], "--to")
        if low > high:
            raise BadInput("The number after --from must not be larger than the one after --to.")
        return {"low": str(low), "high": str(high)}

    def number(self, text: str, option: str) -> Fraction:
        try:
            number = read_number(text.strip())
        except BadInput:
            number = Fraction(-1)
        if number < 0:
            raise BadInput(f"{option} takes a number such as 0.5, not '{visible(text)}'.")
        return number

    def of_the_set(self) -> Mapping[str, str]:
        if self.mended is not None:
            keys, value = keying(in_force(self.rulings)), self.wish.value
            return mended_value(
                self.connection, self.sealed, keys, self.mended, file=value["model"], printed=value["printed"]
            )
        return self.rounding() if self.wish.kind == "rounding" else self.policy()

    def policy(self) -> Mapping[str, str]:
        from calclib.answers import marking_policy

        policy = marking_policy(self.wish.value["policy"])
        key = freeze_text(self.connection, "marking", policy.name, marking_text(policy))
        return {"policy": policy.name, "hash": key}

    def rounding(self) -> Mapping[str, str]:
        from calclib.quantity import rounding_policy

        policy = rounding_policy(self.wish.value["policy"])
        key = freeze_text(self.connection, "rounding", policy.name, rounding_text(policy))
        if key == self.sealed.rounding_hash and keying(in_force(self.rulings)).rounding is None:
            raise BadInput(f"The set is keyed by the rounding policy “{policy.name}” already.")
        return {"policy": policy.name, "hash": key, "printed": self.wish.value["printed"]}

    def withdrawal(self, plain: Ruling) -> Ruling:
        wanted = self.wish.value["number"]
        found = [one for one in in_force(self.rulings) if str(one.number) == wanted]
        if not found:
            raise BadInput(f"No ruling {visible(wanted)} holds in this set: calclib review lists the rulings.")
        one = found[0]
        return replace(plain, slot=one.slot, part=one.part, pseudonym=one.pseudonym, value={"number": wanted})
