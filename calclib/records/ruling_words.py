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
    if ruling.kind == "time":
        if value["time"]:
            return f"The hand-in came on {_moment(value['time'])}."
        return "The hand-in came in time." if ruling.pseudonym else "What came at a time that isn't known came in time."
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
    return {
        "credit": "Everyone who handed in gets full points for it.",
        "void": "It counts for nobody.",
        "leave": "The notebook stays set aside, and gets no points.",
        "take": "The notebook is marked although it was set aside.",
    }[ruling.kind]


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


def _moment(text: str) -> str:
    time = dt.datetime.fromisoformat(text).astimezone(dt.UTC)
    return f"{time.day} {time:%B %Y, %H:%M} UTC"


def _points(text: str) -> str:
    return f"{_number(text)} {'point' if Fraction(text) == 1 else 'points'}"


def _number(text: str) -> str:
    return write_number(Fraction(text), 4)
