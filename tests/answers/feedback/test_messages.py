"""What students are told: short, one cause first, what to do next, and never the answer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import pytest

from calclib.answers import MarkingPolicy, judge_item, marking_policies
from calclib.answers.verdict import RIGHT, PartVerdict
from calclib.items import Item, ItemPart, draw_item
from calclib.items.mistakes.fault_text import fault_answer
from calclib.quantity.writing import write_number, write_unit
from tests.items.drawn import MODELS, drawn_items, model

MOST_WORDS = 45
_NUMBER = re.compile(r"[0-9]+(?:,[0-9]{3})*(?:\.[0-9]+)?")
_FORBIDDEN = re.compile(
    r"\bthe (?:for|how|what|when|who|the|a|an|one(?!-)|each)\b|\b(?:a|an) (?:a|an|the)\b|\b(\w+) \1\b"
    r"|[_{}]|\.\.|\?\.|;\."
    r"|\btimes too\b|\banew\b|\bof his own\b|\bwrong way round\b|\bfinger slip\b",
    re.IGNORECASE,
)
_NEXT_STEP = re.compile(
    r"(?:^|[.:] )(?:Set|Check|Write|Cancel|Go|Read|Estimate|Use|Find|Compare|Ask|Turn|Work|Keep|Correct|Count|Stop"
    r"|Round|Do|write|Answer)[ ,]| round to |; type |A person will look"
)


def practice() -> MarkingPolicy:
    """The policy under which students practice."""
    return marking_policies()["first-practice"]


def told(item: Item, part: ItemPart, text: str) -> PartVerdict:
    """The verdict on one answer, the other parts blank."""
    return next(v for v in judge_item(item, {part.name: text}, practice()) if v.part == part.name)


@cache
def verdicts(name: str) -> tuple[tuple[ItemPart, str, PartVerdict], ...]:
    """The verdict on each wrong answer to an item of a model: part, text, verdict."""
    item = drawn_items(name)[0]
    parts = [part for part in item.parts if part.kind != "setup"]
    return tuple((part, text, told(item, part, text)) for part in parts for text in dict.fromkeys(wrong_texts(part)))


def wrong_texts(part: ItemPart) -> Iterator[str]:
    """Answers to a part that listed mistakes, slips and guesses lead to."""
    yield from (fault_answer(part, fault) for fault in part.faults)
    if part.kind == "choice":
        yield from part.choices
    if part.kind == "quantity" and part.key:
        for factor in ("37/10", "10", "1/100", "13/10", "1/3", "2001/2000"):
            value = part.key * Fraction(factor)
            yield f"{write_number(value, 4)} {write_unit(part.unit)}"


@pytest.mark.parametrize("name", MODELS)
def test_messages_on_wrong_answers(name: str) -> None:
    """A message has at most 45 words and whole sentences, names one cause first, and says what to do next."""
    for _, _, verdict in verdicts(name):
        said = verdict.message
        assert len(said.split()) <= MOST_WORDS, said
        assert re.fullmatch(r"[0-9A-Z“].*[.”]", said), said
        assert not _FORBIDDEN.search(said), said
        assert said.count("It looks like") + said.count("possible cause") <= 1, said
        if verdict.verdict not in RIGHT:
            assert _NEXT_STEP.search(said), said


@pytest.mark.parametrize("name", MODELS)
def test_no_message_gives_the_answer_away(name: str) -> None:
    """No number in the message on a wrong answer is the key, or makes the key of what was typed by * or /."""
    for part, text, verdict in verdicts(name):
        if part.kind != "quantity" or not part.key or not verdict.verdict.startswith("wrong"):
            continue
        typed = Fraction(_NUMBER.findall(text)[0].replace(",", ""))
        said = verdict.message.partition(" is not right")[2].partition("Notation:")[0]
        for number in (Fraction(found.replace(",", "")) for found in _NUMBER.findall(said)):
            assert part.key not in {number, typed * number}, (said, text)
            assert typed not in {part.key * number, number / part.key}, (said, text)


# Found by the file of the model: drawing all of them here would cost every run of any test of this folder.
DECIDING = ("compare", "choose")
CHOICES = [
    name
    for name in MODELS
    if {step.name for step in model(name).steps if step.kind in DECIDING} & {part.asks for part in model(name).parts}
]


@pytest.mark.parametrize("name", CHOICES)
def test_a_choice_is_told_what_it_would_mean(name: str) -> None:
    """The message on a wrong choice says what deciding so would mean, and names no number beside the choice itself."""
    for item in drawn_items(name):
        for part in (part for part in item.parts if part.kind == "choice"):
            for choice in set(part.choices) - {part.accepted_choice}:
                first, rest = told(item, part, choice).message.split("” is not right. ")
                assert first == f"“{choice}"
                assert rest.count(". ") == 1, rest
                assert not re.search(r"[0-9]|It looks like|possible cause", rest.replace("24 hours", "")), rest


def test_sentences_on_a_wrong_choice() -> None:
    """Going ahead, holding, and holding for the wrong reason are told apart."""
    said = {
        (part.accepted_choice, choice): told(item, part, choice).message.split(". ")[1]
        for item in drawn_items("safe-single-dose")
        for part in item.parts
        if part.kind == "choice"
        for choice in part.choices
        if choice != part.accepted_choice
    }
    give = "Give it: within the reference"
    below, above = (f"Hold it and call: {side} the reference" for side in ("below", "above"))
    wanted = {
        (above, give): "Giving it would exceed the reference range",
        (above, below): "It is outside the limits, but on the other side",
        (give, above): "Holding it delays a dose that is within the reference range",
        (below, give): "Giving it would go ahead with a dose below the reference range",
    }
    assert said.items() & wanted.items() == {key: said[key] for key in said if key in wanted}.items()
    assert said.keys() & wanted.keys()


HAND = {
    "24 mL": """
        24 mL is not right: it is much more than it should be. It looks like a different strength on the label was used.
        Read again what each number means.
    """,
    "0.0833 mL": """
        0.0833 mL is not right: it is far less than it should be. One possible cause: the division that gives the volume
        for one dose was set up the wrong way around. Stop, check the set-up, and ask a second nurse.
    """,
    "5 mL": """
        5 mL is not right: it is much less than it should be. One possible cause: a digit of the
        strength on the label was misread. Check that step and work it out again.
    """,
    "12": "The number is right, but the unit is missing: write mL.",
    "": "Nothing was answered. Set the problem up step by step, even if you are not sure of the end.",
}


@pytest.mark.parametrize("typed", HAND)
def test_messages_decided_by_hand(typed: str) -> None:
    """The whole message on an answer to: cephalexin 600 mg from an oral liquid of 50 mg/mL, which is 12 mL."""
    given = {"drug": "cephalexin", "order": "600 mg", "strength": "50 mg/mL"}
    item = draw_item(model("oral-liquid-volume"), "hand", given=given)
    assert told(item, item.parts[0], typed).message.split() == HAND[typed].split()
