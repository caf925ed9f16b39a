"""What a change of marks comes from, as facts for faculty."""

from __future__ import annotations

from fractions import Fraction

from calclib.judging_papers.change_causes import ChangeCause
from calclib.quantity.writing import percent_text
from calclib.wording import Fact, fact, of_kind


def cause_told(cause: ChangeCause) -> Fact:
    """Return what a change comes from: "ruling 3", "less is taken off for being late (20%, now 0%)"."""
    if cause.kind.value == "lateness":
        before, after = _percent(cause.late_before), _percent(cause.late_after)
        if cause.late_after < cause.late_before:
            return fact("change.less_for_being_late", before=before, after=after)
        return fact("change.more_for_being_late", before=before, after=after)
    if cause.kind.value == "rulings":
        made = fact("change.rulings_made", numbers=tuple(map(str, cause.made)))
        withdrawn = fact("change.rulings_withdrawn", numbers=tuple(map(str, cause.withdrawn)))
        if not cause.made or not cause.withdrawn:
            return made if cause.made else withdrawn
        return fact("change.rulings_made_and_withdrawn", made=made, withdrawn=withdrawn)
    if cause.kind.value == "other_attempt":
        return fact("change.other_attempt", keep=of_kind("keep", cause.keep))
    return of_kind("change", cause.kind.value)


def _percent(share: Fraction) -> str:
    return percent_text(100 * share)
