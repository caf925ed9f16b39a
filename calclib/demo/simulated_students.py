"""What a simulated student is shown and what it types: the whole exchange with the program that plays students.

The students in `students/` see the label of a kind of problem, its text and its questions, as a person does. They
know nothing of item models, keys, fault lists or draws, so that what they plant can measure what a judge finds.
"""

from __future__ import annotations

from dataclasses import dataclass

# What a typed answer is, as planted.
KINDS = {
    "right": "the right answer, written in one of many harmless ways",
    "error": "a wrong answer: one mistake, or several",
    "carried": "wrong, but the right consequence of a wrong answer to an earlier part",
    "notation": "the right answer in an unsafe notation",
    "unit": "the right number without its unit, or with a wrong one",
    "unread": "a text that is no single answer",
    "blank": "nothing",
}


@dataclass(frozen=True)
class Question:
    """One question as it is printed.

    Args:
        name: By which its answer is filed.
        asked: The question.
        rule: How to round, in words ("" for a choice).
        unit: Unit of the answer ("" for a time or a choice).
        kind: quantity, clock, choice or setup.
        choices: The choices as printed.
    """

    name: str
    asked: str
    rule: str
    unit: str
    kind: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Planted:
    """What was planted in a typed answer.

    Args:
        kind: A word of `KINDS`.
        error: Id of the mistake in students/human_errors.toml; several joined by "+"; "" if there is none.
        single: Whether it is one mistake alone.
        place: Where the mistake was made: the value or the operation, in words.
        what: The mistake in a sentence.
        also: Ids of other single mistakes of the list that lead to the very same answer here: nobody can tell these
            apart.
    """

    kind: str
    error: str = ""
    single: bool = False
    place: str = ""
    what: str = ""
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class TypedAnswer:
    """The text that a student typed for one question, and what was planted in it."""

    part: str
    text: str
    planted: Planted
