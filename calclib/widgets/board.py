"""A worked example on a board: whole, with one gap, with two, or empty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from calclib.lessons.boards import ANSWER, METHOD_NAMES, Board, Gaps
from calclib.lessons.pieces import AMOUNT
from calclib.widgets.lesson_widget import ANSWERS_TO_HELP, LessonWidget, drawings_of, verdict_told
from calclib.wording import Fact, fact, said, sentence

FULL = fact("practice.board_complete")


def worked_example(model_id: str, *, gaps: Gaps = 0, method: str = "factors", **given: str) -> BoardBox:
    """A worked example of a kind of problem, set as arithmetic on a board.

    Args:
        model_id: The item model.
        gaps: 0 for the whole example; 1 or 2 for as many gaps; “all” for an empty board.
        method: The method that is shown first: factors, ratio or formula. A student may switch.
        given: The numbers, by the names of the model's givens.

    Raises:
        BadInput: There is no such model, or its numbers don't fit.
    """
    return BoardBox(Board(model_id, given, gaps), method)


class BoardBox(LessonWidget):
    """A board and what is told of what was typed into it."""

    stands = fact("asleep.board")

    def __init__(self, board: Board, method: str) -> None:
        self.board = board
        self.wrong = 0
        boards = {name: [asdict(part) for part in board.parts(name)] for name in METHOD_NAMES}
        shown = {
            "kind": "board",
            "stem": board.item.stem.split("\n\n"),
            "drawings": drawings_of(board.item),
            "methods": METHOD_NAMES,
            "method": method if method in METHOD_NAMES else "factors",
            "boards": boards,
            "asks": board.gaps != 0,
        }
        super().__init__(shown)

    def tell(self, content: Mapping[str, Any]) -> dict[str, Any]:
        """Return what is told of the gaps as they are filled, and the whole board once they are right or given up."""
        if content.get("show") and self.wrong >= ANSWERS_TO_HELP:
            return {"found": [], "whole": self._whole()}
        typed = {str(key): str(value) for key, value in dict(content.get("typed") or {}).items()}
        method = str(content.get("method"))
        found = self._blank(typed) if self.board.gaps == "all" else self._gaps(typed, method)
        if all(one["right"] for one in found):
            return {"found": [*found, {"right": True, "head": sentence(FULL), "lines": []}], "whole": self._whole()}
        self.wrong += 1
        return {"found": found, "offers": self.wrong >= ANSWERS_TO_HELP}

    def _gaps(self, typed: Mapping[str, str], method: str) -> list[dict[str, Any]]:
        found = []
        if self.board.gaps == 2 and self.board.amount_gap(method) is not None:
            found.append(
                _named(fact("practice.number_in_setup"), self.board.amount_judged(method, typed.get(AMOUNT, "")))
            )
        answer = self.board.judged(self.board.asked[-1].name, typed.get(ANSWER, ""))
        return [*found, _named(fact("practice.the_answer"), answer)]

    def _blank(self, typed: Mapping[str, str]) -> list[dict[str, Any]]:
        found = []
        several = len(self.board.asked) > 1
        for part in self.board.asked:
            verdict = self.board.judged(part.name, typed.get(f"{part.name}/answer", ""))
            told = _named(part.asked if several else fact("practice.the_answer"), verdict)
            setup = typed.get(f"{part.name}/setup", "").strip()
            if setup and part.kind == "quantity":
                judged = self.board.setup_judged(part.name, setup)
                told["lines"] = [*told["lines"], said("practice.your_setup", told=judged)]
            found.append(told)
        return found

    def _whole(self) -> dict[str, list[dict[str, Any]]]:
        return {name: [asdict(part) for part in self.board.parts(name, filled=True)] for name in METHOD_NAMES}


def _named(what: str | Fact, verdict: Any) -> dict[str, Any]:
    told = verdict_told(verdict)
    return {**told, "head": said("practice.head_of", what=what, head=told["head"])}
