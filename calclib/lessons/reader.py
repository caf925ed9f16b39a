"""From a lesson's file to its record."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from calclib.errors.messages import BadInput
from calclib.lessons.records import Choice, Drawn, Lesson, Question, Shown, StatedOrder
from calclib.timeline.hanging import Bag, Entered, Flush, Hanging, Primary, Secondary
from calclib.wording.facts import fact

FOLDER = "books"


def lesson_names() -> tuple[str, ...]:
    """Return the names of all lessons, in the order of learning."""
    files = resources.files("calclib.lessons").joinpath(FOLDER).iterdir()
    names = [file.name.removesuffix(".toml") for file in files if file.name.endswith(".toml")]
    return tuple(sorted(names, key=lambda name: lesson(name).number))


@lru_cache(maxsize=32)
def lesson(name: str) -> Lesson:
    """Return a lesson by its name, such as “measures”.

    Raises:
        BadInput: There is no such lesson, or its file is not as it should be.
    """
    file = resources.files("calclib.lessons").joinpath(FOLDER, f"{name}.toml")
    if not name.isidentifier() or not file.is_file():
        raise BadInput(fact("errors_lessons.no_lesson", name=name))
    return lesson_from_text(name, file.read_text("utf-8"))


def lesson_from_text(name: str, text: str) -> Lesson:
    """Return a lesson from the text of its file.

    Args:
        name: The lesson's name.
        text: TOML; the README of this folder says what it holds.

    Raises:
        BadInput: A question has no right answer, or several, or both choices and a problem.
    """
    data = tomllib.loads(text)
    questions = [_question(entry, name) for entry in data.get("question", ())]
    if len({one.name for one in questions}) != len(questions):
        raise BadInput(fact("errors_lessons.same_name"), where=f"{name}.toml")
    return Lesson(
        name=name,
        number=data["number"],
        title=data["title"],
        teaches=tuple(data["teaches"]),
        questions=MappingProxyType({one.name: one for one in questions}),
        infusions=MappingProxyType({key: _shown(entry) for key, entry in data.get("infusion", {}).items()}),
        orders=tuple(_order(entry) for entry in data.get("order", ())),
        sources=tuple(data["sources"]),
    )


def _question(entry: Mapping[str, Any], lesson_name: str) -> Question:
    choices = tuple(Choice(one["says"], one["why"], one.get("right", False)) for one in entry.get("choice", ()))
    problem = None
    if "model" in entry:
        given = MappingProxyType(dict(entry.get("given", {})))
        problem = Drawn(entry["model"], given, entry.get("part", ""), entry.get("with_stem", True))
    if (problem is None) != (sum(one.right for one in choices) == 1) or (problem is not None and choices):
        raise BadInput(
            fact("errors_lessons.choices_or_problem", name=entry["name"]),
            where=f"{lesson_name}.toml",
        )
    return Question(
        name=entry["name"],
        ask=_paragraphs(entry.get("ask", "")),
        explains=_paragraphs(entry.get("explains", "")),
        choices=choices,
        problem=problem,
        shows=entry.get("shows", ""),
        order_to_question=entry.get("order_to_question", False),
        sources=tuple(entry.get("sources", ())),
    )


def _order(entry: Mapping[str, Any]) -> StatedOrder:
    fields = {key: value for key, value in entry.items() if key not in ("text", "sound")}
    return StatedOrder(entry["text"], MappingProxyType(fields), entry.get("sound", True))


def _paragraphs(text: str) -> tuple[str, ...]:
    return tuple(" ".join(part.split()) for part in text.split("\n\n") if part.strip())


def _shown(entry: Mapping[str, Any]) -> Shown:
    first, second, flush = entry.get("primary"), entry.get("secondary"), entry.get("flush")
    hanging = Hanging(
        primary=first and Primary(Bag(_number(first["bag"])), _entered(first)),
        secondary=second and _secondary(second),
        mode=entry.get("mode", "pump"),
        shared_tubing_volume=_number(entry.get("shared", 0)),
        clamp_reset_after=_number(entry.get("clamp_reset_after", 0)),
        flush=flush and Flush(_number(flush["volume"]), _number(flush["rate"])),
    )
    return Shown(hanging, entry["until"])


def _secondary(entry: Mapping[str, Any]) -> Secondary:
    names = {"bag": "volume", "additive": "additive", "overfill": "overfill", "drug": "drug"}
    bag = Bag(**{field: _number(entry[key]) for key, field in names.items() if key in entry})
    tubing = {key: _number(entry.get(key, 0)) for key in ("back_primed", "primed_out", "rinse")}
    return Secondary(bag, _entered(entry), _number(entry.get("tubing", 0)), **tubing)


def _entered(entry: Mapping[str, Any]) -> Entered:
    return Entered(_number(entry["rate"]), _number(entry["volume"]) if "volume" in entry else None)


def _number(value: int | str) -> int | Fraction:
    """A whole number, or one with decimals, which is written in quotes so that it stays exact."""
    return Fraction(value) if isinstance(value, str) else value
