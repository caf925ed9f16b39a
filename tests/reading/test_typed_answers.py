from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calclib.reading import Blank, Reading, Unread, notation_rules, read_answer
from calclib.sources import source

HERE = Path(__file__).parent
QUANTITIES = tomllib.loads((HERE / "typed_quantities.toml").read_text(encoding="utf-8"))
TIMES = tomllib.loads((HERE / "typed_times.toml").read_text(encoding="utf-8"))
RANGE = {"below": "Below the safe range", "within": "Within the safe range", "above": "Above the safe range"}
LETTERS = {"a": "Give the dose", "b": "Hold the dose"}


def number_and_unit(written: str) -> tuple[Fraction, dict[str, int]]:
    """Take a safely written quantity apart, without the reader."""
    number, _, name = written.replace("%", " %").replace("°", " °").partition(" ")
    for word, symbol in (("million units", "million_units"), ("°", "deg"), ("per ", "/"), ("meters", "m")):
        name = name.replace(word, symbol)
    top, *bottom = name.split("/")
    unit = {word: 1 for word in top.split("·") if word} | dict.fromkeys(bottom, -1)
    return Fraction(number.replace(",", "")), unit


def typed(rows: list[dict[str, Any]]) -> list[Any]:
    """The rows as parameters, named by what was typed."""
    return [pytest.param(row, id=ascii(row["typed"])) for row in rows]


@pytest.mark.parametrize("row", typed(QUANTITIES["read"]))
def test_a_typed_quantity_is_read_as_decided(row: dict[str, Any]) -> None:
    """Value, unit, decimals and unsafe notation of each text are those that the table decides."""
    reading = read_answer(row["typed"], "quantity")
    assert isinstance(reading, Reading)
    assert reading.text == row["typed"]
    assert (reading.value, dict(reading.unit)) == number_and_unit(row["reads"])
    assert reading.decimals == row.get("decimals")
    assert [notice.rule for notice in reading.notices] == row.get("notices", [])
    assert reading.shown == row["reads"]
    assert (reading.clock, reading.choice) == (None, None)


@pytest.mark.parametrize("row", typed(QUANTITIES["unread"]))
def test_a_text_with_two_readings_or_none_says_where_it_stops(row: dict[str, Any]) -> None:
    """The reader never guesses: it gives one sentence and the place."""
    reading = read_answer(row["typed"], "quantity")
    assert isinstance(reading, Unread)
    assert reading.position == row["position"]
    assert reading.reason[0].isupper() or reading.reason[0] in "'0123456789x"
    assert reading.reason[-1] in ".?"


@pytest.mark.parametrize("text", [*QUANTITIES["blank"], "", " ", "\u00a0\u200b", "___", "I don't know"])
@pytest.mark.parametrize("asked", ["quantity", "clock", "choice"])
def test_nothing_typed_is_blank_whatever_is_asked(text: str, asked: str) -> None:
    """A blank is told from an unread text, since no person needs to look at it."""
    assert read_answer(text, asked, choices=RANGE) == Blank(text)


@pytest.mark.parametrize("row", typed(TIMES["read"]))
def test_a_typed_time_is_read_as_decided(row: dict[str, Any]) -> None:
    """Minutes after midnight and days later of each text are those that the table decides."""
    reading = read_answer(row["typed"], "clock")
    assert isinstance(reading, Reading)
    assert reading.clock == (60 * int(row["time"][:2]) + int(row["time"][2:]), row.get("days"))
    assert reading.shown.startswith(row["time"])
    assert (reading.value, reading.unit, reading.choice) == (None, (), None)


@pytest.mark.parametrize("row", typed(TIMES["unread"]))
def test_an_impossible_or_unclear_time_says_where_it_stops(row: dict[str, Any]) -> None:
    """2430, two times, a bare hour and a time without its half of the day are not guessed."""
    reading = read_answer(row["typed"], "clock")
    assert isinstance(reading, Unread)
    assert reading.position == row["position"]


def test_digits_are_a_time_or_a_number_by_what_is_asked() -> None:
    """0130 is 01:30 where a time is asked, and 130 where a number is asked."""
    time, number = read_answer("0130", "clock"), read_answer("0130", "quantity")
    assert isinstance(time, Reading)
    assert time.clock == (90, None)
    assert isinstance(number, Reading)
    assert number.value == 130


@pytest.mark.parametrize(
    ("text", "choices", "choice"),
    [
        ("within", RANGE, "within"),
        ("Within the safe range", RANGE, "within"),
        ("above the safe range!", RANGE, "above"),
        ("within the", RANGE, "within"),
        ("c", RANGE, "above"),
        ("C)", RANGE, "above"),
        ("w", RANGE, "within"),
        ("b) Within", RANGE, "within"),
        ("b. Below", RANGE, "below"),
        ("answer: within", RANGE, "within"),
        ("a", LETTERS, "a"),
        ("A)", LETTERS, "a"),
        ("(b)", LETTERS, "b"),
        ("option b", LETTERS, "b"),
        ("give", LETTERS, "a"),
        ("Hold the dose.", LETTERS, "b"),
        ("A. Give the dose", LETTERS, "a"),
        ("“Hold the dose”", LETTERS, "b"),
        ("Yes", {"y": "Yes, give it", "n": "No, hold it"}, "y"),
        ("½ tablet", {"h": "½ tablet", "w": "1 tablet"}, "h"),
        ("2", {"one": "1 tablet", "two": "2 tablets"}, "two"),
        ("> 5 mL", {"l": "< 5 mL", "m": "> 5 mL"}, "m"),
        (">5 mL", {"l": "< 5 mL", "m": "> 5 mL"}, "m"),
        ("yes give", {"y": "Yes, give it", "n": "No, hold it"}, "y"),
    ],
)
def test_a_choice_is_read_by_id_label_letter_or_first_words(text: str, choices: dict[str, str], choice: str) -> None:
    """Each way of naming one choice gives its id."""
    reading = read_answer(text, "choice", choices=choices)
    assert isinstance(reading, Reading)
    assert reading.choice == choice
    assert reading.shown == choices[choice]


@pytest.mark.parametrize(
    ("text", "choices"),
    [
        ("a", RANGE),  # the first, or "above"?
        ("b", RANGE),  # the second, or "below"?
        ("a) Within", RANGE),
        ("the safe range", RANGE),
        ("not within", RANGE),
        ("within or above", RANGE),
        ("A hold", LETTERS),
        ("dose", LETTERS),
        ("c", LETTERS),
        ("give", {"x": "Give 1 mL", "y": "Give 2 mL"}),
        ("5 mL", {}),
        (".5 mL", {"x": "5 mL", "y": "6 mL"}),
        ("-5 mL", {"x": "5 mL", "y": "6 mL"}),
        ("<5 mL", {"x": "5 mL", "y": "6 mL"}),
    ],
)
def test_a_choice_is_never_guessed_between_two(text: str, choices: dict[str, str]) -> None:
    """A text that fits two choices, or none, goes before a person."""
    assert isinstance(read_answer(text, "choice", choices=choices), Unread)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0,5", "did you mean 0.5?"),
        (",5 mL", "did you mean 0.5?"),
        ("0,500 mL", "did you mean 0.500?"),
        ("125 mL/h or 130", "two numbers here, 125 and 130"),
        ("5-6 mL", "range"),
        ("5 m", "'m' could mean minutes or meters"),
        ("5 MU", "milliunits or million units"),
        ("21/2 tab", "type 2 1/2, or 21 / 2"),
        ("mL/h", "Type the number first"),
    ],
)
def test_the_reason_says_how_to_mend_it(text: str, words: str) -> None:
    """The sentence names what the student can type instead."""
    reading = read_answer(text, "quantity")
    assert isinstance(reading, Unread)
    assert words in reading.reason


def test_every_notice_has_a_rule_with_a_source() -> None:
    """Each notice that the tables expect stands in the notation file, with what to write instead and who says so."""
    rules = notation_rules()
    expected = {rule for row in QUANTITIES["read"] for rule in row.get("notices", [])}
    assert expected <= set(rules)
    assert all(rule.says and rule.instead and rule.source for rule in rules.values())
    assert {key for key, rule in rules.items() if rule.joint_commission} == {
        "trailing_zero", "no_leading_zero", "unit_u", "unit_iu", "qd", "qod", "ms"
    }  # fmt: skip


def test_sources_in_words_are_those_of_the_catalogue() -> None:
    """The reader carries its citations with it; they are the catalogue's."""
    assert all(rule.source == source(rule.source_key).cite() for rule in notation_rules().values())


def test_another_kind_of_question_is_the_program_s_mistake() -> None:
    """Only the caller can cause an exception, never the typed text."""
    with pytest.raises(ValueError, match="quantity, clock, choice or setup"):
        read_answer("5", "essay")
