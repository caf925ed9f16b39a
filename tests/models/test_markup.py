"""A problem holds words and numbers: what a notebook takes for HTML, a link or a formula is refused by its line."""

from __future__ import annotations

import pytest

from calclib.errors.messages import BadInput
from calclib.items import draw_item
from calclib.models import bank, item_model, read_item_model
from calclib.models.markup import markup_in

MARKUP = {
    "an element": "<b>stop</b>",
    "a picture that runs code": "<img src=x onerror=alert(1)>",
    "an element that is never closed": "<script",
    "the end of an element": "</div>",
    "a comment": "<!-- hidden -->",
    "an address in angle brackets": "<https://example.invalid>",
    "a link": "[the label](report.html)",
    "a link by its name": "[the label][1]",
    "the name of a link": "[1]: report.html",
    "a picture": "![pump](pump.png)",
    "an address": "see http://example.invalid",
    "a command": "JavaScript:alert(1)",
    "a sign by its name": "5 &lt; 6",
    "a sign by its number": "&#60;b>",
    "a sign by its hexadecimal number": "&#x3c;b>",
    "code": "`rm`",
    "a formula": "$x$",
    "a command of a formula": r"\href{x}",
    "a formula in brackets": r"\(x\)",
}
PLAIN = [
    "less than 60/min",
    "0.9% sodium chloride & potassium",
    "a < b",
    "rate <= 5",
    "[see the label]",
    "R&D",
    "pH 7.4; K+ 3.5",
]


@pytest.mark.parametrize("text", MARKUP.values(), ids=MARKUP)
def test_markup_is_found(text: str) -> None:
    """Each way of writing it, whatever stands around it."""
    assert markup_in(f"Order: {text} IV.")


@pytest.mark.parametrize("text", PLAIN)
def test_plain_words_are_none(text: str) -> None:
    """Signs that stand for themselves in a sentence."""
    assert markup_in(text) is None


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Order: ", "Order <b>now</b>: "),
        ('title = "', 'title = "<i>'),
        ("lactated Ringer's", "lactated <i>Ringer's"),
        ("do you set the pump?", "do you <i>set</i> the pump?"),
        ("infusion time", "infusion [time](x)"),
        ("rate in mL/h from", "rate `in mL/h` from"),
    ],
)
def test_a_file_with_markup_is_refused_with_its_line(old: str, new: str) -> None:
    """In every field that reaches a person: stem, title, text to draw, question, words of a given, skill."""
    text = bank()["pump-rate"].text
    assert old in text
    with pytest.raises(BadInput, match="would be taken for HTML, a link or a formula") as caught:
        read_item_model(text.replace(old, new, 1), "mine.toml")
    line = text.partition(old)[0].count("\n") + 1
    assert caught.value.line in (line, line - 1)  # a stem is named by the line at which it begins


def test_a_teachers_own_text_with_markup_is_refused() -> None:
    """A fluid, a drug or a route that somebody types for one draw."""
    with pytest.raises(BadInput, match="fluid: “<b” would be taken for HTML"):
        draw_item(item_model("pump-rate"), "one", given={"fluid": "<b>saline</b>"})
