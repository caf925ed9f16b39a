"""What the check cell of an open practice set does: it judges the answer and explains, as the practice box does.

The notebook holds no key: the problem is drawn again from the set's name and the problem's number.
"""

from __future__ import annotations

import os
import textwrap
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from calclib.errors import BadInput, CalclibError
from calclib.gradebook.notebook import text_digest
from calclib.memory import kept_in, practice_file, with_problem_of_set
from calclib.quantity.writing import write_unit
from calclib.reading import Blank, CellText, Reading, Unread, answer_in
from calclib.reading.check_cells import of_red_text, read_as, without_answer
from calclib.releasing.practice_set import practice_items, practice_sets
from calclib.wording import fact, said
from calclib.wording.messages import message

if TYPE_CHECKING:
    from calclib.answers import PartVerdict
    from calclib.items import Item

LONGEST_LINE = 85
RUNGS = 3
"""Hints of a part; the wrong answer after the last of them brings the worked solution."""
CARRIED = "carried_forward"
_wrong: dict[tuple[str, int, str], list[str]] = {}
"""The different wrong answers so far in this kernel, by set, problem and part."""


class NotRightYet(Exception):
    """nbgrader's Validate asks whether an answer passes, and it doesn't; the words say why."""

    def _render_traceback_(self) -> list[str]:
        # Jupyter asks for this in place of a traceback, which says nothing to a student.
        return [str(self)]


def check_answer(
    set_name: str, number: int, part: str, *, text: str = "", history: Sequence[str] | None = None
) -> float | None:
    """Print the verdict on an answer of a practice set, what it may come from, and a hint if it isn't right.

    Each different wrong answer brings the next of three hints, and then the worked solution.

    Args:
        set_name: Name of the practice set.
        number: The problem, from 1.
        part: Name of the part.
        text: The digest of the problem's text in the notebook; what was drawn by another version isn't judged.
        history: The cells that were run, latest last; by default those of the notebook.

    Returns:
        None, so that nothing but the text shows. Where nbgrader runs the notebook to grade it, the points.

    Raises:
        NotRightYet: nbgrader validates the notebook and the answer isn't right, or it is of another version.
        BadInput: there is no such set, problem or part.
    """
    items = practice_items(set_name)
    item = _problem(items, set_name, number)
    doing = os.environ.get("NBGRADER_EXECUTION")
    if text and text != text_digest(item.stem, item.part(part).asked):
        if doing:
            raise NotRightYet(said("check_cell.other_version"))
        print(said("check_cell.other_version"))  # noqa: T201 - what the cell is for
        return None
    found = answer_in(_variable(items, number, part), history)
    others = {
        one.name: answer_in(_variable(items, number, one.name), history) for one in item.parts if one.name != part
    }
    verdicts = judged(set_name, item, {**others, part: found})
    verdict = verdicts[part]
    if doing == "autograde":
        return float(verdict.score * item.part(part).points)
    lines = told_of_answer(item, verdict, found, _variable(items, number, part))
    if doing == "validate":
        if not solved(verdict):
            raise NotRightYet(in_short_lines(lines))
        return None
    lines += next_help(item, verdict, (set_name, number, part))
    lines += [_remembered(set_name, items, number, verdicts, part), of_red_text() if history is None else ""]
    print(in_short_lines([line for line in lines if line]))  # noqa: T201 - what the cell is for
    return None


def judged(set_name: str, item: Item, found: Mapping[str, CellText | Unread | None]) -> dict[str, PartVerdict]:
    """Return the verdict on each answer of a problem of a practice set; a later part may follow from an earlier answer.

    Args:
        set_name: Name of the practice set.
        item: The problem.
        found: What stands in the cells of its answers, by part.
    """
    from calclib.answers import carried_from, judge_item, marking_policy
    from calclib.models import item_model
    from calclib.quantity import rounding_policy

    texts = {part: one.text if isinstance(one, CellText) else "" for part, one in found.items()}
    carried = carried_from(item, item_model(item.model_id), rounding_policy(item.policy_name))
    verdicts = judge_item(item, texts, marking_policy(practice_sets()[set_name].marking), carried=carried)
    return {verdict.part: verdict for verdict in verdicts}


def solved(verdict: PartVerdict) -> bool:
    """Return whether nothing more is to be done: it is right, or follows rightly from an earlier answer that isn't."""
    return verdict.right or verdict.verdict == CARRIED


def _remembered(
    set_name: str, items: Sequence[Item], number: int, verdicts: Mapping[str, PartVerdict], part: str
) -> str:
    """Keep in the student's own file how a problem went, once; return what is to be said of the file.

    It went wrong with the first answer that isn't right, for that brings a hint; it went well when all of it is right.
    """
    item = items[number - 1]
    wrong = isinstance(verdicts[part].reading, Reading) and not solved(verdicts[part])
    if not wrong and not all(map(solved, verdicts.values())):
        return ""
    now = datetime.now(UTC)
    problem = f"{set_name}/{number}/{text_digest(item.stem, '')}"
    try:
        return kept_in(
            practice_file(),
            lambda memory: with_problem_of_set(
                memory, problem, item.model_id, at=now, day=now.astimezone().date(), unaided=not wrong
            ),
        ).notice
    except CalclibError as error:
        return str(error)


def _problem(items: Sequence[Item], set_name: str, number: int) -> Item:
    if not 1 <= number <= len(items):
        raise BadInput(fact("errors_plugins.no_problem_of_practice", name=set_name, problem=number, most=len(items)))
    return items[number - 1]


def _variable(items: Sequence[Item], number: int, part: str) -> str:
    """The name to which the answer is assigned: answers are counted through the whole set."""
    before = sum(len(item.parts) for item in items[: number - 1])
    items[number - 1].part(part)  # refuses a part that isn't there
    names = [one.name for one in items[number - 1].parts]
    return f"answer_{before + names.index(part) + 1}"


def in_short_lines(lines: Sequence[str]) -> str:
    """Return the lines as they are printed: a notebook breaks long ones within a word, and Validate cuts them."""
    short = (textwrap.wrap(line, LONGEST_LINE, break_long_words=False, break_on_hyphens=False) for line in lines)
    return "\n".join(piece for pieces in short for piece in pieces)


def told_of_answer(item: Item, verdict: PartVerdict, found: CellText | Unread | None, variable: str) -> list[str]:
    """Return how the answer was read, whether it is right, and what is said of it."""
    if (nothing := without_answer(found, variable)) is not None:
        return [nothing]
    reading = verdict.reading
    if isinstance(reading, Blank):
        return [said("check_cell.no_answer_yet")]
    if isinstance(reading, Unread):
        return [said("check_cell.not_read", why=reading.why)]
    asked = item.part(verdict.part).unit
    shown = read_as(reading, write_unit(asked) if asked else asked)
    if verdict.right:
        rest = message([one for one in verdict.told if one != fact("verdict.right")])
        return [shown, said("check_cell.right"), *([rest] if rest else [])]
    if verdict.verdict == CARRIED:
        return [shown, said("practice.right_carried"), verdict.message]
    return [shown, said("check_cell.not_right"), verdict.message, *_run(item, verdict.part, reading)]


def _run(item: Item, part: str, reading: Reading) -> list[str]:
    """What the infusion would do at a wrong number, as far as the stem alone tells it."""
    from calclib.answers import run_of, run_words

    run = None if reading.value is None else run_of(item, part, reading.value, reading.unit, final=False)
    return [] if run is None else [run_words(run, reading.shown)]


def next_help(item: Item, verdict: PartVerdict, place: tuple[str, int, str]) -> list[str]:
    """Return the next hint for a wrong answer, or the worked solution."""
    from calclib.answers import hint, worked

    if solved(verdict) or not isinstance(verdict.reading, Reading):
        return []
    tries = _wrong.setdefault(place, [])
    if verdict.reading.shown not in tries:
        tries.append(verdict.reading.shown)
    rung = len(tries)
    if rung > RUNGS:
        return [said("check_cell.worked"), *worked(item, verdict.part).split("\n")]
    return [said("check_cell.hint", rung=rung, of=RUNGS), *hint(item, verdict.part, rung, verdict=verdict).split("\n")]
