"""Which cell of a submitted notebook is the answer to which question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calclib.nbgrading.notebook import AnswerPlace
from calclib.nbgrading.submitted_notebook import SubmittedNotebook
from calclib.reading import CellText, Unread, read_answer_cell

_SHOWN = 400


@dataclass(frozen=True)
class Typed:
    """The text of one answer; "" for nothing typed."""

    text: str


@dataclass(frozen=True)
class Unclear:
    """An answer that a person has to look at, with the reason and what stands there."""

    reason: str
    text: str
    missing: bool = False


def bind_answers(notebook: SubmittedNotebook, places: Sequence[AnswerPlace]) -> tuple[Typed | Unclear, ...]:
    """Return what stands in the answer cell of each place.

    A cell is known by the id that it was handed out with, wherever it stands now and whatever kind it was turned into.
    """
    cells: dict[str, list[str]] = {}
    loose: list[str] = []
    ids = {place.answer_id for place in places}
    for cell in notebook.cells:
        if cell.grade_id in ids:
            cells.setdefault(cell.grade_id, []).append(cell.source)
        elif cell.kind == "code" and not cell.grade_id.endswith("-check"):
            loose.append(cell.source)
    return tuple(_bound(place, cells.get(place.answer_id, []), loose) for place in places)


def _bound(place: AnswerPlace, sources: list[str], loose: list[str]) -> Typed | Unclear:
    if not sources:
        return _without_cell(place, loose)
    readings = [read_answer_cell(source, place.variable) for source in sources]
    unread = [one for one in readings if isinstance(one, Unread)]
    if unread:
        return Unclear(unread[0].reason, unread[0].text[:_SHOWN])
    # A cell that was copied or split has the same id twice; an empty copy says nothing.
    texts = {one.text.strip(): one.text for one in readings if isinstance(one, CellText) and one.text.strip()}
    if len(texts) > 1:
        return Unclear("The answer cell is there twice, with different answers.", " | ".join(texts)[:_SHOWN])
    return Typed(next(iter(texts.values()), ""))


def _without_cell(place: AnswerPlace, loose: list[str]) -> Unclear:
    elsewhere = [source for source in loose if place.variable in source]
    if elsewhere:
        reason = f"The answer cell is missing; another cell speaks of {place.variable}."
        return Unclear(reason, elsewhere[0][:_SHOWN], missing=True)
    return Unclear("The answer cell is missing.", "", missing=True)
