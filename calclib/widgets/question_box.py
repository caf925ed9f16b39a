"""A question of a lesson: it is answered first, and explained then."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from calclib.lessons import Lesson, Question, lesson
from calclib.widgets.lesson_widget import ANSWERS_TO_HELP, LessonWidget, drawings_of, verdict_told
from calclib.wording import fact, said

if TYPE_CHECKING:
    from calclib.items import Item


def question(of_lesson: str, name: str) -> QuestionBox:
    """A question of a lesson.

    Args:
        of_lesson: The lesson's name, such as “measures”.
        name: The question's name.

    Raises:
        BadInput: There is no such lesson or question.
    """
    return QuestionBox(lesson(of_lesson), name)


class QuestionBox(LessonWidget):
    """A question, the answer that was given, and what is told of it."""

    stands = fact("asleep.question")

    def __init__(self, of_lesson: Lesson, name: str) -> None:
        self.lesson, self.question = of_lesson, of_lesson.question(name)
        self.item: Item | None = None
        self.wrong = 0
        if self.question.problem is not None:
            from calclib.items import draw_item
            from calclib.models import item_model

            problem = self.question.problem
            self.item = draw_item(item_model(problem.model), secrets.token_hex(8), given=dict(problem.given))
        super().__init__(self._shown(self.question))

    def tell(self, content: Mapping[str, Any]) -> dict[str, Any]:
        """Return what is told of an answer; its explanation once it is right, or when it is asked for after tries."""
        if content.get("show") and self.wrong >= ANSWERS_TO_HELP:
            return {
                "right": True,
                "head": said("practice.how_it_goes"),
                "lines": self._way(),
                "place": None,
                **self._explained(),
            }
        answer = str(content.get("answer", ""))
        told = self._judged(answer) if self.question.problem is not None else self._chosen(answer)
        if told["right"]:
            return {**told, **self._explained()}
        self.wrong += bool(told["counts"])
        return {**told, "offers": self.wrong >= ANSWERS_TO_HELP}

    def _chosen(self, answer: str) -> dict[str, Any]:
        choices = self.question.choices
        if not answer.isdecimal() or int(answer) >= len(choices):
            return _nothing_chosen()
        chosen = choices[int(answer)]
        head = said("check_cell.right" if chosen.right else "check_cell.not_right")
        return {"right": chosen.right, "head": head, "lines": [chosen.why], "place": int(answer), "counts": True}

    def _judged(self, answer: str) -> dict[str, Any]:
        """What a problem's judge says: of a number that was typed, or of an answer that was chosen by its place."""
        from calclib.answers import judge_item, marking_policy

        assert self.item is not None
        place, choices = None, self.item.part(self._part).choices
        if choices:
            if not answer.isdecimal() or int(answer) >= len(choices):
                return _nothing_chosen()
            place = int(answer)
            answer = choices[place]
        found = judge_item(self.item, {self._part: answer}, marking_policy("first-practice"))
        verdict = next(one for one in found if one.part == self._part)
        told = verdict_told(verdict, chosen=bool(choices))
        return {**told, "place": place, "counts": verdict.verdict not in ("blank", "unread", "not_judged")}

    def _way(self) -> list[str]:
        """The right choice with its reason, or the worked solution."""
        if self.item is None:
            return [
                said("practice.choice_and_why", choice=one.says, why=one.why)
                for one in self.question.choices
                if one.right
            ]
        from calclib.answers import worked

        return worked(self.item, self._part).split("\n")

    def _explained(self) -> dict[str, Any]:
        explained: dict[str, Any] = {"explains": list(self.question.explains)}
        if self.question.shows:
            from calclib.plots import infusion_plot
            from calclib.timeline import infusion_timeline

            shown = self.lesson.infusions[self.question.shows]
            explained["picture"] = infusion_plot(infusion_timeline(shown.hanging, until=shown.until))._repr_html_()
        return explained

    @property
    def _part(self) -> str:
        assert self.item is not None and self.question.problem is not None
        return self.question.problem.part or self.item.parts[0].name

    def _shown(self, asked: Question) -> dict[str, Any]:
        shown: dict[str, Any] = {
            "kind": "question",
            "ask": list(asked.ask),
            "choices": [one.says for one in asked.choices],
        }
        if self.item is None or asked.problem is None:
            return shown
        part = self.item.part(self._part)
        shown["ask"] = [*asked.ask] or [part.asked]
        shown["stem"] = self.item.stem.split("\n\n") if asked.problem.with_stem else []
        shown["choices"] = list(part.choices)
        shown |= {"rule": part.rule_text, "unit": bool(part.unit), "drawings": drawings_of(self.item)}
        return shown


def _nothing_chosen() -> dict[str, Any]:
    return {"right": False, "head": said("practice.choose_first"), "lines": [], "place": None, "counts": False}
