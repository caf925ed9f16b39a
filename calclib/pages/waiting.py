"""What waits for a person, with the command that settles it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from calclib.errors.printed_command import printed_command
from calclib.errors.unseen import unseen_shown
from calclib.gradebook import SetResults
from calclib.pages.cases import Case, CaseKind, Cases, cases_of
from calclib.quantity.writing import write_number
from calclib.records import Questioned, Ruling, in_force, ruled_on, ruling_fact
from calclib.records.questioned import MOST_OF_ONE_STUDENT
from calclib.wording import Fact, fact, said, sentence

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
    cases = cases_of(folder, set_name, notebook_fits=notebook_fits, hand_in_fits=hand_in_fits)
    start = printed_command("rule", folder, set_name)
    lines: list[str] = []
    several = _beside_one_picture(cases.of(CaseKind.ANSWER))
    for case in cases.of(CaseKind.NOTEBOOK, CaseKind.ANSWER):
        together = several.get((case.student, case.attempt), ())
        if case.kind is CaseKind.NOTEBOOK:
            lines += _notebook(case, start)
        elif case not in together:
            lines += _answer(case, start)
        elif case == together[0]:
            lines += _picture(together, start)
    for case in cases.of(CaseKind.FAILURE):
        lines += _failure(case, start)
    lines += _below_anyway(cases.of(CaseKind.FAILURE_BELOW), start)
    lines += _hand_ins(cases.of(CaseKind.HAND_IN), start)
    times = cases.of(CaseKind.TIME)
    for case in times:
        lines += ["", *_time(case, start)] if case is times[0] else _time(case, start)
    if times:
        lines.append(said("waiting.times_at_once", command=f'{start} --in-time --reason "..."'))
    lines = [*(waiting_heads(cases) or [said("waiting.nothing")]), *lines, *_rulings(cases)]
    return Waiting(*count_waiting(cases.results), "\n".join(lines) + "\n")


def waiting_heads(cases: Cases) -> list[str]:
    """Return a sentence for each kind of thing that waits, with how many there are."""
    answers, students = count_waiting(cases.results)
    failures = cases.of(CaseKind.FAILURE, CaseKind.FAILURE_BELOW)
    head = []
    if answers:
        of = fact("waiting.students", count=students)
        head.append(said("waiting.answers", count=answers, students=of))
    if other := len({(case.student, case.attempt) for case in cases.every if case.attempt}):
        head.append(said("waiting.other_attempts", count=other))
    if failures:
        deciding = len(cases.of(CaseKind.FAILURE))
        head.append(said("waiting.failures", count=len(failures), deciding=deciding))
    if hand_ins := cases.of(CaseKind.HAND_IN):
        head.append(said("waiting.hand_ins", count=len(hand_ins)))
    if times := cases.of(CaseKind.TIME):
        head.append(said("waiting.times", count=len(times)))
    return head


def ruling_told(cases: Cases, ruling: Ruling) -> Fact:
    """Return a ruling that was made: its number, day, what it speaks of, what it decides, why, and if it holds."""
    students = {one.pseudonym: one.student.id for one in cases.results.students}
    number, day, reason = ruling.number, fact("ruling.day", at=ruling.at), ruling.reason
    where, what = ruled_on(ruling, cases.results.sealed.slots), ruling_fact(ruling)
    told = fact("waiting.ruling", number=number, day=day, where=where, what=what, reason=reason)
    if ruling.pseudonym:
        who = students.get(ruling.pseudonym) or fact("report.former_student")
        told = fact("waiting.ruling_of", number=number, day=day, where=where, who=who, what=what, reason=reason)
    holding = {one.number for one in in_force(cases.rulings)}
    if ruling.number not in holding and ruling.kind != "withdraw":
        told = fact("waiting.withdrawn", ruling=told)
    return told


def typed_shown(text: str) -> str:
    """Return what was typed on one line, cut off where it is long."""
    return one_line(text if len(text) <= _TYPED_SHOWN else text[: _TYPED_SHOWN - 1] + "…")


def one_line(text: str) -> str:
    """Return a text without line breaks, what nobody sees written out."""
    return "".join(c if c.isprintable() else " " for c in unseen_shown(text)).strip()


def _rulings(cases: Cases) -> Iterator[str]:
    if not cases.rulings:
        return
    yield from ("", said("waiting.rulings"))
    for ruling in cases.rulings:
        yield f"  {sentence(ruling_told(cases, ruling))}"


def _notebook(case: Case, start: str) -> Iterator[str]:
    yield from ("", said("waiting.notebook", who=case.who))
    yield said("waiting.why", why=case.why)
    who = f"{start} {_student(case)}"
    leave = f'{who} --leave-notebook --reason "..."'
    if case.fits:
        yield said("waiting.notebook_is_own", command=f'{who} --take-notebook --reason "..."')
        yield said("waiting.notebook_is_not", command=leave)
    else:
        yield said("waiting.notebook_cannot")
        yield said("waiting.notebook_no_more", command=leave)
    yield said("waiting.answer_by_answer", command=f'{who} --problem 1 --points 1 --reason "..."')


def _hand_ins(hand_ins: Sequence[Case], start: str) -> Iterator[str]:
    who_of = {case.student: case.who for case in hand_ins}
    for student, count in Counter(case.student for case in hand_ins).items():
        if count >= MOST_OF_ONE_STUDENT:
            yield ""
            yield said("waiting.hand_ins_full", count=count, who=who_of[student])
    for case in hand_ins:
        yield ""
        yield said("waiting.hand_in", who=case.who, sign=case.sign)
        yield said("waiting.why", why=case.why)
        yield said("waiting.when", time=case.time)
        yield said("waiting.look", path=case.path)
        rule = f"{start} --student {case.student}"
        yield said("waiting.settle", command=f'{rule} --leave-hand-in {case.sign} --reason "..."')
        if case.fits:
            yield said("waiting.hand_in_is_own", command=f'{rule} --take-hand-in {case.sign} --reason "..."')
        else:
            yield said("waiting.hand_in_cannot")


def _time(case: Case, start: str) -> Iterator[str]:
    rule = f"{start} --student {case.student}"
    assert isinstance(case.why, Fact), "why a time is asked for is told as a fact"
    yield sentence(case.why)
    yield said("waiting.time_in_time", command=f'{rule} --in-time --reason "..."')
    yield said("waiting.time_known", command=f'{rule} --handed-in 2026-12-01T23:10:00-05:00 --reason "..."')


def _answer(case: Case, start: str) -> Iterator[str]:
    most = write_number(case.most, 2)
    yield ""
    if case.asks:
        yield said("waiting.answer_of_part", who=case.who, place=case.place, part=case.asks)
    else:
        yield said("waiting.answer", who=case.who, place=case.place)
    yield _typed(typed_shown(case.typed))
    yield said("waiting.right", answer=case.right)
    yield said("waiting.why", why=_why(case))
    for told in case.more:
        yield said("waiting.more", told=told)
    command = f'{start} {_asked(case)} --points {most} --reason "..."'
    yield said("waiting.settle_points", command=command, most=most)


def _beside_one_picture(answers: Sequence[Case]) -> Mapping[tuple[str, int], Sequence[Case]]:
    """By notebook, the blank answers that one look at its pictures settles, where there are several."""
    found: dict[tuple[str, int], list[Case]] = {}
    for case in answers:
        if case.of_picture and not case.more:
            found.setdefault((case.student, case.attempt), []).append(case)
    return {notebook: cases for notebook, cases in found.items() if len(cases) > 1}


def _picture(cases: Sequence[Case], start: str) -> Iterator[str]:
    """Those that wait for the same picture: one notice, and the way to settle each."""
    first = cases[0]
    yield from ("", said("waiting.picture", who=first.who, places=tuple(case.place for case in cases)))
    for case in cases:
        yield said("waiting.picture_right", place=case.place, answer=case.right, most=write_number(case.most, 2))
    yield said("waiting.why", why=_why(first))
    rule = f"{start} {_student(first)}"
    yield said("waiting.picture_settle", command=f'{rule} --problem NUMBER --points POINTS --reason "..."')
    if any(case.asks for case in cases):
        yield said("waiting.picture_part", command="--part NAME")


def _typed(typed: str) -> str:
    return said("waiting.typed", typed=typed) if typed else said("waiting.typed_nothing")


def _asked(case: Case) -> str:
    """The options of a command that name one answer."""
    option = f" --part {case.part}" if case.asks else ""
    return f"{_student(case)} --problem {case.slot}{option}"


def _student(case: Case) -> str:
    """The options of a command that name a student, and the attempt where another counts."""
    return f"--student {case.student}" + (f" --attempt {case.attempt}" if case.attempt else "")


def _failure(case: Case, start: str) -> Iterator[str]:
    answer = _asked(case)
    yield from ("", said("waiting.failure", who=case.who, place=case.place))
    yield _typed(one_line(case.typed))
    yield said("waiting.why", why=_why(case))
    yield said("waiting.failure_confirmed", command=f'{start} {answer} --confirm-failure --reason "..."')
    yield said("waiting.failure_dismissed", command=f'{start} {answer} --dismiss-failure --reason "..."')


def _why(case: Case) -> str:
    return one_line(sentence(case.why) if isinstance(case.why, Fact) else case.why)


def _below_anyway(failures: Sequence[Case], start: str) -> Iterator[str]:
    """Those that change no result as it stands: one line each."""
    if not failures:
        return
    yield from ("", said("waiting.below_anyway"))
    for case in failures:
        if typed := one_line(case.typed):
            yield said("waiting.below_typed", who=case.who, place=case.place, typed=typed)
        else:
            yield said("waiting.below_nothing", who=case.who, place=case.place)
    settle = f'{start} --student ID --problem NUMBER --confirm-failure --reason "..."'
    yield said("waiting.below_settle", command=settle)
