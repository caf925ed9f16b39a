"""Who passed and who did not: the first thing that the class report says."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calclib.analysis.item_statistics import mean, median
from calclib.gradebook.attempt_results import AttemptResult
from calclib.gradebook.results import SetResults
from calclib.gradebook.standing import Standing, standing_of
from calclib.pages.class_standings import cut_sentence
from calclib.quantity.writing import percent_text
from calclib.wording import said


def passed(results: SetResults, attempts: Mapping[str, tuple[AttemptResult, ...]]) -> dict[str, Any]:
    """Return the first figure, the pass rate of each attempt, and in a sentence who doesn't pass.

    Args:
        results: The results of the set.
        attempts: Every marked attempt, by the id of the student.
    """
    cut = percent_text(results.sealed.cut_score)
    count = sum(standing_of(results, one) is Standing.PASSES for one in results.judged)
    figure = said("report.of", count=count, of=len(results.judged)) if results.judged else ""
    return {
        "figure": figure,
        "says": said("report.pass", cut=cut),
        "by_attempt": [
            said("report.by_attempt", number=number, count=passing, of=of)
            for number, (passing, of) in passes_by_attempt(attempts).items()
        ],
        "sentence": cut_sentence(results),
    }


def passes_by_attempt(attempts: Mapping[str, tuple[AttemptResult, ...]]) -> dict[int, tuple[int, int]]:
    """Return how many pass by each attempt, and of how many it is marked and decided; nothing for a single attempt."""
    found: dict[int, tuple[int, int]] = {}
    for every in attempts.values():
        for one in every:
            passing, of = found.get(one.attempt, (0, 0))
            if one.standing is not Standing.UNDECIDED:
                found[one.attempt] = (passing + (one.standing is Standing.PASSES), of + 1)
    return dict(sorted(found.items())) if len(found) > 1 else {}


def figures(results: SetResults) -> list[dict[str, str]]:
    """Return the smaller figures: students, notebooks, mean and median score."""
    percents = [results.percent(one) for one in results.judged]
    open_answers = sum(part.open for one in results.judged for part in one.parts)
    facts = [
        (said("report.students"), str(len(results.students))),
        (said("report.marked"), str(len(results.judged))),
        (said("report.set_aside"), str(len(results.marked) - len(results.judged))),
        (said("report.nothing_handed_in"), str(len(results.missing))),
        (said("report.awaiting_review"), str(open_answers)),
    ]
    if percents:
        facts += [
            (said("report.mean_score"), percent_text(mean(percents))),
            (said("report.median_score"), percent_text(median(percents))),
        ]
    return [{"label": label, "value": value} for label, value in facts]
