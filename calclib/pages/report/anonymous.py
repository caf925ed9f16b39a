"""The class report for others: no names, no answers, and no count from which somebody could be found out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from calclib.analysis.item_statistics import ItemStatistics, mean
from calclib.analysis.problems import Problem
from calclib.analysis.small_cells import LEAST, shown_cells, shown_mean, shown_share
from calclib.class_files import class_folder
from calclib.class_files.text_files import replace_file
from calclib.gradebook.outcomes import first_attempt_problems, student_problems
from calclib.gradebook.results import SetResults, set_results
from calclib.gradebook.standing import Standing, standing_of
from calclib.pages.after_exam.plan_page import capital
from calclib.pages.report.problems import item_shares, problem_rows, right_of, statistics_by_problem, sureness
from calclib.pages.report.teaching import SKILLS, weak_skills
from calclib.pages.templating import page
from calclib.quantity.writing import percent_text
from calclib.records import policies_in_words, reading
from calclib.wording import fact_from_record, said, sentence

Students = Mapping[str, Sequence[Problem]]


def write_anonymous_report(folder: Path, set_name: str) -> Path:
    """Write the class report without names and small counts, and return where it is.

    Args:
        folder: The class folder.
        set_name: The set.

    Raises:
        BadInput: no such set was handed out, or the class folder is wrong.
    """
    where = class_folder(folder)
    results = set_results(where, set_name)
    with reading(where) as connection:
        words = policies_in_words(connection, results.sealed)
        first = first_attempt_problems(connection, results)
    path = where.report_without_names(set_name)
    replace_file(path, anonymous_page(results, words, first))
    return path


def anonymous_page(results: SetResults, words: Mapping[str, str], first: Students | None = None) -> bytes:
    """Return the page.

    It speaks of the students whose notebook was judged, and of no others: their number and that of the class would
    tell how many handed in nothing.

    Args:
        results: The results of the set.
        words: What the rounding and the marking policy say, by "rounding" and "marking".
        first: What each student did in the first attempt, by id; None for the attempt that counts.
    """
    students = {one.student.id: student_problems(results, one) for one in results.judged}
    of = len(results.judged)
    shares = item_shares(results, students if first is None else first)
    statistics = statistics_by_problem(results, shares)
    enough = of >= LEAST
    return page(
        "report_anonymous.html",
        {
            "title": results.sealed.title,
            "least": LEAST,
            "enough": enough,
            "passed": _passed(results) if enough else [],
            "mean": _mean(results) if enough else "",
            "teach": _teach(results, students) if enough else [],
            "items": _items(results, statistics, first) if enough else [],
            "sureness": sureness(results, shares),
            "mistakes": _mistakes(results, students) if enough else [],
            **words,
        },
    )


def _passed(results: SetResults) -> list[str]:
    """How many passed by which attempt; of all attempts together where a single one has too few."""
    cut, of = percent_text(results.sealed.cut_score), len(results.judged)
    by: Counter[int] = Counter(one.attempt for one in results.judged if standing_of(results, one) is Standing.PASSES)
    attempts = sorted({one.attempt for one in results.judged})
    cells = shown_cells([*(by[number] for number in attempts), of - by.total()])
    if len(attempts) > 1 and None not in cells:
        return [
            said("report.by_attempt_counted", number=number, count=count or 0, of=of, cut=cut)
            for number, count in zip(attempts, cells, strict=False)
        ]
    together = shown_share(by.total(), of)
    return [_counted(together, of), said("report.pass", cut=cut)] if together else [said("report.too_few_shown")]


def _mean(results: SetResults) -> str:
    """The mean score, rounded where it would tell how many had a problem right whose count isn't shown."""
    of = len(results.judged)
    asked = [slot for slot in results.sealed.slots if slot.number not in results.left_out]
    hidden = [sum(slot.points.values(), Fraction(0)) for slot in asked if shown_share(*right_of(results, slot)) is None]
    found = shown_mean(mean([results.percent(one) for one in results.judged]), of, results.sealed.points, hidden)
    if found is None:
        return ""
    if found.step:
        return said("report.mean_about", mean=percent_text(found.percent), of=of)
    return said("report.mean_of", mean=percent_text(found.percent), of=of)


def _counted(count: int | None, of: int) -> str:
    return said("report.too_few_shown") if count is None else said("report.of", count=count, of=of)


def _teach(results: SetResults, students: Students) -> list[dict[str, str]]:
    """The skills that enough students have wrong, without their number, each with the mistakes that enough made."""
    told = []
    for weak in weak_skills(results.sealed.slots, students):
        if shown_share(weak.wrong, weak.of) is None:
            continue
        made: Counter[tuple[int, str, str]] = Counter()
        for problems in students.values():
            here = (one for one in problems if one.slot in weak.slots and not one.right)
            made.update({(m.slot, m.step, m.fault) for one in here for m in one.mistakes})
        clauses = tuple(
            sentence(fact_from_record(one.what))
            for one in weak.faults
            if shown_share(made[one.slot, one.step, one.fault], len(students)) is not None
        )
        behind = said("report.behind", mistakes=clauses[:2]) if clauses else ""
        told.append({"skill": capital(weak.skill), "behind": behind})
    return told[:SKILLS]


def _items(
    results: SetResults, statistics: Mapping[int, ItemStatistics], first: Students | None
) -> list[dict[str, Any]]:
    slots = {slot.number: slot for slot in results.sealed.slots}
    rows = []
    for row in problem_rows(results, statistics):
        if not row["left_out"]:
            right = shown_share(*right_of(results, slots[row["number"]]))
            row |= {"right": _counted(right, len(results.judged))}
            # A mean of points tells how many have all of them.
            tells = right is None or _tells_few(right, row["number"], first)
            row |= {"difficulty": "", "discrimination": ""} if tells else {}
        rows.append(row)
    return rows


def _tells_few(right: int, number: int, first: Students | None) -> bool:
    """Whether the difficulty, that of first attempts, tells of few beside those who have a problem right now."""
    if first is None:
        return False
    had = [one.right for problems in first.values() for one in problems if one.slot == number]
    more = abs(right - sum(had))
    return shown_share(sum(had), len(had)) is None or 0 < more < LEAST


def _mistakes(results: SetResults, students: Students) -> list[str]:
    """The kinds of mistakes that enough students made, the commonest first."""
    from calclib.analysis.faults import FaultCount

    made: Counter[str] = Counter()
    for problems in students.values():
        made.update({mistake.fault for one in problems for mistake in one.mistakes})
    of = len(results.judged)
    return [
        said("report.mistake_of_students", mistake=FaultCount(fault, count, 0).name, count=count, of=of)
        for fault, count in made.most_common()
        if shown_share(count, of) is not None
    ]
