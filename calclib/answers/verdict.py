"""What the judge says of one typed answer."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from calclib.answers.roundings import Rounding
from calclib.reading.records import Blank, Reading, Unread
from calclib.reading.writing import shown_number, shown_unit
from calclib.wording.facts import Fact
from calclib.wording.sentences import sentence

# From best to worst: of all that apply to number and unit, the last one is the verdict.
VERDICTS = {
    "right": "the accepted value in the unit asked",
    "right_in_another_unit": "the accepted value, converted exactly",
    "right_before_rounding": "the exact value, or rightly rounded or cut off at finer digits than the rule",
    "carried_forward": "wrong, but the right consequence of a wrong answer to an earlier part, where it was marked",
    "unexplained": "a set-up that comes to the right number, but does not show how",
    "rounded_wrongly": "the exact value rounded in the wrong direction or to the wrong place",
    "not_the_unit_asked": "a right value in another unit where one unit alone answers: a conversion, a pump, a device",
    "unit_missing": "a right number without a unit",
    "unit_wrong": "a right number with a unit that makes it wrong",
    "repeats_the_order": "what the stem states, in its own unit, where writing it in another is all that is asked",
    "wrong_with_cause": "a wrong value to which a known mistake leads",
    "wrong": "a wrong value to which no known mistake leads",
    "unread": "a text without a single reading; a person looks",
    "not_judged": "an error in this program kept the answer from being judged; a person looks",
    "blank": "nothing was answered",
}
ANOTHER_PATH = "another_path"
"""The notice on an answer that is right only by a path which the draw would have avoided: see `part.accepted`."""
RIGHT = frozenset({"right", "right_in_another_unit", "right_before_rounding"})
WRONG = frozenset({"wrong", "wrong_with_cause"})
LOOKED_AT = frozenset({"unread", "not_judged"})
"""Verdicts that wait for a person."""


@dataclass(frozen=True)
class Cause:
    """A mistake that leads to a wrong answer.

    Args:
        fault: The kind of the mistake.
        step: The step in which it was made.
        given: The given, conversion or term that it concerns.
        certain: Whether it is the only mistake known to lead there; else it is offered as a question.
        what: What was done, as a fact.
        also: Kinds of mistakes much like it that lead to the same answer, so that either name is right.
    """

    fault: str
    step: str
    given: str
    certain: bool
    what: Fact
    also: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        """A clause that can follow “It looks like”."""
        return sentence(self.what)


@dataclass(frozen=True)
class SetupFound:
    """What was found of a set-up where the set-up is what is asked.

    Args:
        verdict: A word of VERDICTS.
        causes: What is wrong in it.
        value: What a wrong one comes to, in the unit asked; later parts go on from there.
        told: What is told to the student: why it could not be read, if it could not.
    """

    verdict: str
    causes: tuple[Cause, ...] = ()
    value: Fraction | None = None
    told: tuple[Fact, ...] = ()

    @property
    def message(self) -> str:
        """What is told to the student, in words."""
        return " ".join(map(sentence, self.told))


class PartVerdict(NamedTuple):
    """The verdict on one part.

    Args:
        part: The part's name.
        verdict: A word of VERDICTS.
        right: Whether value and unit are clinically right.
        score: The share of the points by the marking policy.
        critical: Whether the error could do grave harm.
        fails: What the critical error fails beside: nothing, part or exam.
        needs_person: Whether a person must look.
        notices: Unsafe ways of writing, rule and source; ANOTHER_PATH and the rounding policy that allows the path.
        reading: How the text was read.
        accepted_by: The path by which the answer is accepted ("" if it is not).
        expected_rule: The rounding rule that applies.
        causes: Mistakes that lead to the answer.
        message: What is told to the student.
        rounding: How the right value was rounded, where it was not rounded as asked.
        error: The kind of error in this program that kept the answer from being judged, "" for none.
    """

    part: str
    verdict: str
    right: bool
    score: Fraction
    critical: bool
    fails: str
    needs_person: bool
    notices: tuple[tuple[str, str], ...]
    reading: Reading | Unread | Blank
    accepted_by: str
    expected_rule: str
    causes: tuple[Cause, ...]
    message: str
    rounding: Rounding | None = None
    error: str = ""

    def to_json(self) -> dict[str, Any]:
        """Return the verdict as values that JSON can hold; `score` as a decimal number."""
        return {
            "part": self.part,
            "verdict": self.verdict,
            "right": self.right,
            "score": float(self.score),
            "critical": self.critical,
            "needs_person": self.needs_person,
            "notices": [{"rule": rule, "source": source} for rule, source in self.notices],
            "reading": _reading_json(self.reading),
            "accepted_by": self.accepted_by,
            "expected_rule": self.expected_rule,
            "causes": [
                {
                    "fault": c.fault,
                    "step": c.step,
                    "given": c.given,
                    "certain": c.certain,
                    "says": c.says,
                    "also": list(c.also),
                }
                for c in self.causes
            ],
            "message": self.message,
            **({"rounding": _rounding_json(self.rounding)} if self.rounding else {}),
            **({"error": self.error} if self.error else {}),
        }


def _rounding_json(rounding: Rounding) -> dict[str, Any]:
    return {
        "kind": rounding.kind,
        "manner": rounding.manner,
        "step": rounding.step,
        "decimals": rounding.decimals,
    }


def _reading_json(reading: Reading | Unread | Blank) -> dict[str, Any]:
    if isinstance(reading, Unread):
        return {
            "value": None,
            "unit": None,
            "text": reading.text,
            "reason": reading.reason,
            "position": reading.position,
        }
    if isinstance(reading, Blank):
        return {"value": None, "unit": None, "text": reading.text}
    value: str | None = None
    if reading.value is not None:
        value = shown_number(reading.value).replace(",", "")
    elif reading.choice is not None or reading.clock is not None:
        value = reading.shown
    return {"value": value, "unit": shown_unit(reading.unit), "text": reading.text, "shown": reading.shown}
