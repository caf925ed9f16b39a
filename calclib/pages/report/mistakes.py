"""The mistakes of a class, the commonest first, and its unsafe notation."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from calclib.analysis.faults import fault_counts
from calclib.gradebook.results import SetResults
from calclib.wording import fact_from_record, said


def fault_rows(results: SetResults, behind: Mapping[str, Sequence[Mapping[str, str]]]) -> list[dict[str, Any]]:
    """Return the mistakes of the class, the commonest first, each with what it was most often, and where.

    Args:
        results: The results of the set.
        behind: The answers that each kind of mistake may explain.
    """
    slots = {slot.number: slot for slot in results.sealed.slots}
    wrong = [
        (part.mark, slots[part.mark.slot].of_attempt(one.pseudonym, one.attempt).title)
        for one in results.judged
        for part in one.parts
        if part.mark.causes
    ]
    seen: dict[str, Counter[str]] = {}
    for mark, title in wrong:
        for cause in mark.causes:
            clause = fact_from_record(cause["what"])
            example = said("report.mistake_example", clause=clause, title=title)
            seen.setdefault(cause["fault"], Counter())[example] += 1
    return [
        {
            "says": count.name[:1].upper() + count.name[1:],
            "example": seen[count.fault].most_common(1)[0][0],
            "certain": count.certain,
            "possible": count.possible,
            "answers": behind.get(count.fault, ()),
            "number": number,
        }
        for number, count in enumerate(fault_counts(mark.causes for mark, _ in wrong), start=1)
    ]


def notations(results: SetResults) -> list[dict[str, Any]]:
    """Return the unsafe ways of writing that the class used, the commonest first, each with its source."""
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
