"""What a class report says of decisions about orders."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from calclib.analysis.decisions import DecisionCounts
from calclib.wording import fact, sentence


def decision_lines(counts: DecisionCounts) -> Iterator[str]:
    """Yield how many sound orders were refused and how many unsound ones given, by reason.

    Args:
        counts: How the class decided.
    """
    if counts.sound:
        yield _line("refused", counts.refused, counts.sound)
    if counts.unsound:
        yield _line("given", counts.given, counts.unsound)


def _line(what: str, by_reason: Counter[str], of: int) -> str:
    count = by_reason.total()
    named = tuple(
        fact("decision.counted", label=reason, count=number) for reason, number in by_reason.most_common() if reason
    )
    if what == "refused":
        told = fact("decision.refused_by_reason", count=count, of=of, reasons=named)
        return sentence(told if named else fact("decision.refused", count=count, of=of))
    told = fact("decision.given_by_reason", count=count, of=of, reasons=named)
    return sentence(told if named else fact("decision.given", count=count, of=of))
