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
    class_size_in_words,
    cronbach_alpha,
    discrimination_in_words,
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
from calclib.class_files.text_files import replace_file
from calclib.gradebook import SetResults, StudentResult, set_results
from calclib.gradebook.attempt_results import AttemptResult, attempt_results
from calclib.gradebook.standing import Standing, standing_of
from calclib.pages.class_standings import (
    STANDINGS,
    attempts_cell,
    cut_sentence,
    decided_otherwise,
    failures_in_words,
    first_time_fact,
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
from calclib.wording import said, sentence
from calclib.wording.messages import cause_in_words, recorded_reason

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
            "aside": [
                _name(one) | {"reason": sentence(for_faculty(one.aside))}
                for one in results.marked
                if one.aside and one.open
            ],
            "waiting": list(_waiting(results)),
            "missing": [f"{student.name} ({student.id})" for student in results.missing],
            "cut": percent_text(results.sealed.cut_score),
            "cut_sentence": cut_sentence(results),
            "reliability": _reliability(results, scores),
            "students": [_student(results, one) | attempts_cell(attempts, one) for one in results.students],
            "several": any(len(every) > 1 for every in attempts.values()),
            "rulings": list(_rulings(results)),
            "size_note": class_size_in_words(len(results.judged)),
            "discrimination_in_words": len(results.judged) >= SOME_USE,
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
            example = f"{cause_in_words(cause)} ({titles[mark.slot]})"
            seen.setdefault(cause["fault"], Counter())[example] += 1
    return [
        {
            "says": _capital(count.fault),
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
        ("students", str(len(results.students))),
        ("marked", str(len(results.judged))),
        ("set aside", str(len(results.marked) - len(results.judged))),
        ("nothing handed in", str(len(results.missing))),
        ("answers awaiting review", str(open_answers)),
    ]
    if percents:
        facts += [
            ("mean score", _percent(mean(percents))),
            ("median score", _percent(median(percents))),
            (f"pass at {percent_text(results.sealed.cut_score)}", f"{passed} of {len(percents)}"),
        ]
    return [{"label": label, "value": value} for label, value in facts]


def _waiting(results: SetResults) -> Iterable[dict[str, str]]:
    for one in results.judged:
        for part in one.parts:
            if part.open:
                mark = part.mark
                typed = mark.typed if len(mark.typed) <= _TYPED_SHOWN else mark.typed[: _TYPED_SHOWN - 1] + "…"
                by_hand = "" if part.manual is None else " It has points given by hand; look whether they still fit."
                yield _name(one) | {
                    "problem": str(mark.slot),
                    "part": mark.part.replace("_", " "),
                    "message": f"{recorded_reason(mark.detail)}{by_hand}".strip(),
                    "typed": typed,
                }


def _student(results: SetResults, one: StudentResult) -> dict[str, str]:
    row = _name(one)
    if not one.parts:
        return row | {"points": "", "percent": "", "cut": "", "tone": "", "note": "nothing handed in"}
    notes = [
        f"notebook set aside{'' if one.open else ', ruled on'}" if one.aside else "",
        "answers await review" if one.open and not one.aside else "",
        *failures_in_words(results, one),
        f"{points_text(one.penalty)} points off for being late" if one.penalty else "",
        "points given by hand" if any(part.manual is not None for part in one.parts) else "",
    ]
    row |= {"points": points_text(one.earned), "note": ", ".join(filter(None, notes))}
    if one.aside and one.open:
        return row | {"percent": "", "cut": "… awaits review", "tone": "wait"}
    words, tone = STANDINGS[standing_of(results, one)]
    return row | {"percent": percent_text(results.percent(one)), "cut": words, "tone": tone}


def _rulings(results: SetResults) -> Iterable[str]:
    names = {one.pseudonym: f"{one.student.name} ({one.student.id})" for one in results.students}
    for ruling in results.rulings:
        who = f", {names.get(ruling.pseudonym, 'a former student')}" if ruling.pseudonym else ""
        day = said("ruling.day", at=ruling.at)
        yield (
            f"Ruling {ruling.number} of {day}, {sentence(ruled_on(ruling))}{who}: "
            f"{sentence(ruling_fact(ruling))} Reason: {ruling.reason}"
        )


def _reliability(results: SetResults, scores: list[list[float]]) -> str:
    alpha, error = cronbach_alpha(scores), standard_error_of_measurement(scores)
    if alpha is None or error is None:
        return ""
    of = len(results.sealed.slots) - len(results.left_out)
    return (
        f"Reliability (Cronbach's alpha over the problems) is {alpha:.2f}, and the standard error of a total is "
        f"{error:.2f} of {of} problems, about {100 * error / of:.0f} percentage points: a student within that of the "
        "cut score could as well have come out on its other side."
    )


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
    what = "credited to everyone" if ruling.kind == "credit" else "counts for nobody"
    return f"left out of the statistics: {what}, by ruling {ruling.number}"


def _discrimination(value: float | None, students: int) -> str:
    if value is None:
        return ""
    shown = f"{value:.2f}"
    # In a small class the number is chance for the most part; a word would make more of it than it is.
    return shown if students < SOME_USE else f"{shown} {discrimination_in_words(float(shown))}"


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
    return f"{first.fault} ({first.certain})" if first.certain else f"perhaps {first.fault} ({first.possible})"


def _notations(results: SetResults) -> list[dict[str, Any]]:
    from calclib.reading import notation_rules

    rules = notation_rules()
    counts = Counter(n["rule"] for one in results.judged for part in one.parts for n in part.mark.notices)
    rows = []
    for rule, count in counts.most_common():
        known = rules.get(rule)
        if known is not None:
            rows.append({"count": count, "says": known.says, "instead": known.instead, "source": known.source})
    return rows


def _shared(results: SetResults, pair: SharedNumbers) -> str:
    """Say what was seen, how likely it is by chance, and nothing of how it came about."""
    names = {one.student.id: f"{one.student.name} ({one.student.id})" for one in results.students}
    problems = ", ".join(str(problem) for problem, _ in pair.matches)
    return (
        f"{names[pair.student]}: wrong answers in problems {problems} are the right answers to the numbers of "
        f"{names[pair.other]}; {pair.of} problems have a wrong answer that no known mistake explains. "
        f"{_odds(pair.chance)}"
    )


def _odds(chance: float) -> str:
    classes = 1_000
    while classes < 1_000_000 and chance * classes * 10 < 1:
        classes *= 10
    return f"Among students who work alone this would be seen in fewer than one of {classes:,} classes of this size."


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


def _name(one: StudentResult) -> dict[str, str]:
    return {"name": one.student.name, "id": one.student.id}


def _worth(slot: Slot) -> Fraction:
    return sum(slot.points.values(), Fraction(0)) or Fraction(1)


def _percent(value: float) -> str:
    return percent_text(Fraction(value).limit_denominator(1000))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
