"""For faculty: how parallel a further attempt is to the first, place by place."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.gradebook.results import set_results
from calclib.pages.after_exam.plan_page import capital
from calclib.pages.templating import page
from calclib.quantity.writing import percent_text, write_number
from calclib.records.database import reading
from calclib.records.handed_out import latest_attempts
from calclib.releasing.erasing.erase import finish_erasure
from calclib.releasing.further_attempts.parallel import SlotCompared, compared_slots
from calclib.wording import fact, said

_FEWEST = 10
"""Of fewer students no share is told."""


def write_parallel(folder: Path, set_name: str) -> tuple[Path, tuple[SlotCompared, ...]]:
    """Write how parallel the last attempt that was given is to the first; return the page and what stands in it.

    Args:
        folder: The class folder.
        set_name: The set.

    Raises:
        BadInput: no such set, or nobody has a further attempt.
    """
    where = class_folder(folder)
    finish_erasure(where)
    found = parallel_values(where, set_name)
    path = where.path / "reports" / f"{set_name}.parallel-{found.values['attempt']}.html"
    replace_file(path, page("parallel.html", found.values))
    return path, found.slots


@dataclass(frozen=True)
class ParallelValues:
    """How parallel an attempt is: what stands in the gaps of the page, and the places that it tells of."""

    values: dict[str, Any]
    slots: tuple[SlotCompared, ...]


def parallel_values(where: ClassFolder, set_name: str) -> ParallelValues:
    """Return how parallel the last attempt that was given is to the first.

    Args:
        where: The class folder.
        set_name: The set.

    Raises:
        BadInput: no such set, or nobody has a further attempt.
    """
    sealed = set_results(where, set_name).sealed
    with reading(where) as connection:
        attempt = max(latest_attempts(connection, set_name).values(), default=1)
        if attempt == 1:
            raise BadInput(fact("errors_pages.no_further_attempt", name=set_name))
        slots = compared_slots(connection, sealed, attempt)
    same = sum(one.pairs == one.same_steps == one.same_conversions for one in slots)
    rows = [_row(one) for one in slots]
    values = {"title": sealed.title, "attempt": attempt, "rows": rows, "same": same, "of": len(slots)}
    return ParallelValues(values, slots)


def _row(one: SlotCompared) -> dict[str, Any]:
    few = one.marked < _FEWEST
    right = said("parallel.too_few") if few else said("parallel.of", count=one.right, of=one.marked)
    return {
        "number": one.slot.number,
        "skill": capital(one.slot.skill),
        "pairs": one.pairs,
        "steps": said("parallel.of", count=one.same_steps, of=one.pairs),
        "conversions": said("parallel.of", count=one.same_conversions, of=one.pairs),
        "traps": percent_text(100 * one.common_traps),
        "numbers": said("parallel.of", count=one.new_numbers, of=one.pairs),
        "story": said("parallel.of", count=one.new_story, of=one.pairs),
        "right": right,
        "measured": _measured(one),
        "replaced": one.pairs - one.same_model,
    }


def _measured(one: SlotCompared) -> str:
    """How hard the problems proved to be for the class: by how much they differ, and for how many that is known."""
    if not one.measured:
        return said("parallel.no_data")
    tenths = (abs(one.harder) * 20 + 1) // 2
    if not tenths:
        return said("parallel.as_hard", count=one.measured, of=one.pairs)
    points = write_number(Fraction(tenths, 10), 1)
    if one.harder > 0:
        return said("parallel.harder", points=points, count=one.measured, of=one.pairs)
    return said("parallel.easier", points=points, count=one.measured, of=one.pairs)
