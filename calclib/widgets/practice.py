"""A box that draws endless new problems, checks typed answers and explains what went wrong."""

from __future__ import annotations

import re
import secrets
from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING, Any

import ipywidgets

from calclib.errors import BadInput
from calclib.widgets.engine import Engine, practice_engine
from calclib.widgets.keyboard import guarded_box
from calclib.widgets.message import Message, button, paragraph_html

if TYPE_CHECKING:
    from calclib.answers import PartVerdict
    from calclib.items import Item, ItemPart

RUNGS = (1, 2, 3)
_CANCELLED = re.compile(r"\\cancel\{\\text\{([^{}]*)\}\}")
BOLD = "font-weight: bold"
RIGHT_COLOUR, WRONG_COLOUR = "#00795B", "#B04500"


def practice_box(
    item_ids: str | Sequence[str], seed: str | None = None, *, engine: Engine | None = None
) -> ipywidgets.VBox:
    """Problems to practise on, one after another.

    Args:
        item_ids: Names of item models, taken in turn.
        seed: Any text; the same text gives the same problems. None for new problems each time.
        engine: What draws and judges; the library's own if None.

    Raises:
        BadInput: No item model is named.
    """
    names = (item_ids,) if isinstance(item_ids, str) else tuple(item_ids)
    if not names:
        raise BadInput("name at least one kind of problem to practise on")
    return PracticeBox(names, seed or secrets.token_hex(8), engine or practice_engine()).box


class PracticeBox:
    """The controls of a practice box and where they stand."""

    def __init__(self, names: tuple[str, ...], seed: str, engine: Engine) -> None:
        self.names, self.seed, self.engine = names, seed, engine
        self.drawn = self.solved = 0
        self.item: Item | None = None
        self.verdicts: tuple[PartVerdict, ...] = ()
        self.stem, self.result, self.help = Message("stem"), Message("result"), Message("help")
        self.shown_setups = Message("setup", maths=True)
        self.fields: dict[str, Any] = {}
        self.setups: dict[str, Any] = {}
        self.answers = ipywidgets.VBox()
        self.hints = [button(f"Hint {rung}", self._hint_action(rung)) for rung in RUNGS]
        self.buttons = ipywidgets.HBox(
            [
                button("Check", self.check, strong=True),
                *self.hints,
                button("Worked solution", self.show_worked),
                button("New problem", self.new_problem),
            ],
            layout=ipywidgets.Layout(flex_flow="row wrap"),
        )
        told = [self.result.widget, self.shown_setups.widget, self.help.widget]
        self.box = guarded_box([self.stem.widget, self.answers, self.buttons, *told])
        self.new_problem()

    def new_problem(self) -> None:
        """Draw the next problem and empty the fields."""
        name = self.names[self.drawn % len(self.names)]
        with self.stem.reporting():
            self.item = self.engine.draw(name, f"{self.seed}/{self.drawn}")
            self.drawn += 1
            title = f"{self.engine.title(name)} (problem {self.drawn}, {self.solved} solved)"
            caution = paragraph_html(self.item.caution, style="font-style: italic") if self.item.caution else ""
            self.stem.show(f"<h4>{escape(title)}</h4>{_paragraphs(self.item.stem)}{_pictures(self.item)}{caution}")
            self._lay_out_fields(self.item.parts)
        self.verdicts = ()
        self.result.clear()
        self.shown_setups.clear()
        self.help.clear()

    def check(self) -> None:
        """Judge what is typed and say how it was read and what went wrong."""
        with self.result.reporting():
            was_solved = self._solved()
            answers = {part: field.value or "" for part, field in self.fields.items()}
            self.verdicts = self.engine.judge(self._drawn_item(), answers)
            self.solved += self._solved() and not was_solved
            self.result.show("".join(self._verdict_html(verdict) for verdict in self.verdicts))
        with self.shown_setups.reporting():
            asked = {part.name for part in self._drawn_item().parts if part.kind == "setup"}
            fields = {**self.setups, **{part: field for part, field in self.fields.items() if part in asked}}
            typed = {part: field.value.strip() for part, field in fields.items() if (field.value or "").strip()}
            self.shown_setups.show("".join(self._setup_html(part, text) for part, text in typed.items()))

    def show_worked(self) -> None:
        """Show the worked solution of each part."""
        with self.help.reporting():
            item = self._drawn_item()
            parts = [f"{self._label(part)}{self.engine.worked(item, part.name)}" for part in item.parts]
            self.help.show(_heading("Worked solution") + "".join(paragraph_html(part) for part in parts))

    def show_hint(self, rung: int) -> None:
        """Show a hint for the first part that isn't right yet."""
        with self.help.reporting():
            item = self._drawn_item()
            right = {verdict.part for verdict in self.verdicts if verdict.right}
            part = next((part for part in item.parts if part.name not in right), item.parts[0])
            told = f"{self._label(part)}{self.engine.hint(item, part.name, rung)}"
            self.help.show(_heading(f"Hint {rung}") + paragraph_html(told))

    def _hint_action(self, rung: int) -> Any:
        return lambda: self.show_hint(rung)

    def _solved(self) -> bool:
        return bool(self.verdicts) and all(verdict.right for verdict in self.verdicts)

    def _label(self, part: ItemPart) -> str:
        return f"{part.asked}\n" if len(self.fields) > 1 else ""

    def _lay_out_fields(self, parts: Sequence[ItemPart]) -> None:
        self.fields = {part.name: self._field(part, several=len(parts) > 1) for part in parts}
        # Where one part asks for the set-up, no other offers it.
        asked = any(part.kind == "setup" for part in parts)
        free = [part for part in parts if part.kind == "quantity" and not asked and not _is_read(part)]
        self.setups = {part.name: self._setup_field(part) for part in free}
        rows: list[ipywidgets.Widget] = []
        for part in parts:
            question = Message("question", announced=False)
            question.say(f"{part.asked} {part.rule_text}".strip())
            rows += [question.widget, self.fields[part.name]]
            rows += [self.setups[part.name]] if part.name in self.setups else []
        self.answers.children = rows

    def _field(self, part: ItemPart, *, several: bool) -> Any:
        # The question stands above; the label repeats enough of it for a reader who jumps from field to field.
        label = f"Your answer: {part.name.replace('_', ' ')}" if several else "Your answer"
        style, layout = {"description_width": "initial"}, ipywidgets.Layout(width="min(28em, 100%)")
        if part.kind == "choice":
            options = [("choose one", ""), *((words, words) for words in part.choices)]
            return ipywidgets.Dropdown(options=options, description=label, style=style, layout=layout)
        field = ipywidgets.Text(description=label, placeholder=_placeholder(part), style=style, layout=layout)
        field.on_msg(self._on_field_message)
        return field

    def _setup_field(self, part: ItemPart) -> Any:
        field = ipywidgets.Text(
            description="Set-up, if you like",
            placeholder="numbers with units, such as 1000 mL / 8 h",
            tooltip=f"The set-up for: {part.asked}",
            style={"description_width": "initial"},
            layout=ipywidgets.Layout(width="min(44em, 100%)"),
        )
        field.on_msg(self._on_field_message)
        return field

    def _setup_html(self, part: str, text: str) -> str:
        try:
            message, latex = self.engine.setup(self._drawn_item(), part, text)
        except Exception as error:  # noqa: BLE001 - whatever one set-up sets off, the others are shown
            return paragraph_html(f"Set-up: an error in this program ({type(error).__name__}) kept it from being read.")
        # Where the set-up is asked, the verdict above says the message.
        message = message if part in self.setups else ""
        shown = f"<p>$\\displaystyle {escape(struck_out(latex))}$</p>" if latex else ""
        return f"{shown}{paragraph_html(f'Set-up: {message}') if message else ''}"

    def _on_field_message(self, _: object, content: Any, __: object) -> None:
        if isinstance(content, dict) and content.get("event") == "submit":
            self.check()

    def _drawn_item(self) -> Item:
        if self.item is None:
            raise BadInput("no problem is drawn: press New problem")
        return self.item

    def _verdict_html(self, verdict: PartVerdict) -> str:
        part = next(part for part in self._drawn_item().parts if part.name == verdict.part)
        mark, colour = _mark(verdict)
        shown = getattr(verdict.reading, "shown", "")
        lines = [
            paragraph_html(f"{self._label(part)}{mark}", style=f"{BOLD}; color: {colour}"),
            paragraph_html(f"Read as: {shown}") if shown else "",
            *(paragraph_html(text) for text in _told(verdict).split("\n") if text.strip()),
        ]
        return "".join(lines)


def struck_out(latex: str) -> str:
    """Cancelled units with a stroke through their letters: the page's mathematics has no command for it."""
    return _CANCELLED.sub(lambda found: "\\text{" + "".join(f"{letter}\u0336" for letter in found[1]) + "}", latex)


def _heading(text: str) -> str:
    return paragraph_html(text, style=BOLD)


def _told(verdict: PartVerdict) -> str:
    """The message, without what the mark above it says; no person looks at practice."""
    if verdict.verdict in ("unread", "not_judged"):
        return str(getattr(verdict.reading, "reason", "")) or verdict.message
    says_no_more = verdict.verdict in ("right", "blank") and not verdict.notices
    return "" if says_no_more else verdict.message


def _mark(verdict: PartVerdict) -> tuple[str, str]:
    if verdict.verdict == "blank":
        return "Not answered yet.", WRONG_COLOUR
    if verdict.verdict in ("unread", "not_judged"):
        return f"This could not be {'read' if verdict.verdict == 'unread' else 'judged'}.", WRONG_COLOUR
    if verdict.right:
        return "\u2713 Right.", RIGHT_COLOUR
    if verdict.verdict == "carried_forward":
        return "\u2713 Right from your earlier answer.", RIGHT_COLOUR
    return "\u2717 Not right yet.", WRONG_COLOUR


def _paragraphs(text: str) -> str:
    return "".join(paragraph_html(paragraph) for paragraph in text.split("\n\n") if paragraph.strip())


def _pictures(item: Item) -> str:
    """The drawings, each with its words for who can't see it."""
    if not item.pictures:
        return ""
    from calclib.plots import picture_html

    return "".join(f"<p>{picture_html(picture)}</p>" for picture in item.pictures)


def _is_read(part: ItemPart) -> bool:
    """Whether an answer is read from a scale, or comes from one by a difference; there is no set-up to show."""
    return part.rule is not None and part.rule.name == "device_mark"


def _placeholder(part: ItemPart) -> str:
    if part.kind == "clock":
        return "24-hour clock"
    if part.kind == "setup":
        return "numbers with units, such as 1000 mL / 8 h"
    return "number and unit" if part.unit else "number"
