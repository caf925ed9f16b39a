"""The class report: who passed, what needs a person, what to teach again, which problems are suspect, and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any

from calclib.analysis import SharedNumbers, Sheet, class_size_told, shared_numbers, sheet_of
from calclib.analysis.choices import Picked, distractors, picked_choices
from calclib.analysis.decisions import Decision, decision_counts, decisions_of
from calclib.analysis.item_statistics import SOME_USE
from calclib.analysis.problems import Problem
from calclib.class_files import ClassFolder, class_folder
from calclib.class_files.text_files import replace_file
from calclib.gradebook import SetResults, set_results
from calclib.gradebook.attempt_results import AttemptResult, attempt_results
from calclib.gradebook.earlier_sets import earlier_problems
from calclib.gradebook.outcomes import first_attempt_problems, student_problems
from calclib.pages.class_standings import decided_otherwise
from calclib.pages.decision_counts import decision_lines
from calclib.pages.report.answers import answers_by_fault, answers_by_problem
from calclib.pages.report.heat_map import heat_map
from calclib.pages.report.looked_at import looked_at, nothing_suspect, suspects
from calclib.pages.report.mistakes import fault_rows, notations
from calclib.pages.report.passed import figures, passed
from calclib.pages.report.problems import (
    choice_lines,
    item_shares,
    problem_rows,
    right_of,
    statistics_by_problem,
    sureness,
)
from calclib.pages.report.ruled import ruling_lines, shared_lines
from calclib.pages.report.scores import scores
from calclib.pages.report.teaching import teach_again, weak_skills
from calclib.pages.report.titles import title_of
from calclib.pages.report.waits import FIRST, needs_a_person
from calclib.pages.templating import own_script, page
from calclib.quantity.writing import percent_text
from calclib.records import policies_in_words, reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.records.set_times import zone_of
from calclib.releasing.erasing.erase import finish_erasure
from calclib.wording import said, sentence

_FAULTS_SHOWN = 15


def _no_page(_student: str) -> str:
    return ""


@dataclass(frozen=True)
class Found:
    """What was found about a class beside its results; nothing of it is needed for a page.

    Attributes:
        sheets: The keys and unexplained wrong answers of each student.
        decisions: What each student did with each order.
        picked: The choices that were picked.
        attempts: Every marked attempt, by the id of the student.
        first: What each student did in the first attempt, by id; None for the attempt that counts.
        earlier: What each student did in sets before, by id.
        page_of: Where a student's page lies, by id; "" if there is none.
    """

    sheets: Sequence[Sheet] = ()
    decisions: Sequence[Decision] = ()
    picked: Sequence[Picked] = ()
    attempts: Mapping[str, tuple[AttemptResult, ...]] = field(default_factory=lambda: MappingProxyType({}))
    first: Mapping[str, tuple[Problem, ...]] | None = None
    earlier: Mapping[str, tuple[Problem, ...]] = field(default_factory=lambda: MappingProxyType({}))
    page_of: Callable[[str], str] = _no_page


def write_report(folder: Path, set_name: str) -> Path:
    """Write the class report of a set and return where it is.

    Args:
        folder: The class folder.
        set_name: The set.

    Raises:
        BadInput: no such set was handed out, or the class folder is wrong.
    """
    where = class_folder(folder)
    finish_erasure(where)
    results = set_results(where, set_name)
    with reading(where) as connection:
        known = set(pseudonyms(connection))
        words = policies_in_words(connection, results.sealed)
    path = where.report(set_name)
    replace_file(path, report_page(results, words, found_about(where, results)))
    with reading(where) as connection:
        gone = known - set(pseudonyms(connection))
    if gone:
        # Somebody was erased meanwhile, whom the page may name.
        path.unlink(missing_ok=True)
        return write_report(folder, set_name)
    return path


def found_about(where: ClassFolder, results: SetResults) -> Found:
    """Return what the records say about a class beside its results."""
    name = results.sealed.name
    sheets: list[Sheet] = []
    decisions: list[Decision] = []
    picked: list[Picked] = []
    with reading(where) as connection:
        attempts = attempt_results(connection, results)
        first = first_attempt_problems(connection, results)
        for one in results.judged:
            paper = sealed_paper(connection, name, one.pseudonym, one.attempt, faults=False)
            if paper is not None:
                marks = [part.mark for part in one.parts]
                sheets.append(sheet_of(one.student.id, paper, marks))
                decisions += decisions_of(paper, marks)
                picked += picked_choices(paper, marks)

    def page_of(student: str) -> str:
        return f"../{path.relative_to(where.path)}" if (path := where.feedback(name, student)).is_file() else ""

    pages = {one.student.id: page_of(one.student.id) for one in results.students}
    earlier = earlier_problems(where, results)
    return Found(sheets, decisions, picked, attempts, first, earlier, lambda student: pages.get(student, ""))


def report_page(results: SetResults, words: Mapping[str, str], found: Found | None = None) -> bytes:
    """Return the report as a page of HTML; see `report_values`."""
    return page("report.html", report_values(results, words, found))


def report_values(results: SetResults, words: Mapping[str, str], found: Found | None = None) -> dict[str, Any]:
    """Return what stands in the gaps of the report's template.

    Args:
        results: The results of the set.
        words: What the rounding and the marking policy say, by "rounding" and "marking".
        found: What else is known of the class.
    """
    also = found or Found()
    students = {one.student.id: student_problems(results, one) for one in results.judged}
    first = students if also.first is None else also.first
    shares = item_shares(results, first)
    statistics = statistics_by_problem(results, shares)
    faults = fault_rows(results, answers_by_fault(results, also.page_of))
    waiting = needs_a_person(results, also.page_of)
    return {
        "title": results.sealed.title,
        "set_name": results.sealed.name,
        "handed_out": day_handed_out(results),
        "passed": passed(results, also.attempts),
        "facts": figures(results),
        "waiting": waiting[:FIRST],
        "waiting_more": waiting[FIRST:],
        "teach": teach_again(weak_skills(results.sealed.slots, students)),
        "suspects": looked_at(results, suspects(results, first, also.sheets, statistics)),
        "none_suspect": nothing_suspect(len(first)),
        "map": heat_map(results, students, also.earlier, also.page_of),
        "cut": percent_text(results.sealed.cut_score),
        "sureness": sureness(results, shares),
        "students": scores(results, also.attempts, also.page_of),
        "several": any(len(every) > 1 for every in also.attempts.values()),
        "size_note": sentence(size) if (size := class_size_told(len(first))) else "",
        "discrimination_words": len(first) >= SOME_USE,
        "items": problem_rows(results, statistics),
        "choices": choice_lines(results, distractors(also.picked)),
        "faults": faults[:_FAULTS_SHOWN],
        "decisions": [*decision_lines(decision_counts(also.decisions))],
        "notations": notations(results),
        "shared": shared_lines(results, _shared(also.sheets)),
        "rulings": list(ruling_lines(results)),
        "answers": answers_by_problem(results, also.page_of),
        **_plots(results, faults),
        **words,
        **own_script("report.js"),
    }


def _shared(sheets: Sequence[Sheet]) -> tuple[SharedNumbers, ...]:
    return shared_numbers(sheets) if sheets else ()


def day_handed_out(results: SetResults) -> str:
    """Return the day on which a set was handed out, in the zone of its times."""
    at = dt.datetime.fromisoformat(results.sealed.handed_out).astimezone(zone_of(results.sealed))
    return said("time.day", at=at.isoformat())


def _plots(results: SetResults, faults: list[dict[str, Any]]) -> dict[str, str]:
    """Return the plots as HTML, their words escaped by `as_html`; "" for those that have nothing to show."""
    from calclib.plots import as_html, fault_bars, item_difficulty_bars, score_histogram

    if not results.judged:
        return dict.fromkeys(("score_plot", "problem_plot", "fault_plot"), "")
    percents = [min(results.percent(one), Fraction(100)) for one in results.judged]
    asked = [slot for slot in results.sealed.slots if slot.number not in results.left_out]
    items = [(f"{slot.number}. {title_of(slot)}", *right_of(results, slot)) for slot in asked]
    # An answer to which several mistakes may lead shows none of them: it would stand in a bar of each.
    bars = [(fault["says"], fault["certain"]) for fault in faults if fault["certain"]]
    pictures = {
        "score_plot": score_histogram(percents, results.sealed.cut_score, more=decided_otherwise(results)),
        "problem_plot": item_difficulty_bars(items),
        "fault_plot": fault_bars(bars) if bars else None,
    }
    return {name: as_html(picture.figure, picture.alt) if picture else "" for name, picture in pictures.items()}
