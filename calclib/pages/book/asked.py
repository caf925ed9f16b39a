"""What a lesson asks, for a page: its questions, and of each kind that it practices one problem, with the answers."""

from __future__ import annotations

from string import ascii_uppercase
from typing import Any

from calclib.items.drawing import draw_item
from calclib.items.item import Item, ItemPart
from calclib.items.solution import Solution, solution_of
from calclib.lessons.records import Drawn, Lesson, Question
from calclib.models.bank import item_model
from calclib.pages.templating import pictures_of
from calclib.plots import infusion_plot
from calclib.timeline import infusion_timeline


def shown_question(of_lesson: Lesson, question: Question) -> dict[str, Any]:
    """Return a question for the page, with its answer and why.

    Args:
        of_lesson: Its lesson, for the infusion that its explanation shows.
        question: The question. Numbers that it leaves open are the same on each day.
    """
    shown: dict[str, Any] = {
        "kind": "question",
        "stem": (),
        "pictures": (),
        "ask": question.ask,
        "rule": "",
        "explains": question.explains,
        "plot": "",
    }
    if question.shows:
        infusion = of_lesson.infusions[question.shows]
        shown["plot"] = infusion_plot(infusion_timeline(infusion.hanging, until=infusion.until))._repr_html_()
    if question.problem is None:
        choices = [
            {"letter": letter, "says": one.says, "why": one.why, "right": one.right}
            for letter, one in zip(ascii_uppercase, question.choices, strict=False)
        ]
        return {**shown, "choices": choices, "answer": "", "worked": ()}
    return {**shown, **_judged(question.problem, question)}


def _judged(problem: Drawn, question: Question) -> dict[str, Any]:
    model = item_model(problem.model)
    item = draw_item(model, question.name, given=dict(problem.given))
    part = item.part(problem.part) if problem.part else item.parts[0]
    return {
        "stem": item.stem.split("\n\n") if problem.with_stem else (),
        "pictures": pictures_of(item.pictures),
        "ask": question.ask or (part.asked,),
        **_part(part, solution_of(item, model)),
    }


def shown_problem(model_id: str, seed: str) -> dict[str, Any]:
    """Return one problem of a kind for the page, with its solution.

    Args:
        model_id: The item model.
        seed: Any text; the same text gives the same problem.
    """
    model = item_model(model_id)
    item: Item = draw_item(model, seed)
    solution = solution_of(item, model)
    return {
        "kind": "problem",
        "title": model.title,
        "stem": item.stem.split("\n\n"),
        "pictures": pictures_of(item.pictures),
        "parts": [{"asked": part.asked, **_part(part, solution)} for part in item.parts],
        "caution": item.caution,
    }


def _part(part: ItemPart, solution: Solution) -> dict[str, Any]:
    choices = [
        {"letter": letter, "says": says, "why": "", "right": says == part.answer}
        for letter, says in zip(ascii_uppercase, part.choices, strict=False)
    ]
    return {
        "rule": part.rule_text,
        "choices": choices,
        "answer": part.answer,
        "worked": solution.worked(part.name),
    }
