"""Which cell of a submitted notebook is the answer to which question."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from calclib.collecting.submitted_notebook import SubmittedNotebook
from calclib.gradebook.notebook import AnswerPlace
from calclib.judging_papers.left_blank.beside_source import PICTURE, notes_in
from calclib.judging_papers.left_blank.own_writing import lines_of_own, written_anywhere, written_near
from calclib.reading import BEHIND, CellText, Unread, read_answer_cell
from calclib.wording.facts import Fact, fact

_SHOWN = 400
# Cells of the student's own, in which an answer may stand that belongs elsewhere, are searched up to here.
_MOST_SEARCHED = 200_000
_DIGIT = re.compile(r"\d")


@dataclass(frozen=True)
class Typed:
    """The text of one answer; "" for nothing typed."""

    text: str


@dataclass(frozen=True)
class Unclear:
    """An answer that a person has to look at, with the reason and what stands there.

    Attributes:
        reason: Why.
        text: What stands there.
        missing: Whether its cell isn't there.
        error: The kind of error in this program that kept it from being read, "" for none.
    """

    reason: Fact
    text: str
    missing: bool = False
    error: str = ""


def bind_answers(
    notebook: SubmittedNotebook,
    places: Sequence[AnswerPlace],
    handed_out: Callable[[], frozenset[str] | None] = lambda: None,
) -> tuple[Typed | Unclear, ...]:
    """Return what stands in the answer cell of each place.

    A cell is known by the id that it was handed out with, wherever it stands now and whatever kind it was turned into.
    An answer that stands in another cell, in an added text or behind a # isn't taken for it, since that may be a
    draft; a person looks.

    Args:
        notebook: The notebook.
        places: The places of the answers.
        handed_out: Returns the lines of the cells that were handed out, which are none of the student's; asked for only
            where an answer is blank. None if they aren't known; the cells that were handed out aren't searched then.
    """
    known = lru_cache(maxsize=1)(handed_out)
    notes = lru_cache(maxsize=1)(lambda: notes_in(notebook))
    anywhere = lru_cache(maxsize=1)(lambda: written_anywhere(places, notebook, known(), notes()))
    lines = lru_cache(maxsize=1)(lambda: tuple(lines_of_own(notebook, known())))
    cells: dict[str, list[str]] = {place.answer_id: [] for place in places}
    for cell in notebook.cells:
        if cell.grade_id in cells:
            cells[cell.grade_id].append(cell.source)
    return tuple(
        _bound_or_unclear(
            place,
            cells[place.answer_id],
            notebook,
            lambda at: written_near(at, places, notebook, known(), notes(), lines(), anywhere),
        )
        for place in places
    )


def _bound_or_unclear(
    place: AnswerPlace, sources: list[str], notebook: SubmittedNotebook, near: Callable[[AnswerPlace], str]
) -> Typed | Unclear:
    try:
        return _bound(place, sources, notebook, near)
    except Exception as error:  # noqa: BLE001 - whatever one cell sets off, the others are marked
        kind = type(error).__name__
        return Unclear(fact("verdict.not_judged", error=kind), "\n".join(sources)[:_SHOWN], error=kind)


def _bound(
    place: AnswerPlace, sources: list[str], notebook: SubmittedNotebook, near: Callable[[AnswerPlace], str]
) -> Typed | Unclear:
    if not sources:
        elsewhere = _elsewhere(place, notebook)
        held = fact("cell.missing_another_holds", name=place.variable)
        return Unclear(held if elsewhere else fact("cell.missing"), elsewhere, missing=True)
    readings = [read_answer_cell(source, place.variable) for source in sources if source != place.blank]
    unread = [one for one in readings if isinstance(one, Unread)]
    if unread:
        return Unclear(unread[0].why, unread[0].text[:_SHOWN])
    # A cell that was copied or split has the same id twice; an empty copy says nothing.
    texts = {one.text.strip(): one.text for one in readings if isinstance(one, CellText) and one.text.strip()}
    if len(texts) > 1:
        return Unclear(fact("cell.twice"), " | ".join(texts)[:_SHOWN])
    if texts:
        return Typed(next(iter(texts.values())))
    behind = next((one.behind for one in readings if isinstance(one, CellText) and one.behind), "")
    if behind:
        return Unclear(BEHIND, f"# {behind}"[:_SHOWN])
    if elsewhere := _elsewhere(place, notebook):
        return Unclear(fact("cell.empty_another_holds", name=place.variable), elsewhere)
    written = near(place)
    if written and (beside := _text_beside(place, notebook)):
        return Unclear(fact("cell.empty_text_behind"), beside)
    if written == PICTURE:
        return Unclear(fact("cell.empty_picture"), written)
    if written:
        return Unclear(fact("cell.empty_written_near"), written)
    return Typed("")


@lru_cache(maxsize=1_000)
def _assigned(variable: str) -> re.Pattern[str]:
    return re.compile(rf"^[ \t]*{variable}[ \t]*=(?!=)", re.MULTILINE)


def _elsewhere(place: AnswerPlace, notebook: SubmittedNotebook) -> str:
    """Return what is typed under the answer's name in a cell that isn't its own, "" for nothing."""
    assigned = _assigned(place.variable)
    left = _MOST_SEARCHED
    for cell in notebook.cells:
        left -= len(cell.source)
        if left < 0:
            break
        if place.variable in cell.source and cell.grade_id != place.answer_id and assigned.search(cell.source):
            found = read_answer_cell(cell.source, place.variable)
            if isinstance(found, Unread) or found.text.strip():
                return found.text[:_SHOWN]
    return ""


def _text_beside(place: AnswerPlace, notebook: SubmittedNotebook) -> str:
    """Return the first text with a digit that the student added right behind the answer cell or its check cell."""
    ours = place.answer_id.removesuffix("-answer").removesuffix(f"-q{place.slot}-{place.part}")
    ours = ours if ours != place.answer_id else place.answer_id.rpartition("-")[0]
    near = False
    for cell in notebook.cells:
        if cell.grade_id.startswith(f"{ours}-"):
            near = cell.grade_id in (place.answer_id, place.check_id)
        elif near and cell.kind in ("markdown", "raw") and _DIGIT.search(cell.source):
            return cell.source.strip()[:_SHOWN]
    return ""
