"""What the judge says of one typed answer."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from calclib.answers.roundings import Rounding
from calclib.reading.records import Blank, Reading, Unread
from calclib.reading.writing import shown_number, shown_unit
from calclib.wording.facts import Fact
from calclib.wording.messages import message
from calclib.wording.sentences import sentence

# From best to worst: of all that apply to number and unit, the last one is the verdict.
VERDICTS = (
    "right",
    "right_in_another_unit",
    "right_before_rounding",
    "carried_forward",
    "unexplained",
    "rounded_wrongly",
    "not_the_unit_asked",
    "unit_missing",
    "unit_wrong",
    "repeats_the_order",
    "wrong_with_cause",
    "wrong",
    "unread",
    "not_judged",
    "blank",
)
ANOTHER_PATH = "another_path"
"""The notice on an answer that is right only by a path which the draw would have avoided: see `part.accepted`."""
RIGHT = frozenset({"right", "right_in_another_unit", "right_before_rounding"})
WRONG = frozenset({"wrong", "wrong_with_cause"})
LOOKED_AT = frozenset({"unread", "not_judged"})
"""Verdicts that wait for a person."""
SETUP_KINDS = ("inverted", "missing", "extra", "wrong number", "wrong unit", "wrong conversion")
SETUP_FAULTS = frozenset({"set-up", *(f"set-up: {kind}" for kind in SETUP_KINDS)})
"""Kinds of mistakes that a typed set-up shows: found in one that is asked, or in arithmetic typed as an answer."""


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
        accepted_by: The way by which the answer is right (None if it is not).
        expected_rule: The rounding rule that applies.
        causes: Mistakes that lead to the answer.
        told: What is told to the student, as facts.
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
    accepted_by: Fact | None
    expected_rule: str
    causes: tuple[Cause, ...]
    told: tuple[Fact, ...]
    rounding: Rounding | None = None
    error: str = ""

    @property
    def message(self) -> str:
        """What is told to the student, in words."""
        return message(self.told)

    def to_json(self) -> dict[str, Any]:
        """Return the verdict for programs: its record, with the words that a person reads beside the facts."""
        record = self.to_record()
        for cause, found in zip(record["causes"], self.causes, strict=True):
            cause["says"] = found.says
        if isinstance(self.reading, Unread):
            record["reading"]["reason"] = self.reading.reason
        return {**record, "message": self.message}

    def to_record(self) -> dict[str, Any]:
        """Return the verdict as facts that JSON can hold; `score` as a decimal number."""
        return {
            "part": self.part,
            "verdict": self.verdict,
            "right": self.right,
            "score": float(self.score),
            "critical": self.critical,
            "needs_person": self.needs_person,
            "notices": [{"rule": rule, "source": source} for rule, source in self.notices],
            "reading": _reading_json(self.reading),
            "accepted_by": None if self.accepted_by is None else self.accepted_by.to_record(),
            "expected_rule": self.expected_rule,
            "causes": [
                {
                    "fault": c.fault,
                    "step": c.step,
                    "given": c.given,
                    "certain": c.certain,
                    "what": c.what.to_record(),
                    "also": list(c.also),
                }
                for c in self.causes
            ],
            "told": [one.to_record() for one in self.told],
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
            "reason": reading.why.to_record(),
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
