"""A small engine in place of the library's, so that the practice box can be tested on its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

from calclib.widgets.engine import Engine


@dataclass
class Calls:
    """What was asked of the engine."""

    drawn: list[tuple[str, str]] = field(default_factory=list)
    judged: list[Mapping[str, str]] = field(default_factory=list)


def part(name: str, kind: str = "quantity", **more: Any) -> SimpleNamespace:
    """One part of a problem."""
    asked = more.pop("asked", f"What {name} do you enter?")
    given = {"unit": "mL/h", "rule_text": "", "rule": None, "choices": (), **more}
    return SimpleNamespace(name=name, kind=kind, asked=asked, **given)


def small_engine(*parts: SimpleNamespace, key: str = "125 mL/h") -> tuple[Engine, Calls]:
    """An engine whose right answer to every part is the key; the stem tells model and seed."""
    calls = Calls()
    asked = parts or (part("rate"),)

    def draw(name: str, seed: str) -> SimpleNamespace:
        calls.drawn.append((name, seed))
        return SimpleNamespace(
            stem=f"Order <{name}> {len(calls.drawn)}.\n\nSecond paragraph.",
            parts=asked,
            caution="",
            drawings=(),
            pictures=(),
        )

    def judge(item: Any, answers: Mapping[str, str]) -> tuple[SimpleNamespace, ...]:
        calls.judged.append(dict(answers))
        return tuple(_verdict(one.name, answers[one.name], key) for one in item.parts)

    engine = Engine(
        title=lambda name: f"Title of {name}",
        draw=draw,  # type: ignore[arg-type]
        judge=judge,  # type: ignore[arg-type]
        hint=lambda item, name, rung, verdict: f"hint {rung} for {name}",
        worked=lambda item, name: f"{name}:\n500 mL / 4 h = 125 mL/h",
    )
    return engine, calls


def _verdict(name: str, text: str, key: str) -> SimpleNamespace:
    right = text == key
    message = "" if right else "Look at the step from hours to minutes.\n60 min = 1 h"
    return SimpleNamespace(
        part=name,
        right=right,
        notices=(),
        verdict="right" if right else "wrong" if text else "blank",
        reading=SimpleNamespace(shown=text),
        message=message,
    )
