"""Who passes a set and who doesn't, by the rule that decides it for each: the counts and headlines of the report."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from calclib.gradebook import SetResults, StudentResult
from calclib.gradebook.attempt_results import AttemptResult, attempt_score
from calclib.gradebook.standing import Standing, failing_places, standing_of
from calclib.quantity.writing import percent_text
from calclib.records.part_marks import Fails
from calclib.wording import Fact, fact, of_kind, said, sentence

_NAMES_SHOWN = 12

# The tone in which each is printed; sign and word stand together, so that nothing hangs on color.
TONES = {
    Standing.PASSES: "ok",
    Standing.BELOW: "no",
    Standing.FAILED: "no",
    Standing.FAILURE_WAITS: "wait",
    Standing.UNDECIDED: "wait",
}


def standing_cell(standing: Standing) -> dict[str, str]:
    """Return a student's standing as a cell of the table."""
    return {"cut": sentence(of_kind("report", standing.value)), "tone": TONES[standing]}


def attempts_cell(attempts: Mapping[str, tuple[AttemptResult, ...]], one: StudentResult) -> dict[str, str]:
    """Return the score of each attempt of a student who has several, as a cell of the table."""
    every = attempts.get(one.student.id, ())
    told = tuple(
        fact("attempt.cell_counts" if each.counts else "attempt.cell", number=each.attempt, score=attempt_score(each))
        for each in every
    )
    return {"attempts": said("report.notes", notes=told) if len(every) > 1 else ""}


def failures_told(results: SetResults, one: StudentResult) -> Iterable[Fact]:
    """Yield which problem's error fails the whole set for a student, or does once it is confirmed."""
    if places := failing_places(results, one, Fails.EXAM):
        yield fact("standing.fails", places=places)
    if places := failing_places(results, one, Fails.EXAM_WAITS):
        yield fact("standing.may_fail", places=places)


def cut_sentence(results: SetResults) -> str:
    """Who doesn't pass, by the rule that decides it for each."""
    if not results.judged:
        return said("report.none_marked")
    cut, of = percent_text(results.sealed.cut_score), len(results.judged)
    by: dict[Standing, list[StudentResult]] = {}
    for one in results.judged:
        by.setdefault(standing_of(results, one), []).append(one)
    told = []
    if below := by.get(Standing.BELOW):
        told.append(_named(below, fact("report.below_cut", count=len(below), of=of, cut=cut), results, None))
    if failed := by.get(Standing.FAILED):
        count = fact("report.failed_above", count=len(failed), of=of, cut=cut)
        told.append(_named(failed, count, results, Fails.EXAM))
    if waits := by.get(Standing.FAILURE_WAITS):
        count = fact("report.waits_above", count=len(waits), of=of, cut=cut)
        told.append(_named(waits, count, results, Fails.EXAM_WAITS))
    return " ".join(told) or said("report.everyone_passes", cut=cut)


def _named(who: Sequence[StudentResult], count: Fact, results: SetResults, fails: Fails | None) -> str:
    if len(who) > _NAMES_SHOWN:
        return said("report.in_the_table", count=count)
    return said("report.named", count=count, students=tuple(_name(one, results, fails) for one in who))


def _name(one: StudentResult, results: SetResults, fails: Fails | None) -> str | Fact:
    if fails is None:
        return one.student.name
    places = fact("standing.places", places=failing_places(results, one, fails))
    return fact("report.name_places", name=one.student.name, places=places)


def decided_otherwise(results: SetResults) -> str:
    """Of how many whose score reaches the cut score another rule decides, for whoever only hears of the plot."""
    told = []
    for standing, fails in ((Standing.FAILED, Fails.EXAM), (Standing.FAILURE_WAITS, Fails.EXAM_WAITS)):
        who = [one for one in results.judged if standing_of(results, one) is standing]
        every = {place for one in who for place in failing_places(results, one, fails)}
        ordered: list[str] = sorted(every, key=_in_order)
        places = fact("standing.places", places=tuple(ordered))
        if who and fails is Fails.EXAM:
            told.append(fact("report.failed_of_these", count=len(who), places=places))
        elif who:
            told.append(fact("report.wait_of_these", count=len(who), places=places))
    return f" {said('report.of_these', told=tuple(told))}" if told else ""


def _in_order(place: str) -> tuple[int, str]:
    """By the number of the problem, then by the part: "9" before "10b"."""
    number = place.rstrip("abcdefghijklmnopqrstuvwxyz")
    return (int(number) if number.isdecimal() else 0, place)
