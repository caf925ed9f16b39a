"""What the practice box shows of a problem and of a verdict, as plain data: text, never markup."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from calclib.memory import MINUTES, Today
from calclib.widgets.lesson_widget import drawings_of
from calclib.wording import said

if TYPE_CHECKING:
    from calclib.answers import PartVerdict
    from calclib.items import Item, ItemPart

RIGHT, WRONG, OPEN = "right", "wrong", "open"
SETUP_EXAMPLE = "numbers with units, such as 1,000 mL / 8 h"


def shown_problem(item: Item, title: str, number: int) -> dict[str, Any]:
    """Return a problem as the page shows it.

    Args:
        item: The item.
        title: The title of its kind.
        number: Which problem it is in this box.
    """
    # Where one part asks for the set-up, no other offers it.
    offered = not any(part.kind == "setup" for part in item.parts)
    return {
        "number": number,
        "title": title,
        "stem": paragraphs(item.stem),
        "drawings": drawings_of(item),
        "caution": item.caution,
        "parts": [
            {
                "name": part.name,
                "kind": part.kind,
                "asked": part.asked,
                "rule": part.rule_text,
                "example": _example(part),
                "choices": list(part.choices) if part.kind == "choice" else [],
                "setup": offered and part.kind == "quantity" and not _is_read(part),
            }
            for part in item.parts
        ],
    }


def shown_verdict(verdict: PartVerdict) -> dict[str, Any]:
    """Return a verdict as the page shows it beside its field."""
    state, mark = _mark(verdict)
    return {
        "state": state,
        "mark": mark,
        "read": str(getattr(verdict.reading, "shown", "") or ""),
        "lines": [line for line in _told(verdict).split("\n") if line.strip()],
    }


def spoken(item: Item, verdicts: Sequence[PartVerdict], told: Mapping[str, Mapping[str, Any]]) -> str:
    """Return what a screen reader announces after a check: how many are right, then each part that is not."""
    right = sum(told[verdict.part]["state"] == RIGHT for verdict in verdicts)
    several = len(verdicts) > 1
    counted = said("practice.count_right", right=right, count=len(verdicts)) if several else ""
    sentences = [
        " ".join(
            [
                part.asked if several else "",
                told[part.name]["mark"],
                said("practice.read_as", shown=told[part.name]["read"]) if told[part.name]["read"] else "",
                *told[part.name]["lines"],
            ]
        ).strip()
        for part in item.parts
        if not several or told[part.name]["state"] != RIGHT
    ]
    return " ".join([counted, *sentences]).strip()


def today_lines(found: Today, title: Callable[[str], str], notice: str) -> list[str]:
    """Return what stands above today's problems.

    Args:
        found: What is to be practiced.
        title: The title of a kind of problem.
        notice: A sentence of the memory, "" for none.
    """
    missed = tuple(title(skill) for skill in found.plan if skill in found.missed)
    due = tuple(title(skill) for skill in found.plan if skill not in found.missed)
    later = len(found.missed) + len(found.due) - len(found.plan)
    lines = [
        notice,
        said("practice.today", minutes=MINUTES),
        said("practice.missed", skills=missed) if missed else "",
        said("practice.due", skills=due) if due else "",
        said("practice.later", count=later) if later else "",
        said("practice.mastered", skills=tuple(map(title, found.mastered))) if found.mastered else "",
    ]
    return [line for line in lines if line]


def paragraphs(text: str) -> list[str]:
    """Return the paragraphs of a text; single line breaks stay in them."""
    return [paragraph.strip() for paragraph in text.split("\n\n") if paragraph.strip()]


def _told(verdict: PartVerdict) -> str:
    """The message, without what the mark above it says; no person looks at practice."""
    if verdict.verdict in ("unread", "not_judged"):
        return str(getattr(verdict.reading, "reason", "")) or verdict.message
    says_no_more = verdict.verdict in ("right", "blank") and not verdict.notices
    return "" if says_no_more else verdict.message


def _mark(verdict: PartVerdict) -> tuple[str, str]:
    if verdict.verdict == "blank":
        return OPEN, said("practice.not_answered")
    if verdict.verdict in ("unread", "not_judged"):
        return OPEN, said("practice.unread" if verdict.verdict == "unread" else "practice.not_judged")
    if verdict.right:
        return RIGHT, said("check_cell.right")
    if verdict.verdict == "carried_forward":
        return RIGHT, said("practice.right_carried")
    return WRONG, said("check_cell.not_right")


def _is_read(part: ItemPart) -> bool:
    """Whether an answer is read from a scale, or comes from one by a difference; there is no set-up to show."""
    return part.rule is not None and part.rule.name == "device_mark"


def _example(part: ItemPart) -> str:
    if part.kind == "clock":
        return "24-hour clock"
    if part.kind == "setup":
        return SETUP_EXAMPLE
    return "number and unit" if part.unit else "number"
