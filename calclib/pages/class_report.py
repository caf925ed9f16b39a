"""The class report: scores, what needs a person, how hard the problems were, which mistakes were made."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any

from calclib.analysis import (
    ItemStatistics,
    SharedNumbers,
    Sheet,
    class_size_told,
    cronbach_alpha,
    discrimination_told,
    fault_counts,
    item_statistics,
    mean,
    median,
    shared_numbers,
    sheet_of,
    standard_error_of_measurement,
)
from calclib.analysis.decisions import Decision, decision_counts, decisions_of
from calclib.analysis.item_statistics import SOME_USE
from calclib.class_files import class_folder
from calclib.class_files.roster import Student
from calclib.class_files.text_files import replace_file
from calclib.gradebook import PartResult, SetResults, StudentResult, set_results
from calclib.gradebook.attempt_results import AttemptResult, attempt_results
from calclib.gradebook.standing import Standing, standing_of
from calclib.pages.class_standings import (
    attempts_cell,
    cut_sentence,
    decided_otherwise,
    failures_told,
    first_time_fact,
    standing_cell,
)
from calclib.pages.decision_counts import decision_lines
from calclib.pages.templating import page
from calclib.quantity.writing import percent_text, points_text
from calclib.records import (
    Ruling,
    Slot,
    policies_in_words,
    reading,
    ruled_on,
    ruling_fact,
    sealed_paper,
)
from calclib.records.people import pseudonyms
from calclib.records.set_aside_facts import for_faculty
from calclib.records.set_times import zone_of
from calclib.releasing.erasing.erase import finish_erasure
from calclib.wording import Fact, fact, fact_from_record, said, sentence
from calclib.wording.messages import recorded_reason

_FAULTS_SHOWN = 15
_TYPED_SHOWN = 80


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
        attempts = attempt_results(connection, results)
        sheets: list[Sheet] = []
        decisions: list[Decision] = []
        for one in results.judged:
            paper = sealed_paper(connection, set_name, one.pseudonym, one.attempt, faults=False)
            if paper is not None:
                marks = [part.mark for part in one.parts]
                sheets.append(sheet_of(one.student.id, paper, marks))
                decisions += decisions_of(paper, marks)
    path = where.report(set_name)
    replace_file(path, report_page(results, words, shared_numbers(sheets), attempts, decisions))
    with reading(where) as connection:
        gone = known - set(pseudonyms(connection))
    if gone:
        # Somebody was erased meanwhile, whom the page may name.
        path.unlink(missing_ok=True)
        return write_report(folder, set_name)
    return path


def report_page(
    results: SetResults,
    words: Mapping[str, str],
    shared: Sequence[SharedNumbers] = (),
    attempts: Mapping[str, tuple[AttemptResult, ...]] = MappingProxyType({}),
    decided: Sequence[Decision] = (),
) -> bytes:
    """Return the report as a page of HTML.

    Args:
        results: The results of the set.
        words: What the rounding and the marking policy say, by "rounding" and "marking".
        shared: Pairs of students of whom one gave right answers to the other's numbers.
        attempts: Every marked attempt, by the id of the student.
        decided: What each student did with each order.
    """
    scores = item_shares(results)
    statistics = item_statistics(scores)
    causes = fault_rows(results)
    return page(
        "report.html",
        {
            "title": results.sealed.title,
            "set_name": results.sealed.name,
            "handed_out": _day(results),
            "facts": [*_facts(results), *first_time_fact(results, attempts)],
            "waiting": [sentence(told) for told in _needs_a_person(results)],
            "cut": percent_text(results.sealed.cut_score),
            "cut_sentence": cut_sentence(results),
            "reliability": _reliability(results, scores),
            "students": [_student(results, one) | attempts_cell(attempts, one) for one in results.students],
            "several": any(len(every) > 1 for every in attempts.values()),
            "rulings": list(_rulings(results)),
            "size_note": sentence(size) if (size := class_size_told(len(results.judged))) else "",
            "discrimination_words": len(results.judged) >= SOME_USE,
            "items": _items(results, statistics),
            "faults": causes[:_FAULTS_SHOWN],
            "decisions": [*decision_lines(decision_counts(decided))],
            "notations": _notations(results),
            "shared": [_shared(results, pair) for pair in shared],
            **_plots(results, causes),
            **words,
        },
    )


def _day(results: SetResults) -> str:
    """The day on which the set was handed out, in the zone of its times."""
    at = dt.datetime.fromisoformat(results.sealed.handed_out).astimezone(zone_of(results.sealed))
    return f"{at.day} {at:%B %Y}"


def item_shares(results: SetResults) -> list[list[float]]:
    """Return, for each student whose notebook was judged, the share of the points of each problem.

    One that everyone was credited with, or that is void, tells nothing and is left out.
    """
    rows = []
    slots = [slot for slot in results.sealed.slots if slot.number not in results.left_out]
    for one in results.judged:
        earned: dict[int, Fraction] = {}
        for part in one.parts:
            earned[part.mark.slot] = earned.get(part.mark.slot, Fraction(0)) + part.earned
        rows.append([float(earned.get(slot.number, 0) / _worth(slot)) for slot in slots])
    return rows


def fault_rows(results: SetResults) -> list[dict[str, Any]]:
    """Return the mistakes of the class, the commonest first, each with what it was most often, and where."""
    wrong = [part.mark for one in results.judged for part in one.parts if part.mark.causes]
    titles = {slot.number: slot.title for slot in results.sealed.slots}
    seen: dict[str, Counter[str]] = {}
    for mark in wrong:
        for cause in mark.causes:
            clause = fact_from_record(cause["what"])
            example = said("report.mistake_example", clause=clause, title=titles[mark.slot])
            seen.setdefault(cause["fault"], Counter())[example] += 1
    return [
        {
            "says": _capital(count.name),
            "example": seen[count.fault].most_common(1)[0][0],
            "certain": count.certain,
            "possible": count.possible,
        }
        for count in fault_counts(mark.causes for mark in wrong)
    ]


def _facts(results: SetResults) -> list[dict[str, str]]:
    percents = [float(results.percent(one)) for one in results.judged]
    passed = sum(standing_of(results, one) is Standing.PASSES for one in results.judged)
    open_answers = sum(part.open for one in results.judged for part in one.parts)
    facts = [
        (said("report.students"), str(len(results.students))),
        (said("report.marked"), str(len(results.judged))),
        (said("report.set_aside"), str(len(results.marked) - len(results.judged))),
        (said("report.nothing_handed_in"), str(len(results.missing))),
        (said("report.awaiting_review"), str(open_answers)),
    ]
    if percents:
        cut = percent_text(results.sealed.cut_score)
        facts += [
            (said("report.mean_score"), _percent(mean(percents))),
            (said("report.median_score"), _percent(median(percents))),
            (said("report.pass", cut=cut), said("report.of", count=passed, of=len(percents))),
        ]
    return [{"label": label, "value": value} for label, value in facts]


def _needs_a_person(results: SetResults) -> Iterable[Fact]:
    for one in results.marked:
        if one.aside and one.open:
            yield fact("report.notebook_aside", who=_who(one.student), reason=for_faculty(one.aside))
    slots = {slot.number: slot for slot in results.sealed.slots}
    for one in results.judged:
        for part in one.parts:
            if part.open:
                yield _answer_waits(one, part, slots[part.mark.slot].of_attempt(one.pseudonym, one.attempt))
    if results.missing:
        yield fact("report.missing", students=tuple(_who(student) for student in results.missing))


def _answer_waits(one: StudentResult, part: PartResult, slot: Slot) -> Fact:
    mark, who = part.mark, _who(one.student)
    message: str | Fact = recorded_reason(mark.detail)
    if part.manual is not None:
        message = fact("report.by_hand_too", message=message)
    place, name = slot.place(mark.part), slot.words(mark.part)
    told = fact("report.answer_waits", who=who, place=place, part=name, message=message)
    if not mark.typed:
        return told
    typed = mark.typed if len(mark.typed) <= _TYPED_SHOWN else f"{mark.typed[: _TYPED_SHOWN - 1]}…"
    return fact("report.answer_typed", answer=told, typed=typed)


def _student(results: SetResults, one: StudentResult) -> dict[str, str]:
    row = {"name": one.student.name, "id": one.student.id}
    if not one.parts:
        note = said("report.note_nothing_handed_in")
        return row | {"points": "", "percent": "", "cut": "", "tone": "", "note": note}
    row |= {"points": points_text(one.earned), "note": said("report.notes", notes=tuple(_notes(results, one)))}
    if one.aside and one.open:
        return row | {"percent": ""} | standing_cell(Standing.UNDECIDED)
    return row | {"percent": percent_text(results.percent(one))} | standing_cell(standing_of(results, one))


def _notes(results: SetResults, one: StudentResult) -> Iterable[Fact]:
    if one.aside:
        yield fact("report.note_aside" if one.open else "report.note_aside_ruled")
    elif one.open:
        yield fact("report.note_awaits_review")
    yield from failures_told(results, one)
    if one.penalty:
        yield fact("report.note_late", penalty=points_text(one.penalty))
    if any(part.manual is not None for part in one.parts):
        yield fact("report.note_by_hand")


def _rulings(results: SetResults) -> Iterable[str]:
    of = {one.pseudonym: one.student for one in results.students}
    for ruling in results.rulings:
        number, day, reason = ruling.number, fact("ruling.day", at=ruling.at), ruling.reason
        where, what = ruled_on(ruling, results.sealed.slots), ruling_fact(ruling)
        if ruling.pseudonym:
            student = of.get(ruling.pseudonym)
            who = _who(student) if student else fact("report.former_student")
            yield said("report.ruling_of", number=number, day=day, where=where, who=who, what=what, reason=reason)
        else:
            yield said("report.ruling", number=number, day=day, where=where, what=what, reason=reason)


def _reliability(results: SetResults, scores: list[list[float]]) -> str:
    alpha, error = cronbach_alpha(scores), standard_error_of_measurement(scores)
    if alpha is None or error is None:
        return ""
    of = len(results.sealed.slots) - len(results.left_out)
    percent = f"{100 * error / of:.0f}"
    return said("report.reliability", alpha=f"{alpha:.2f}", error=f"{error:.2f}", of=of, percent=percent)


def _items(results: SetResults, statistics: tuple[ItemStatistics, ...]) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    each = iter(statistics)
    for slot in results.sealed.slots:
        ruling = results.left_out.get(slot.number)
        if ruling is not None:
            rows.append({"number": slot.number, "title": slot.title, "left_out": _left_out(ruling)})
            continue
        here = next(each, None)
        value = here.discrimination if here else None
        right, of = _right(results, slot)
        rows.append(
            {
                "number": slot.number,
                "title": slot.title,
                "left_out": "",
                "right": right,
                "of": of,
                "difficulty": f"{here.difficulty:.2f}" if here else "",
                "discrimination": _discrimination(value, len(results.judged)),
                "cause": _commonest(results, slot),
            }
        )
    return rows


def _left_out(ruling: Ruling) -> str:
    return said("report.left_out_credited" if ruling.kind == "credit" else "report.left_out_void", number=ruling.number)


def _discrimination(value: float | None, students: int) -> str:
    if value is None:
        return ""
    shown = f"{value:.2f}"
    # In a small class the number is chance for the most part; a word would make more of it than it is.
    if students < SOME_USE:
        return shown
    return said("report.discrimination_value", value=shown, word=discrimination_told(float(shown)))


def _right(results: SetResults, slot: Slot) -> tuple[int, int]:
    """Return how many students have every part of a problem right, and how many there are."""
    right = sum(
        all(part.mark.right or part.manual == part.mark.points for part in one.parts if part.mark.slot == slot.number)
        for one in results.judged
    )
    return right, len(results.judged)


def _commonest(results: SetResults, slot: Slot) -> str:
    causes = [p.mark.causes for one in results.judged for p in one.parts if p.mark.slot == slot.number]
    counts = fault_counts(filter(None, causes))
    if not counts:
        return ""
    first = counts[0]
    if first.certain:
        return said("report.cause", fault=first.name, count=first.certain)
    return said("report.cause_perhaps", fault=first.name, count=first.possible)


def _notations(results: SetResults) -> list[dict[str, Any]]:
    from calclib.reading import notation_rules

    rules = notation_rules()
    counts = Counter(n["rule"] for one in results.judged for part in one.parts for n in part.mark.notices)
    rows = []
    for rule, count in counts.most_common():
        known = rules.get(rule)
        if known is not None:
            told = said("report.notation", count=count, says=known.says, instead=known.instead)
            rows.append({"told": told, "source": known.source})
    return rows


def _shared(results: SetResults, pair: SharedNumbers) -> str:
    """Say what was seen, how likely it is by chance, and nothing of how it came about."""
    who = {one.student.id: _who(one.student) for one in results.students}
    return said(
        "report.shared_pair",
        student=who[pair.student],
        problems=tuple(str(problem) for problem, _ in pair.matches),
        other=who[pair.other],
        of=pair.of,
        classes=f"{_odds(pair.chance):,}",
    )


def _odds(chance: float) -> int:
    """Of how many classes of this size one would show as much by chance, at the least."""
    classes = 1_000
    while classes < 1_000_000 and chance * classes * 10 < 1:
        classes *= 10
    return classes


def _plots(results: SetResults, faults: list[dict[str, Any]]) -> dict[str, str]:
    """Return the plots as HTML, their words escaped by `as_html`; "" for those that have nothing to show."""
    from calclib.plots import as_html, fault_bars, item_difficulty_bars, score_histogram

    if not results.judged:
        return dict.fromkeys(("score_plot", "problem_plot", "fault_plot"), "")
    percents = [min(results.percent(one), Fraction(100)) for one in results.judged]
    asked = [slot for slot in results.sealed.slots if slot.number not in results.left_out]
    items = [(f"{slot.number}. {slot.title}", *_right(results, slot)) for slot in asked]
    # An answer to which several mistakes may lead shows none of them: it would stand in a bar of each.
    bars = [(fault["says"], fault["certain"]) for fault in faults if fault["certain"]]
    pictures = {
        "score_plot": score_histogram(percents, results.sealed.cut_score, more=decided_otherwise(results)),
        "problem_plot": item_difficulty_bars(items),
        "fault_plot": fault_bars(bars) if bars else None,
    }
    return {name: as_html(picture.figure, picture.alt) if picture else "" for name, picture in pictures.items()}


def _who(student: Student) -> Fact:
    return fact("report.who", name=student.name, id=student.id)


def _worth(slot: Slot) -> Fraction:
    return sum(slot.points.values(), Fraction(0)) or Fraction(1)


def _percent(value: float) -> str:
    return percent_text(Fraction(value).limit_denominator(1000))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
