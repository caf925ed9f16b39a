"""The table of problems, the choices that were picked, and how sure scores and decisions are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from calclib.analysis.choices import Distractor
from calclib.analysis.cut_decisions import CutDecisions, cut_decisions
from calclib.analysis.faults import fault_counts
from calclib.analysis.item_statistics import (
    SOME_USE,
    ItemStatistics,
    cronbach_alpha,
    discrimination_told,
    item_statistics,
    standard_error_of_measurement,
)
from calclib.analysis.problems import Problem
from calclib.gradebook.results import SetResults
from calclib.pages.report.answers import stands_right
from calclib.pages.report.titles import title_of
from calclib.records import Ruling, Slot
from calclib.wording import Fact, fact, said


def item_shares(results: SetResults, students: Mapping[str, Sequence[Problem]]) -> list[list[Fraction]]:
    """Return, for each student, the share of the points of each problem that says something.

    Args:
        results: The results of the set.
        students: What each student did, by id.
    """
    numbers = [slot.number for slot in results.sealed.slots if slot.number not in results.left_out]
    each = ({one.slot: one.share for one in problems} for problems in students.values())
    return [[shares.get(number, Fraction(0)) for number in numbers] for shares in each]


def statistics_by_problem(results: SetResults, shares: Sequence[Sequence[Fraction]]) -> Mapping[int, ItemStatistics]:
    """Return the statistics of each problem that says something, by its number."""
    numbers = [slot.number for slot in results.sealed.slots if slot.number not in results.left_out]
    return dict(zip(numbers, item_statistics(shares), strict=False))


def sureness(results: SetResults, shares: Sequence[Sequence[Fraction]]) -> list[str]:
    """Return how sure scores are, and decisions at the cut score; or that the class is too small to say.

    Args:
        results: The results of the set.
        shares: Of each student, as of `item_shares`.
    """
    if not shares or len(shares[0]) < 2:
        return []
    if len(shares) < SOME_USE:
        return [said("report.sure_few", students=len(shares), least=SOME_USE)]
    alpha, error = cronbach_alpha(shares), standard_error_of_measurement(shares)
    if alpha is None or error is None:
        return [said("report.sure_alike")]
    of = len(shares[0])
    shown, percent = f"{float(alpha):.2f}", f"{100 * error / of:.0f}"
    told = [said("report.reliability", alpha=shown, error=f"{error:.2f}", of=of, percent=percent)]
    totals = [sum(row, Fraction(0)) / of for row in shares]
    decided = cut_decisions(totals, results.sealed.cut_score / 100, alpha)
    return [*told, said("report.decided_alike_unknown") if decided is None else _decided(decided)]


def _decided(one: CutDecisions) -> str:
    shares = (one.consistency, one.passed_wrongly, one.failed_wrongly)
    alike, passed, failed = (f"{100 * share:.0f}%" for share in shares)
    return said("report.decided_alike", alike=alike, passed=passed, failed=failed)


def problem_rows(results: SetResults, statistics: Mapping[int, ItemStatistics]) -> list[dict[str, Any]]:
    """Return the rows of the table of problems.

    Args:
        results: The results of the set.
        statistics: Of each problem, by its number.
    """
    rows: list[dict[str, Any]] = []
    for slot in results.sealed.slots:
        row: dict[str, Any] = {"number": slot.number, "title": title_of(slot), "left_out": ""}
        ruling = results.left_out.get(slot.number)
        if ruling is not None:
            rows.append(row | {"left_out": _left_out(ruling)})
            continue
        here = statistics.get(slot.number)
        right, of = right_of(results, slot)
        row |= {"right": said("report.of", count=right, of=of), "link": f"#problem-{slot.number}"}
        row |= {"difficulty": f"{float(here.difficulty):.2f}" if here else ""}
        rows.append(row | {"discrimination": _discrimination(here), "cause": _commonest(results, slot)})
    return rows


def right_of(results: SetResults, slot: Slot) -> tuple[int, int]:
    """Return how many students have every part of a problem right, and how many there are."""
    right = sum(
        all(stands_right(part) for part in one.parts if part.mark.slot == slot.number) for one in results.judged
    )
    return right, len(results.judged)


def choice_lines(results: SetResults, found: Iterable[Distractor]) -> list[str]:
    """Return how often each wrong choice was picked, a line for each part that asks for one.

    Args:
        results: The results of the set.
        found: The choices, the most tempting of a part first.
    """
    slots = {slot.number: slot for slot in results.sealed.slots}
    by_part: dict[tuple[int, str], list[Fact]] = {}
    for one in found:
        told = fact("report.picked", choice=one.choice, count=one.picked, of=one.of)
        by_part.setdefault((one.slot, one.part), []).append(told)
    return [
        said("report.choices_of", place=slots[slot].place(part), part=slots[slot].words(part), choices=tuple(told))
        for (slot, part), told in by_part.items()
    ]


def _left_out(ruling: Ruling) -> str:
    return said("report.left_out_credited" if ruling.kind == "credit" else "report.left_out_void", number=ruling.number)


def _discrimination(one: ItemStatistics | None) -> str:
    if one is None or one.discrimination is None:
        return ""
    if one.students < SOME_USE:
        return said("report.too_few")
    shown = f"{one.discrimination:.2f}"
    return said("report.discrimination_value", value=shown, word=discrimination_told(float(shown)))


def _commonest(results: SetResults, slot: Slot) -> str:
    causes = [p.mark.causes for one in results.judged for p in one.parts if p.mark.slot == slot.number]
    counts = fault_counts(filter(None, causes))
    if not counts:
        return ""
    first = counts[0]
    count = first.certain or first.possible
    return said("report.cause" if first.certain else "report.cause_perhaps", fault=first.name, count=count)
