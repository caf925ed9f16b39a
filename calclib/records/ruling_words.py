"""What a ruling decides, of what it speaks and when it was made, in words."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

from calclib.quantity.writing import write_number
from calclib.records.rulings import Ruling


def ruling_in_words(ruling: Ruling) -> str:
    """Return what a ruling decides, as a sentence without its reason."""
    value = ruling.value
    if ruling.kind == "answer":
        return f"This answer gets {_points(value['points'])}."
    if ruling.kind == "failing":
        fails = "fails" if value["outcome"] == "confirmed" else "doesn't fail"
        return f"The error in this answer {fails} the whole set."
    if ruling.kind == "text":
        return f"“{value['text']}” is accepted as an answer."
    if ruling.kind == "within":
        amount = f"{_number(value['amount'])}%" if value.get("percent") else _number(value["amount"])
        return f"Numbers within {amount} of the right answer are accepted."
    if ruling.kind == "between":
        return f"Numbers from {_number(value['low'])} to {_number(value['high'])} are accepted."
    if ruling.kind == "withdraw":
        return f"Ruling {value['number']} no longer holds."
    if ruling.kind == "marking":
        return f"The set is marked by the marking policy “{value['policy']}”."
    if ruling.kind == "hand_in":
        taken = "is the student's own and was taken" if value["outcome"] == "taken" else "was left out"
        return f"The hand-in {value['sign']} in this name {taken}."
    if ruling.kind == "rounding":
        stays = "what is right by the rule printed in the notebook stays right"
        goes = "the rule printed in the notebook no longer counts"
        return f"Answers are keyed by the rounding policy “{value['policy']}”; {stays if value['printed'] else goes}."
    if ruling.kind == "model":
        where = where_in_words(ruling)
        stays = "what is right by the key that was handed out stays right"
        goes = "the key that was handed out no longer counts"
        return (
            f"{where[:1].upper()}{where[1:]} {'are' if len(ruling.problems) > 1 else 'is'} re-keyed, by version "
            f"{value['version']} of “{value['model']}” in place of version {value['before']}; "
            f"{stays if value['printed'] else goes}."
        )
    if ruling.kind == "credit":
        of = _attempts(value.get("attempts", ""))
        return f"Everyone who handed in{of} gets full points for it."
    return {
        "void": "It counts for nobody.",
        "leave": "The notebook stays set aside, and gets no points.",
        "take": "The notebook is marked although it was set aside.",
    }[ruling.kind]


def _attempts(numbers: str) -> str:
    every = numbers.split()
    if not every:
        return ""
    return f" attempt {every[0]}" if len(every) == 1 else f" attempts {', '.join(every[:-1])} or {every[-1]}"


def where_in_words(ruling: Ruling) -> str:
    """Return of what a ruling speaks: "problem 3, rate", "problems 1 and 2", "the whole set"."""
    if not ruling.problems:
        return "the whole set"
    if len(ruling.problems) > 1:
        numbers = [str(number) for number in ruling.problems]
        return f"problems {', '.join(numbers[:-1])} and {numbers[-1]}"
    return f"problem {ruling.problems[0]}{', ' if ruling.part else ''}{ruling.part.replace('_', ' ')}"


def day_in_words(at: str) -> str:
    """Return the day of a recorded time: "2 December 2026"."""
    time = dt.datetime.fromisoformat(at)
    return f"{time.day} {time:%B %Y}"


def _points(text: str) -> str:
    return f"{_number(text)} {'point' if Fraction(text) == 1 else 'points'}"


def _number(text: str) -> str:
    return write_number(Fraction(text), 4)
