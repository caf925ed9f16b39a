"""What waits for a person, with the command that settles it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files import ClassFolder, class_folder
from calclib.collecting.lateness_question import is_open, settled_by
from calclib.collecting.receipts import read_receipts
from calclib.errors.printed_command import printed_command
from calclib.errors.unseen import unseen_shown
from calclib.gradebook import PartResult, SetResults, StudentResult, set_results
from calclib.quantity.writing import write_number
from calclib.records import (
    Questioned,
    Ruling,
    SetAsideReason,
    Slot,
    in_force,
    questioned_hand_ins,
    reading,
    ruled_on,
    ruling_fact,
    rulings_of,
    sealed_paper,
)
from calclib.records.part_marks import Fails, PartMark
from calclib.records.people import pseudonyms
from calclib.records.questioned import MOST_OF_ONE_STUDENT
from calclib.records.set_aside_facts import for_faculty
from calclib.records.set_times import time_in_words, zone_of
from calclib.wording import Fact, fact, said, sentence
from calclib.wording.messages import recorded_message, recorded_reason

_TYPED_SHOWN = 200


@dataclass(frozen=True)
class Waiting:
    """What waits in a set.

    Attributes:
        answers: Number of answers, those of notebooks that were set aside among them.
        students: Number of students whom they concern.
        text: All of it in words, with the commands.
    """

    answers: int
    students: int
    text: str


def count_waiting(results: SetResults) -> tuple[int, int]:
    """Return how many answers wait for a person, and of how many students."""
    counts = [sum(part.open for part in one.parts) for one in results.marked]
    return sum(counts), sum(count > 0 for count in counts)


def waiting(
    folder: Path,
    set_name: str,
    *,
    notebook_fits: Callable[[str], bool] = lambda _student: True,
    hand_in_fits: Callable[[Questioned], bool] = lambda _hand_in: True,
) -> Waiting:
    """Return what waits for a person in a set, and the rulings that hold.

    Args:
        folder: The class folder.
        set_name: The set.
        notebook_fits: Whether the notebook of a student, by id, could be marked if faculty took it.
        hand_in_fits: Whether a questioned hand-in could be.

    Raises:
        BadInput: no such set was handed out, or the class folder is wrong.
    """
    where = class_folder(folder)
    results = set_results(where, set_name)
    start = printed_command("rule", folder, set_name)
    slots = {slot.number: slot for slot in results.sealed.slots}
    lines: list[str] = []
    with reading(where) as connection:
        for one in results.marked:
            if one.open:
                paper = sealed_paper(connection, set_name, one.pseudonym, one.attempt)
                items = () if paper is None else paper.items
                keys = {(item.slot, part["name"]): part["answer"] for item in items for part in item.record["parts"]}
                if one.aside:
                    lines += _notebook(one, one.aside, start, notebook_fits)
                else:
                    lines += _answers(one, keys, start, slots)
        failures = [(one, mark) for one in results.marked for mark in one.failing(Fails.EXAM_WAITS)]
        deciding = [(one, mark) for one, mark in failures if results.scores_cut(one)]
        for one, mark in deciding:
            lines += _failure(one, mark, start, slots[mark.slot])
        lines += _below_anyway([pair for pair in failures if pair not in deciding], slots, start)
        rulings = rulings_of(connection, set_name)
        known = pseudonyms(connection)
    hand_ins = questioned_hand_ins(where, set_name, in_force(rulings), known)
    answers, students = count_waiting(results)
    head = []
    if answers:
        of = fact("waiting.students", count=students)
        head.append(said("waiting.answers", count=answers, students=of))
    if failures:
        head.append(said("waiting.failures", count=len(failures), deciding=len(deciding)))
    if hand_ins:
        lines += _hand_ins(hand_ins, results, where.path, start, hand_in_fits)
        head.append(said("waiting.hand_ins", count=len(hand_ins)))
    times = list(_times(results, where, start, in_force(rulings)))
    if times:
        head.append(said("waiting.times", count=len(times)))
        at_once = f'{start} --in-time --reason "..."'
        lines += ["", *times, said("waiting.times_at_once", command=at_once)]
    lines = [*(head or [said("waiting.nothing")]), *lines, *_rulings(results, rulings)]
    return Waiting(answers, students, "\n".join(lines) + "\n")


def _rulings(results: SetResults, rulings: Sequence[Ruling]) -> Iterator[str]:
    if not rulings:
        return
    yield from ("", said("waiting.rulings"))
    students = {one.pseudonym: one.student.id for one in results.students}
    holding = {ruling.number for ruling in in_force(rulings)}
    for ruling in rulings:
        number, day, reason = ruling.number, fact("ruling.day", at=ruling.at), ruling.reason
        where, what = ruled_on(ruling, results.sealed.slots), ruling_fact(ruling)
        told = fact("waiting.ruling", number=number, day=day, where=where, what=what, reason=reason)
        if ruling.pseudonym:
            who = students.get(ruling.pseudonym) or fact("report.former_student")
            told = fact("waiting.ruling_of", number=number, day=day, where=where, who=who, what=what, reason=reason)
        if ruling.number not in holding and ruling.kind != "withdraw":
            told = fact("waiting.withdrawn", ruling=told)
        yield f"  {sentence(told)}"


def _who(name: str, student: str) -> Fact:
    return fact("report.who", name=name, id=student)


def _notebook(one: StudentResult, aside: SetAsideReason, start: str, fits: Callable[[str], bool]) -> Iterator[str]:
    yield from ("", said("waiting.notebook", who=_who(one.student.name, one.student.id)))
    yield said("waiting.why", why=for_faculty(aside))
    who = f"{start} --student {one.student.id}"
    leave = f'{who} --leave-notebook --reason "..."'
    if fits(one.student.id):
        yield said("waiting.notebook_is_own", command=f'{who} --take-notebook --reason "..."')
        yield said("waiting.notebook_is_not", command=leave)
    else:
        yield said("waiting.notebook_cannot")
        yield said("waiting.notebook_no_more", command=leave)
    yield said("waiting.answer_by_answer", command=f'{who} --problem 1 --points 1 --reason "..."')


def _hand_ins(
    hand_ins: Sequence[Questioned], results: SetResults, folder: Path, start: str, fits: Callable[[Questioned], bool]
) -> Iterator[str]:
    names = {one.student.id: one.student.name for one in results.students}
    zone = zone_of(results.sealed)
    for student, count in Counter(one.student for one in hand_ins).items():
        if count >= MOST_OF_ONE_STUDENT:
            yield ""
            yield said("waiting.hand_ins_full", count=count, who=_who(names.get(student, student), student))
    for one in hand_ins:
        yield ""
        who = _who(names.get(one.student, one.student), one.student)
        yield said("waiting.hand_in", who=who, sign=one.sign)
        yield said("waiting.why", why=one.why.fact())
        yield said("waiting.when", time=time_in_words(one.time, zone))
        yield said("waiting.look", path=one.path.relative_to(folder).as_posix())
        rule = f"{start} --student {one.student}"
        yield said("waiting.settle", command=f'{rule} --leave-hand-in {one.sign} --reason "..."')
        if fits(one):
            yield said("waiting.hand_in_is_own", command=f'{rule} --take-hand-in {one.sign} --reason "..."')
        else:
            yield said("waiting.hand_in_cannot")


def _times(results: SetResults, where: ClassFolder, start: str, rulings: tuple[Ruling, ...]) -> Iterator[str]:
    """One text for each hand-in of which it isn't known whether it is late."""
    zone = zone_of(results.sealed)
    for one in results.marked:
        receipts = read_receipts(where.submitted(results.sealed.name, one.student.id).parent)
        receipt = receipts.get(one.submission)
        if receipt is None or not is_open(results.sealed, one.due.time, receipt):
            continue
        if settled_by(rulings, one.pseudonym, one.submission, receipt.collected) is None:
            when, who = time_in_words(receipt.time, zone), _who(one.student.name, one.student.id)
            head = fact("waiting.time_not_after", who=who, time=when)
            if not receipt.doubt:
                head = fact("waiting.time_said_late", who=who, time=when)
            rule = f"{start} --student {one.student.id}"
            known = f'{rule} --handed-in 2026-12-01T23:10:00-05:00 --reason "..."'
            lines = (
                head,
                fact("waiting.time_in_time", command=f'{rule} --in-time --reason "..."'),
                fact("waiting.time_known", command=known),
            )
            yield "\n".join(map(sentence, lines))


def _answers(
    one: StudentResult, keys: Mapping[tuple[int, str], str], start: str, slots: Mapping[int, Slot]
) -> Iterator[str]:
    for part in one.parts:
        if part.open:
            slot = slots[part.mark.slot].of_attempt(one.pseudonym, one.attempt)
            yield from _answer(one, part, keys.get((slot.number, part.mark.part), ""), start, slot)


def _answer(one: StudentResult, part: PartResult, key: str, start: str, slot: Slot) -> Iterator[str]:
    mark = part.mark
    who, place, several = _who(one.student.name, one.student.id), slot.place(mark.part), len(slot.points) > 1
    most = write_number(mark.points, 2)
    yield ""
    if several:
        yield said("waiting.answer_of_part", who=who, place=place, part=slot.words(mark.part))
    else:
        yield said("waiting.answer", who=who, place=place)
    typed = mark.typed if len(mark.typed) <= _TYPED_SHOWN else mark.typed[: _TYPED_SHOWN - 1] + "…"
    yield _typed(typed)
    yield said("waiting.right", answer=key)
    yield said("waiting.why", why=_one_line(recorded_reason(mark.detail)))
    if mark.detail.get("ruling_passed_over"):
        yield said("waiting.more", told=fact("ruling.passed_over", number=mark.detail["ruling_passed_over"]))
    if part.manual is not None:
        yield said("waiting.more", told=fact("waiting.given_by_hand"))
    command = f'{start} {_asked(one, mark, slot)} --points {most} --reason "..."'
    yield said("waiting.settle_points", command=command, most=most)


def _typed(text: str) -> str:
    typed = _one_line(text)
    return said("waiting.typed", typed=typed) if typed else said("waiting.typed_nothing")


def _asked(one: StudentResult, mark: PartMark, slot: Slot) -> str:
    """The options of a command that name one answer."""
    option = f" --part {mark.part}" if len(slot.points) > 1 else ""
    return f"--student {one.student.id} --problem {mark.slot}{option}"


def _failure(one: StudentResult, mark: PartMark, start: str, slot: Slot) -> Iterator[str]:
    who, answer = _who(one.student.name, one.student.id), _asked(one, mark, slot)
    yield from ("", said("waiting.failure", who=who, place=slot.place(mark.part)))
    yield _typed(mark.typed)
    yield said("waiting.why", why=_one_line(recorded_message(mark.detail)))
    yield said("waiting.failure_confirmed", command=f'{start} {answer} --confirm-failure --reason "..."')
    yield said("waiting.failure_dismissed", command=f'{start} {answer} --dismiss-failure --reason "..."')


def _below_anyway(
    failures: Sequence[tuple[StudentResult, PartMark]], slots: Mapping[int, Slot], start: str
) -> Iterator[str]:
    """Those that change no result as it stands: one line each."""
    if not failures:
        return
    yield from ("", said("waiting.below_anyway"))
    for one, mark in failures:
        who, place = _who(one.student.name, one.student.id), slots[mark.slot].place(mark.part)
        typed = _one_line(mark.typed)
        if typed:
            yield said("waiting.below_typed", who=who, place=place, typed=typed)
        else:
            yield said("waiting.below_nothing", who=who, place=place)
    settle = f'{start} --student ID --problem NUMBER --confirm-failure --reason "..."'
    yield said("waiting.below_settle", command=settle)


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in unseen_shown(text)).strip()
