"""What waits for a person, with the command that settles it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files import ClassFolder, class_folder
from calclib.collecting.lateness_question import is_open, settled_by
from calclib.collecting.receipts import read_receipts
from calclib.errors.printed_command import printed_command
from calclib.errors.unseen import unseen_shown
from calclib.gradebook import PartResult, SetResults, StudentResult, set_results
from calclib.quantity.counting import counted, wait
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
from calclib.records.set_aside_facts import for_faculty
from calclib.records.set_times import time_in_words, zone_of
from calclib.wording import said, sentence
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
    head = (
        [f"{counted(answers, 'answer')} of {counted(students, 'student')} {wait(answers)} for a person."]
        if answers
        else []
    )
    if failures:
        head.append(
            f"{counted(len(failures), 'error')} would fail the whole set by the marking policy, once you have "
            f"confirmed it, {len(deciding)} of them of students who reach the cut score; until then they read that it "
            "waits."
        )
    if hand_ins:
        lines += _hand_ins(hand_ins, results, where.path, start, hand_in_fits)
        head.append(f"{counted(len(hand_ins), 'hand-in')} in a student's name {wait(len(hand_ins))} for a person.")
    times = list(_times(results, where, start, in_force(rulings)))
    if times:
        head.append(f"Whether {counted(len(times), 'hand-in')} came in time {wait(len(times))} for a person.")
        lines += ["", *times, f'  Or all of them at once:  {start} --in-time --reason "..."']
    lines = [*(head or ["Nothing waits for a person."]), *lines]
    names = {one.pseudonym: one.student.id for one in results.students}
    if rulings:
        lines += ["", "Rulings"]
    holding = {ruling.number for ruling in in_force(rulings)}
    for ruling in rulings:
        gone = "" if ruling.number in holding or ruling.kind == "withdraw" else " (withdrawn)"
        who = f", {names.get(ruling.pseudonym, 'a former student')}" if ruling.pseudonym else ""
        day, decided = said("ruling.day", at=ruling.at), sentence(ruling_fact(ruling))
        lines.append(
            f"  {ruling.number}. {day}, {sentence(ruled_on(ruling))}{who}: {decided} Reason: {ruling.reason}{gone}"
        )
    return Waiting(answers, students, "\n".join(lines) + "\n")


def _notebook(one: StudentResult, aside: SetAsideReason, start: str, fits: Callable[[str], bool]) -> Iterator[str]:
    yield from ("", f"{one.student.name} ({one.student.id}): the whole notebook was set aside")
    yield f"  Why: {sentence(for_faculty(aside))}"
    who = f"{start} --student {one.student.id}"
    if fits(one.student.id):
        yield f'  If it is the student\'s own work:  {who} --take-notebook --reason "..."'
        yield f'  If it isn\'t, and gets no points:  {who} --leave-notebook --reason "..."'
    else:
        yield "  It can't be marked as it is: ask for it to be handed in again, then collect and mark."
        yield f'  If nothing more comes:            {who} --leave-notebook --reason "..."'
    yield f'  Or answer by answer:              {who} --problem 1 --points 1 --reason "..."'


def _hand_ins(
    hand_ins: Sequence[Questioned], results: SetResults, folder: Path, start: str, fits: Callable[[Questioned], bool]
) -> Iterator[str]:
    names = {one.student.id: one.student.name for one in results.students}
    zone = zone_of(results.sealed)
    for one in hand_ins:
        yield ("")
        yield f"In the name of {names.get(one.student, one.student)} ({one.student}): hand-in {one.sign}"
        yield f"  Why:    {sentence(one.why.fact())}"
        yield f"  When:   {time_in_words(one.time, zone)}. It isn't marked."
        yield f"  Look:   {one.path.relative_to(folder).as_posix()}"
        who = f"{start} --student {one.student}"
        yield f'  Settle: {who} --leave-hand-in {one.sign} --reason "..."'
        if fits(one):
            yield f'  Or, if it is the student\'s own work: {who} --take-hand-in {one.sign} --reason "..."'
        else:
            yield "  It isn't the notebook of this student, so it can't be taken: ask for it to be handed in again."


def _times(results: SetResults, where: ClassFolder, start: str, rulings: tuple[Ruling, ...]) -> Iterator[str]:
    """One text for each hand-in of which it isn't known whether it is late."""
    zone = zone_of(results.sealed)
    for one in results.marked:
        receipts = read_receipts(where.submitted(results.sealed.name, one.student.id).parent)
        receipt = receipts.get(one.submission)
        if receipt is None or not is_open(results.sealed, one.due.time, receipt):
            continue
        if settled_by(rulings, one.pseudonym, one.submission, receipt.collected) is None:
            when = time_in_words(receipt.time, zone)
            known = (
                f"its file says {when}, but the system marks it as late" if not receipt.doubt else f"not after {when}"
            )
            who = f"{start} --student {one.student.id}"
            yield (
                f"{one.student.name} ({one.student.id}): when it was handed in isn't known: {known}\n"
                f'  If it came in time:  {who} --in-time --reason "..."\n'
                f'  If you know when:    {who} --handed-in 2026-12-01T23:10:00-05:00 --reason "..."'
            )


def _answers(
    one: StudentResult, keys: Mapping[tuple[int, str], str], start: str, slots: Mapping[int, Slot]
) -> Iterator[str]:
    for part in one.parts:
        if part.open:
            slot = slots[part.mark.slot]
            yield from _answer(one, part, keys.get((slot.number, part.mark.part), ""), start, slot)


def _answer(one: StudentResult, part: PartResult, key: str, start: str, slot: Slot) -> Iterator[str]:
    mark = part.mark
    several = len(slot.points) > 1
    named = f", {mark.part.replace('_', ' ')}" if several else ""
    option = f" --part {mark.part}" if several else ""
    most = write_number(mark.points, 2)
    yield from ("", f"{one.student.name} ({one.student.id}), problem {slot.place(mark.part)}{named}")
    typed = mark.typed if len(mark.typed) <= _TYPED_SHOWN else mark.typed[: _TYPED_SHOWN - 1] + "…"
    yield f"  Typed:  {_one_line(typed) or 'nothing'}"
    yield f"  Right:  {key}"
    yield f"  Why:    {_one_line(recorded_reason(mark.detail))}"
    if mark.detail.get("ruling_passed_over"):
        yield f"          {said('ruling.passed_over', number=mark.detail['ruling_passed_over'])}"
    if part.manual is not None:
        yield "          It has points given by hand in the gradebook; clear its flag there."
    place = f"--student {one.student.id} --problem {mark.slot}{option}"
    yield f'  Settle: {start} {place} --points {most} --reason "..."   (points from 0 to {most})'


def _failure(one: StudentResult, mark: PartMark, start: str, slot: Slot) -> Iterator[str]:
    option = f" --part {mark.part}" if len(slot.points) > 1 else ""
    yield from ("", f"{one.student.name} ({one.student.id}), problem {slot.place(mark.part)}: may fail the whole set")
    yield f"  Typed:  {_one_line(mark.typed) or 'nothing'}"
    yield f"  Why:    {_one_line(recorded_message(mark.detail))}"
    place = f"--student {one.student.id} --problem {mark.slot}{option}"
    yield f'  If it fails the whole set:  {start} {place} --confirm-failure --reason "..."'
    yield f'  If it doesn\'t:              {start} {place} --dismiss-failure --reason "..."'


def _below_anyway(
    failures: Sequence[tuple[StudentResult, PartMark]], slots: Mapping[int, Slot], start: str
) -> Iterator[str]:
    """Those that change no result as it stands: one line each."""
    if not failures:
        return
    yield from ("", "Below the cut score whatever you decide, with an error that would fail the whole set:")
    for one, mark in failures:
        typed = _one_line(mark.typed) or "nothing"
        yield f"  {one.student.name} ({one.student.id}), problem {slots[mark.slot].place(mark.part)}: {typed}"
    yield f'  To settle one all the same:  {start} --student ID --problem NUMBER --confirm-failure --reason "..."'


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in unseen_shown(text)).strip()
