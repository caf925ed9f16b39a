"""The demo's results as a short table for a terminal."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from calclib.analysis import fault_counts, mean, median
from calclib.demo.run import DemoSummary, percent
from calclib.errors.printed_command import printed_command
from calclib.gradebook import SetResults
from calclib.gradebook.standing import Standing, standing_of
from calclib.quantity.writing import percent_text
from calclib.wording import said

SHOWN = 5


def summary_lines(summary: DemoSummary) -> tuple[str, ...]:
    """Return the lines that the demo prints: scores, hardest problems, commonest mistakes, planted and named."""
    results = summary.results
    return (
        *_scores(results),
        *([said("demo.retested", count=summary.retested)] if summary.retested else []),
        "",
        said("demo.hardest"),
        *_hardest(results),
        "",
        said("demo.commonest"),
        *_mistakes(results),
        "",
        *_naming(summary),
    )


def file_lines(summary: DemoSummary) -> tuple[str, ...]:
    """Return the lines that name the files to open."""
    lines = [
        said("demo.open_next"),
        said("demo.report", file=str(summary.report)),
        said("demo.feedback", file=str(summary.feedback)),
        said("demo.notebook", file=str(summary.notebook)),
    ]
    if summary.plan is not None:
        lines.append(said("demo.plans", file=str(summary.plans)))
        lines.append(said("demo.plan", file=str(summary.plan)))
    lines.append(said("demo.desk", command=printed_command("desk", summary.folder)))
    return tuple(lines)


def _scores(results: SetResults) -> list[str]:
    scores = [results.percent(one) for one in results.judged]
    passed = sum(standing_of(results, one) is Standing.PASSES for one in results.judged)
    title, missing = results.sealed.title, len(results.missing)
    lines = [said("demo.marked", title=title, count=len(results.judged), missing=missing)]
    if scores:
        middle, half = (percent_text(one) for one in (mean(scores), median(scores)))
        lines.append(
            said(
                "demo.scores",
                mean=middle,
                median=half,
                least=percent_text(min(scores)),
                most=percent_text(max(scores)),
                passed=passed,
                cut=percent_text(results.sealed.cut_score),
            )
        )
    return lines


def _hardest(results: SetResults) -> list[str]:
    tried: Counter[int] = Counter()
    right: Counter[int] = Counter()
    for one in results.judged:
        for number in {part.mark.slot for part in one.parts}:
            tried[number] += 1
            right[number] += all(part.mark.right for part in one.parts if part.mark.slot == number)
    titles = {slot.number: slot.title for slot in results.sealed.slots}
    order = sorted(tried, key=lambda number: Fraction(right[number], tried[number]))
    return [f"  {titles[n][:44]:44} {right[n]:3} of {tried[n]:3}" for n in order[:SHOWN]]


def _mistakes(results: SetResults) -> list[str]:
    causes = [part.mark.causes for one in results.judged for part in one.parts if not part.mark.right]
    return [f"  {one.name[:33]:33} {one.certain:8} {one.possible:10}" for one in fault_counts(causes)[:SHOWN]]


def _naming(summary: DemoSummary) -> list[str]:
    quality, kinds = summary.quality, summary.planted
    wrong, carried, blank = (kinds.get(kind, 0) for kind in ("error", "carried", "blank"))
    writing = sum(kinds.get(kind, 0) for kind in ("notation", "unit", "unread"))
    return [
        said("demo.planted", wrong=wrong, single=quality.single),
        said("demo.planted_more", carried=carried, writing=writing, blank=blank),
        said("demo.from_submissions"),
        said("demo.named", percent=percent(quality.recall), count=quality.found, of=quality.single),
        said("demo.true", percent=percent(quality.precision), count=quality.true, of=quality.certain),
        said("demo.refused", count=quality.refused, of=quality.sound),
    ]
