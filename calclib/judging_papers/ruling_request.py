"""A ruling as faculty asks for it, checked: turned into a ruling, or refused in one sentence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.marking_file import own_marking_policy
from calclib.class_files.names import visible
from calclib.class_files.roster import Student, read_roster
from calclib.collecting.plain_file import Damaged, read_plain_file
from calclib.collecting.questioned_hand_in import hand_in_taken, questioned_hand_in, refuse_unacceptable
from calclib.collecting.receipts import digest_of
from calclib.collecting.stored_submission import Store
from calclib.collecting.submitted_notebook import read_notebook
from calclib.errors import BadInput
from calclib.errors.file_bounds import FIRST_YEAR
from calclib.judging_papers.corrected_model import corrected_model_value
from calclib.judging_papers.ruling_effects import may_fail_the_set
from calclib.quantity.writing import read_number, write_number
from calclib.records.frozen.frozen_texts import freeze_text
from calclib.records.frozen.policy_texts import marking_text, rounding_text
from calclib.records.handed_out import latest_attempts, tags_by_student
from calclib.records.part_letters import part_letters
from calclib.records.part_marks import MarkedPaper, PartMark, marked_attempt, marked_papers
from calclib.records.people import named_in, pseudonyms
from calclib.records.questioned import Questioned
from calclib.records.rulings.ruling import Ruling, in_force, keying, rulings_of, typed_hash
from calclib.records.sealed import sealed_set
from calclib.records.sealed_slots import Slot
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.models import ItemModel

_LONGEST_REASON = 1_000
_LONGEST_NAME = 120
_ACCEPTING = ("text", "within", "between")
_OF_AN_ATTEMPT = ("answer", "failing", "take", "leave")
_OF_THE_SET = ("marking", "rounding", "model")


@dataclass(frozen=True)
class RulingRequest:
    """A ruling as faculty asks for it.

    Attributes:
        kind: See `calclib.records.rulings.ruling`.
        value: What the kind needs, as typed: points; outcome ("confirmed" or "dismissed"); text; amount ("0.1" or
            "2%"); low and high; policy; policy or model, and printed ("yes" if what is right as it was handed out stays
            right, or ""); sign and outcome; time; number. A marking policy is the name of one that ships or a file of
            one's own, its path ending in .toml. A model is such a file, or an id for the bank's present version.
        reason: Why.
        problem: Number of the problem, None for the whole set.
        part: Name of a part, "" for the only one or for all of them.
        student: Id of the student, "" for everyone.
        by: Who rules, "" if that isn't said.
        attempt: Number of the attempt of which one answer or a notebook is ruled on, 0 for the one that counts.
    """

    kind: str
    value: Mapping[str, str]
    reason: str
    problem: int | None = None
    part: str = ""
    student: str = ""
    by: str = ""
    attempt: int = 0


class CheckedRequest:
    """Turns what is asked for into a ruling, or says in one sentence what is wrong with it.

    Args:
        connection: A connection in a transaction that holds the set.
        where: The class folder.
        set_name: The set.
        request: What is asked for.
        now: The time that is recorded.
        corrected: The item model that a ruling of kind "model" names, proved; else None.
        preview: Whether it is only tried, for which no reason is needed yet.
    """

    def __init__(
        self,
        connection: Connection,
        where: ClassFolder,
        set_name: str,
        request: RulingRequest,
        now: dt.datetime,
        corrected: ItemModel | None,
        *,
        preview: bool = False,
    ) -> None:
        sealed = sealed_set(connection, set_name)
        if sealed is None:
            raise BadInput(fact("errors_records.no_set", name=visible(set_name)))
        self.connection, self.where, self.sealed, self.request, self.now = connection, where, sealed, request, now
        self.corrected, self.preview = corrected, preview
        self.rulings = rulings_of(connection, set_name)

    def ruling(self) -> Ruling:
        """Return the ruling that is asked for, without a number yet.

        Raises:
            BadInput: it speaks of something that isn't there, or lacks something.
        """
        request = self.request
        reason = " ".join(request.reason.split())
        lacks = not reason and not self.preview
        if lacks or len(reason) > _LONGEST_REASON or not reason.isprintable():
            raise BadInput(fact("errors_judging_papers.reason", most=_LONGEST_REASON))
        by = " ".join(request.by.split())
        if len(by) > _LONGEST_NAME or not by.isprintable():
            raise BadInput(fact("errors_judging_papers.who_rules", most=_LONGEST_NAME))
        plain = Ruling(
            0,
            request.kind,
            0,
            "",
            "",
            {},
            reason,
            by,
            self.now.isoformat(timespec="seconds"),
            named_in(reason, pseudonyms(self.connection)),
        )
        if request.attempt and request.kind not in _OF_AN_ATTEMPT:
            raise BadInput(fact("errors_judging_papers.attempt_of_an_answer"))
        if request.kind == "withdraw":
            return self._withdrawal(plain)
        if request.kind in _OF_THE_SET:
            if request.problem is not None or request.part or request.student:
                of = fact("errors_judging_papers.every_problem" if request.kind == "model" else "ruling.whole_set")
                raise BadInput(fact("errors_judging_papers.speaks_of", of=of))
            return replace(plain, value=self._of_the_set())
        if request.kind in ("take", "leave"):
            return self._taken(plain)
        if request.kind == "time":
            return replace(plain, pseudonym=self._pseudonym(), value=self._time())
        if request.kind == "hand_in":
            return replace(plain, pseudonym=self._named(), value=self._hand_in())
        slot = self._slot()
        part = self._part(slot)
        student = self._pseudonym()
        ruling = replace(plain, slot=slot.number, part=part, pseudonym=student)
        if request.kind == "answer":
            return self._answer(ruling, slot)
        if request.kind == "failing":
            return self._failing(ruling, slot)
        if request.kind in ("void", "credit") and student:
            raise BadInput(fact("errors_judging_papers.speaks_of_everyone"))
        if request.kind == "credit":
            return replace(ruling, value={"attempts": self._attempts_so_far()})
        return replace(ruling, value=self._accepted(slot, part) if request.kind in _ACCEPTING else {})

    def _attempts_so_far(self) -> str:
        """The attempts that were handed out: a later one has another problem in its place."""
        most = max(latest_attempts(self.connection, self.sealed.name).values(), default=1)
        return " ".join(str(number) for number in range(1, most + 1))

    def _slot(self) -> Slot:
        numbers = [slot.number for slot in self.sealed.slots]
        if self.request.problem is None:
            raise BadInput(fact("errors_judging_papers.which_problem"))
        if self.request.problem not in numbers:
            raise BadInput(fact("errors_releasing.no_problem", problem=self.request.problem, most=numbers[-1]))
        return self.sealed.slots[numbers.index(self.request.problem)]

    def _part(self, slot: Slot) -> str:
        names = list(slot.points)
        asked = self.request.part.strip().replace(" ", "_")
        if asked:
            if asked not in names:
                lettered = {letter: name for name, letter in part_letters(names).items() if letter}
                asked = lettered.get(asked.casefold(), "")
            if not asked:
                raise BadInput(
                    fact(
                        "errors_judging_papers.no_part",
                        problem=slot.number,
                        part=visible(self.request.part),
                        known=tuple(names),
                    )
                )
            return asked
        if len(names) > 1 and self.request.kind in ("answer", "failing", *_ACCEPTING):
            raise BadInput(fact("errors_judging_papers.which_part", problem=slot.number, known=tuple(names)))
        return names[0] if len(names) == 1 else ""

    def _pseudonym(self) -> str:
        if not self.request.student:
            return ""
        name = pseudonyms(self.connection).get(self.request.student)
        if name is None:
            raise BadInput(fact("errors_judging_papers.no_student", student=visible(self.request.student)))
        return name

    def _named(self) -> str:
        name = self._pseudonym()
        if not name:
            raise BadInput(fact("errors_judging_papers.which_student"))
        return name

    def _time(self) -> Mapping[str, str]:
        """When a hand-in came: a date and time with offset, or "" for in time."""
        text = self.request.value["time"].strip()
        if text:
            self._named()
            try:
                time = dt.datetime.fromisoformat(text)
            except ValueError:
                time = None
            if time is None or time.tzinfo is None or time.year < FIRST_YEAR or time > self.now:
                raise BadInput(fact("errors_judging_papers.handed_in", text=visible(text)))
            text = time.astimezone(dt.UTC).isoformat(timespec="seconds")
        return {"time": text, "submission": self._recorded().submission} if self.request.student else {"time": text}

    def _hand_in(self) -> Mapping[str, str]:
        one = self._questioned()
        decided = {"sign": one.sign, "outcome": self.request.value["outcome"]}
        if decided["outcome"] == "left":
            return decided
        store, student, data = self._store(), self._student(), read_plain_file(one.path)
        refuse_unacceptable(store, student, one)
        # What carries no tag is marked by the ruling alone.
        return (
            decided
            if store.is_own(student, data) or isinstance(data, Damaged)
            else decided | {"submission": digest_of(data)}
        )

    @contextmanager
    def taken_hand_in(self, ruling: Ruling, *, preview: bool) -> Iterator[Mapping[str, ClassFolder]]:
        """By student id, the class folder where marking finds a hand-in that the ruling takes; none for all others."""
        if ruling.kind != "hand_in" or ruling.value["outcome"] != "taken":
            yield {}
            return
        student = self._student()
        with hand_in_taken(
            self._store(), student, self._questioned(), pseudonym=ruling.pseudonym, preview=preview
        ) as there:
            yield {student.id: there}

    def _questioned(self) -> Questioned:
        of = (self.request.student, self.request.value["sign"])
        names = pseudonyms(self.connection)
        return questioned_hand_in(self.where, self.sealed.name, in_force(self.rulings), names, *of)

    def _store(self) -> Store:
        return Store(self.where, self.sealed.name, tags_by_student(self.connection, self.sealed.name))

    def _student(self) -> Student:
        student = read_roster(self.where.roster).by_id().get(self.request.student)
        if student is None:
            raise BadInput(fact("errors_judging_papers.no_longer_on_roster", student=self.request.student))
        return student

    def _recorded(self) -> MarkedPaper:
        name = self._named()
        number = self.request.attempt
        paper = marked_papers(self.connection, self.sealed.name, name).get(name)
        if number and (paper is None or paper.attempt != number):
            paper = marked_attempt(self.connection, self.sealed.name, name, number)
        if paper is None and number:
            raise BadInput(
                fact("errors_judging_papers.attempt_not_marked", student=self.request.student, number=number)
            )
        if paper is None:
            raise BadInput(fact("errors_judging_papers.nothing_marked", student=self.request.student))
        return paper

    def _answer(self, ruling: Ruling, slot: Slot) -> Ruling:
        paper = self._recorded()
        mark = next(one for one in paper.marks if (one.slot, one.part) == (slot.number, ruling.part))
        self._refuse_void(mark)
        points = self._number(self.request.value["points"], "--points")
        if points > mark.points:
            raise BadInput(fact("errors_judging_papers.too_many_points", most=write_number(mark.points, 2)))
        return replace(ruling, value={"points": str(points), **_of_this_answer(paper, mark)})

    def _failing(self, ruling: Ruling, slot: Slot) -> Ruling:
        paper = self._recorded()
        mark = next(one for one in paper.marks if (one.slot, one.part) == (slot.number, ruling.part))
        if not may_fail_the_set(mark):
            place = slot.place(mark.part)
            raise BadInput(fact("errors_judging_papers.no_error_that_fails", student=self.request.student, place=place))
        outcome = self.request.value["outcome"]
        return replace(ruling, value={"outcome": outcome, **_of_this_answer(paper, mark)})

    def _refuse_void(self, mark: PartMark) -> None:
        for one in in_force(self.rulings):
            if one.kind == "void" and one.covers(mark.slot, mark.part, ""):
                raise BadInput(fact("errors_judging_papers.question_is_void", ruling=one.number))

    def _taken(self, plain: Ruling) -> Ruling:
        paper = self._recorded()
        if not any(mark.verdict == "set_aside" for mark in paper.marks):
            raise BadInput(fact("errors_judging_papers.not_set_aside", student=self.request.student))
        path = self.where.submitted(self.sealed.name, self.request.student)
        data = read_plain_file(path) if path.is_file() else b"{}"
        notebook = data if isinstance(data, Damaged) else read_notebook(data)
        if self.request.kind == "take" and isinstance(notebook, Damaged) and path.is_file():
            raise BadInput(
                fact("errors_judging_papers.cannot_be_marked", student=self.request.student, why=notebook.told)
            )
        return replace(plain, pseudonym=paper.pseudonym, value={"submission": paper.submission})

    def _accepted(self, slot: Slot, part: str) -> Mapping[str, str]:
        value = self.request.value
        if self.request.kind == "text":
            text = value["text"].strip()
            if not text or len(text) > 200 or not text.isprintable():
                raise BadInput(fact("errors_judging_papers.accepted_text"))
            return {"text": text}
        if slot.kinds[part] != "quantity":
            raise BadInput(fact("errors_judging_papers.no_number_asked"))
        if self.request.kind == "within":
            typed = value["amount"].strip()
            amount = self._number(typed.removesuffix("%"), "--within")
            return {"amount": str(amount), "percent": "yes" if typed.endswith("%") else ""}
        low, high = self._number(value["low"], "--from"), self._number(value["high"], "--to")
        if low > high:
            raise BadInput(fact("errors_judging_papers.from_above_to"))
        return {"low": str(low), "high": str(high)}

    def _number(self, text: str, option: str) -> Fraction:
        try:
            number = read_number(text.strip())
        except BadInput:
            number = Fraction(-1)
        if number < 0:
            raise BadInput(fact("errors_judging_papers.no_number", option=option, text=visible(text)))
        return number

    def _of_the_set(self) -> Mapping[str, str]:
        if self.corrected is not None:
            keys, value = keying(in_force(self.rulings)), self.request.value
            return corrected_model_value(
                self.connection, self.sealed, keys, self.corrected, file=value["model"], printed=value["printed"]
            )
        return self._rounding() if self.request.kind == "rounding" else self._policy()

    def _policy(self) -> Mapping[str, str]:
        from calclib.answers import marking_policy

        name = self.request.value["policy"]
        policy = own_marking_policy(Path(name)) if name.endswith(".toml") else marking_policy(name)
        key = freeze_text(self.connection, "marking", policy.name, marking_text(policy))
        return {"policy": policy.name, "hash": key}

    def _rounding(self) -> Mapping[str, str]:
        from calclib.quantity import rounding_policy

        policy = rounding_policy(self.request.value["policy"])
        key = freeze_text(self.connection, "rounding", policy.name, rounding_text(policy))
        if key == self.sealed.rounding_hash and keying(in_force(self.rulings)).rounding is None:
            raise BadInput(fact("errors_judging_papers.policy_already", policy=policy.name))
        return {"policy": policy.name, "hash": key, "printed": self.request.value["printed"]}

    def _withdrawal(self, plain: Ruling) -> Ruling:
        wanted = self.request.value["number"]
        found = [one for one in in_force(self.rulings) if str(one.number) == wanted]
        if not found:
            raise BadInput(fact("errors_judging_papers.no_ruling", ruling=visible(wanted)))
        one = found[0]
        return replace(plain, slot=one.slot, part=one.part, pseudonym=one.pseudonym, value={"number": wanted})


def _of_this_answer(paper: MarkedPaper, mark: PartMark) -> Mapping[str, str]:
    """What ties a ruling to the answer that the person saw: its text, and the attempt, whose numbers are its own."""
    return {"typed": typed_hash(paper.pseudonym, mark.typed), "attempts": str(paper.attempt)}
