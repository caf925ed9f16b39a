"""Problems that are answered by hand, for lessons: a device, a check, and what is said of what was set."""

from __future__ import annotations

import secrets
from fractions import Fraction
from typing import Any

import ipywidgets

from calclib.errors.messages import BadInput
from calclib.items import Item
from calclib.models.devices import device
from calclib.quantity.writing import write_quantity
from calclib.widgets.devices.compared import what_your_number_would_do
from calclib.widgets.devices.hands import HandsOn, hands_on, models_by_hand
from calclib.widgets.devices.scaled import ScaledDevice
from calclib.widgets.engine import Engine, practice_engine
from calclib.widgets.keyboard import guarded_box
from calclib.widgets.message import Message, button
from calclib.wording import said


def draw_up(item_id: str = "draw-up-mark", seed: str | None = None) -> ipywidgets.VBox:
    """A dose to draw up into a syringe.

    Args:
        item_id: The item model.
        seed: Any text; the same text gives the same problems. None for new ones each time.

    Raises:
        BadInput: Nothing of that model is set by hand.
    """
    return by_hand(item_id, seed)


def choose_syringe(item_id: str = "choose-syringe", seed: str | None = None) -> ipywidgets.VBox:
    """A syringe to choose among several drawn at one scale. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def read_level(item_id: str = "read-syringe", seed: str | None = None) -> ipywidgets.VBox:
    """A syringe, cup or bag on which a line is laid where it is read. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def count_drops(item_id: str = "drip-chamber-count", seed: str | None = None) -> ipywidgets.VBox:
    """A drip chamber whose drops are counted against a clock. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def set_clamp(item_id: str = "drop-rate", seed: str | None = None) -> ipywidgets.VBox:
    """A roller clamp that is set until the chamber drips as ordered. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def time_strip(bag: str, hours: int, *, told: bool = True) -> ScaledDevice:
    """A hanging bag with a strip that says how far it should have run in at each full hour.

    Args:
        bag: A device: bag_500_mL or bag_1000_mL.
        hours: The time in which it is to run in [h].
        told: Whether the value of a mark is told beside its words.

    Raises:
        BadInput: There is no such bag, or the time isn't from 1 to 24 h.
    """
    of = device(bag)
    if of.drawn != "bag":
        raise BadInput(f"a time strip hangs beside a bag, not beside a {of.says}")
    if hours not in range(1, 25):
        raise BadInput("the time of a strip is a whole number of hours, from 1 to 24")
    return ScaledDevice(of, told=told, strip=[(of.end * hour / hours, _hour(hour)) for hour in range(hours + 1)])


def _hour(hour: int) -> str:
    return "start" if not hour else write_quantity(Fraction(hour), "h")


def by_hand(item_id: str, seed: str | None = None, *, engine: Engine | None = None) -> ipywidgets.VBox:
    """Problems of one kind, answered by hand as far as its device goes.

    Args:
        item_id: The item model.
        seed: Any text; the same text gives the same problems. None for new ones each time.
        engine: What draws and judges; the library's own if None.

    Raises:
        BadInput: Nothing of that model is set by hand.
    """
    if item_id not in models_by_hand():
        raise BadInput(f"nothing of “{item_id}” is set by hand; there are {', '.join(models_by_hand())}")
    return ByHand(item_id, seed or secrets.token_hex(8), engine or practice_engine()).box


class ByHand:
    """The controls of a problem that is answered by hand, and where they stand."""

    def __init__(self, item_id: str, seed: str, engine: Engine) -> None:
        self.item_id, self.seed, self.engine, self.drawn = item_id, seed, engine, 0
        self.stem, self.result = Message("stem", announced=False), Message("result")
        self.runs = ipywidgets.VBox()
        self.place, self.fields_box = ipywidgets.VBox(), ipywidgets.VBox()
        self.item: Item
        self.hands: HandsOn
        self.fields: dict[str, Any] = {}
        row = [button("Check", self.check, strong=True), button("New problem", self.new_problem)]
        self.buttons = ipywidgets.HBox(row, layout=ipywidgets.Layout(flex_flow="row wrap"))
        children = [self.stem.widget, self.place, self.fields_box, self.buttons, self.result.widget, self.runs]
        self.box = guarded_box(children)
        self.new_problem()

    def new_problem(self) -> None:
        """Draw the next problem; its device stands as if nobody had touched it."""
        with self.stem.reporting():
            self.item = self.engine.draw(self.item_id, f"{self.seed}/{self.drawn}")
            self.drawn += 1
            hands = hands_on(self.item)
            assert hands is not None, "only kinds that are set by hand come here"
            self.hands = hands
            by_hand = [part.asked for part in self.item.parts if part.name in hands.texts]
            self.stem.say(*self.item.stem.split("\n\n"), *[f"By hand: {asked}" for asked in by_hand], self.item.caution)
            self.place.children = [hands.widget]
            self._lay_out_fields()
        self.result.clear()
        self.runs.children = []

    def check(self) -> None:
        """Judge what is set and typed, as marking would."""
        with self.result.reporting():
            typed = {part: field.value or "" for part, field in self.fields.items()}
            verdicts = self.engine.judge(self.item, {**typed, **self.hands.answers()})
            asked = {part.name: part.asked for part in self.item.parts}
            shown = [f"{asked[one.part]}\n{_said(one)}" for one in verdicts]
            self.result.say(*shown)
            runs = [what_your_number_would_do(self.item, one) for one in verdicts]
            self.runs.children = [run for run in runs if run is not None]

    def _lay_out_fields(self) -> None:
        rest = [part for part in self.item.parts if part.name not in self.hands.texts]
        self.fields = {}
        rows: list[Any] = []
        for part in rest:
            question = Message("question", announced=False)
            question.say(f"{part.asked} {part.rule_text}".strip())
            self.fields[part.name] = _field(part)
            rows += [question.widget, self.fields[part.name]]
        self.fields_box.children = rows


def _field(part: Any) -> Any:
    style, layout = {"description_width": "initial"}, ipywidgets.Layout(width="min(28em, 100%)")
    label = said("practice.your_answer", part=part.words)
    if part.kind == "choice":
        options = [(said("practice.choose_one"), ""), *((words, words) for words in part.choices)]
        return ipywidgets.Dropdown(options=options, description=label, style=style, layout=layout)
    return ipywidgets.Text(description=label, style=style, layout=layout)


def _said(verdict: Any) -> str:
    if verdict.verdict == "blank":
        return said("practice.not_answered")
    shown = getattr(verdict.reading, "shown", "")
    read = [said("practice.read_as", shown=shown)] if shown else []
    if verdict.right:
        return " ".join((said("check_cell.right"), *read))
    return " ".join((said("check_cell.not_right"), *read, verdict.message))
