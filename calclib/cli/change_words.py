"""What a change of marks comes from, in words for faculty."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING

from calclib.quantity.writing import percent_text

if TYPE_CHECKING:
    from calclib.judging_papers.change_causes import ChangeCause


def causes_in_words(causes: Iterable[ChangeCause]) -> str:
    """Return what a change comes from: "ruling 3; less is taken off for being late (20%, now 0%)"."""
    return "; ".join(_in_words(cause) for cause in causes)


def _in_words(cause: ChangeCause) -> str:
    kind = cause.kind.value
    if kind == "lateness":
        less = "less" if cause.late_after < cause.late_before else "more"
        was, now = _percent(cause.late_before), _percent(cause.late_after)
        return f"{less} is taken off for being late ({was} before, now {now}), by another due time or late rule"
    if kind == "cut score":
        return "the cut score changed"
    if kind == "rulings":
        made = f"ruling{'' if len(cause.made) == 1 else 's'} {_listed(cause.made)}" if cause.made else ""
        gone = f"{_listed(cause.withdrawn)} withdrawn" if cause.withdrawn else ""
        return ", ".join(filter(None, (made, gone and f"ruling {gone}")))
    return {
        "other attempt": f"another attempt counts now ({cause.keep} of all)",
        "hand-in": "a ruling takes another hand-in",
        "program": "another version of this program marks it",
        "recorded otherwise": "what was recorded before differs from what this marking finds",
    }[kind]


def _listed(numbers: tuple[int, ...]) -> str:
    return ", ".join(map(str, numbers))


def _percent(share: Fraction) -> str:
    return percent_text(100 * share)
