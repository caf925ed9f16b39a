"""What a practice box needs of the library, in one record."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from calclib.answers import PartVerdict
    from calclib.items import Item
    from calclib.widgets.devices.hands import HandsOn


@dataclass(frozen=True)
class Engine:
    """Draws and judges.

    Args:
        title: Title of an item model.
        draw: An item, from the name of its model and a seed.
        judge: The verdict on each part, from an item and the typed answers.
        hint: The text of a hint, from an item, a part, a rung from 1 to 3 and the last verdict on the part, if any.
        worked: The worked solution, from an item and a part.
        setup: What a typed set-up shows, as a sentence and as LaTeX, from an item, a part, the text and the typed
            answers, on which a set-up may go on.
        hands: The device of a drawn problem on which answers are set by hand, or None.
        run: What a wrong answer would do, from an item and a verdict, as `compared.js` shows it, or None.
    """

    title: Callable[[str], str]
    draw: Callable[[str, str], Item]
    judge: Callable[[Item, Mapping[str, str]], tuple[PartVerdict, ...]]
    hint: Callable[[Item, str, int, PartVerdict | None], str]
    worked: Callable[[Item, str], str]
    setup: Callable[[Item, str, str, Mapping[str, str]], tuple[str, str]] = lambda *_: ("", "")
    hands: Callable[[Item], HandsOn | None] = lambda _: None
    run: Callable[[Item, PartVerdict], Mapping[str, Any] | None] = lambda *_: None


def practice_engine() -> Engine:
    """The engine of the library with the marking of first practice; the judge is loaded by the first answer."""
    from calclib.items import draw_item
    from calclib.models import item_model
    from calclib.quantity import rounding_policy
    from calclib.widgets.devices.compared import what_your_number_would_do
    from calclib.widgets.devices.hands import hands_on

    def setup(item: Item, part: str, text: str, _answers: Mapping[str, str]) -> tuple[str, str]:
        from calclib.answers import judge_setup

        found = judge_setup(item, item_model(item.model_id), rounding_policy(item.policy_name), part, text)
        return found.message, found.latex

    def judge(item: Item, answers: Mapping[str, str]) -> tuple[PartVerdict, ...]:
        from calclib.answers import carried_from, judge_item, marking_policy

        carried = carried_from(item, item_model(item.model_id), rounding_policy(item.policy_name))
        return judge_item(item, answers, marking_policy("first-practice"), carried=carried)

    def hinted(item: Item, part: str, rung: int, verdict: PartVerdict | None) -> str:
        from calclib.answers import hint

        return hint(item, part, rung, verdict=verdict)

    def worked_out(item: Item, part: str) -> str:
        from calclib.answers import worked

        return worked(item, part)

    return Engine(
        title=lambda name: item_model(name).title,
        draw=lambda name, seed: draw_item(item_model(name), seed),
        judge=judge,
        hint=hinted,
        worked=worked_out,
        setup=setup,
        hands=hands_on,
        run=what_your_number_would_do,
    )
