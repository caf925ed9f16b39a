"""Results of a class made by hand: which student has which problem right, and nothing else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from fractions import Fraction

from calclib.class_files.roster import Student
from calclib.gradebook.results import PartResult, SetResults, StudentResult
from calclib.records import PartMark, SealedSet, Slot

CAUSE = {
    "fault": "inverted",
    "certain": True,
    "step": "rate",
    "given": "",
    "what": {"kind": "recorded.text", "text": "the division was turned around"},
}


def made_results(right: Sequence[Sequence[bool]], *, attempts: Sequence[int] = ()) -> SetResults:
    """Return the results of a class in a set of one skill a problem, each worth a point; 80% passes.

    Args:
        right: For each student, which problem is right; every other is typed wrong, by a known mistake.
        attempts: For each student, which attempt counts; the first if none are given.
    """
    count = len(right[0])
    slots = tuple(
        Slot(n, f"model-{n}", f"Problem of kind {n}", f"skill number {n}", {"rate": Fraction(1)}, {"rate": "quantity"})
        for n in range(1, count + 1)
    )
    cut, out = Fraction(80), dt.datetime(2026, 11, 25, tzinfo=dt.UTC).isoformat()
    sealed = SealedSet(
        "week-3", "Week 3", "", "by-size", "", "homework", "", cut, None, 0, 3, slots, "1", out
    )  # texts of blueprint and policies are not looked at
    numbers = attempts or [1] * len(right)
    students = [_student(n, row, attempt) for n, (row, attempt) in enumerate(zip(right, numbers, strict=True), start=1)]
    return SetResults(sealed, tuple(students))


def _student(number: int, right: Sequence[bool], attempt: int) -> StudentResult:
    student = Student(f"s{number:04}", f"Given{number:04} Family{9999 - number}")
    parts = tuple(_part(slot, one) for slot, one in enumerate(right, start=1))
    return StudentResult(student, f"p{number}", parts, None, Fraction(0), None, attempt, "", attempt)


def _part(slot: int, right: bool) -> PartResult:
    mark = PartMark(
        slot=slot,
        part="rate",
        answer_cell=f"a{slot}",
        check_cell=f"c{slot}",
        verdict="correct" if right else "wrong_with_cause",
        right=right,
        critical=False,
        fails="nothing",
        score=Fraction(int(right)),
        points=Fraction(1),
        needs_person=False,
        causes=() if right else (CAUSE,),
        notices=(),
        typed="125 mL/h" if right else "31 mL/h",
        detail={},
    )
    return PartResult(mark, None, Fraction(0), open=False, comment="")
