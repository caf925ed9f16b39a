"""How well a judge names mistakes: what was planted against what was said, from the answers alone.

Which kinds of the judge's mistakes (`calclib.faults`) name a planted one rightly is written here and nowhere else, so
that neither side knows the other. A name is right only if a student who made the mistake would know it again in the
sentence. What is said for certain is true if it was planted, or if it leads to the same answer: nobody can tell these
apart.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from fractions import Fraction
from typing import Any

from calclib.answers.verdict import PartVerdict
from calclib.demo.simulated_students import Planted
from calclib.wording.messages import cause_in_words

LEFT_OUT = frozenset({"left out", "amount left out", "volume left out"})
SET_UP_NUMBER = "set-up: wrong number"
SLIP = frozenset({"slip of the finger", SET_UP_NUMBER})
DECIMAL = frozenset({"decimal slip", SET_UP_NUMBER})
TERM = frozenset({"term left out"})
ROW = frozenset({"one rate for all", "first rate only"})

# A verdict that says by itself what was done.
ROUNDED_WRONGLY = "rounded_wrongly"
NOT_ROUNDED = "right_before_rounding"

ROUNDING = frozenset({"early-rounding", "rounded-the-other-way", "rounded-too-far", "not-rounded"})

# Planted mistake: the kinds that name it rightly. One that is not here is never named.
NAMES: Mapping[str, frozenset[str]] = {
    "conversion-forgotten": frozenset({"conversion left out", "used unconverted"}),
    "conversion-backwards": frozenset({"conversion inverted"}),
    "decimal-slip": DECIMAL,
    "ten-fold": DECIMAL,
    "wrong-metric-step": DECIMAL | {"wrong factor"},  # 100 for 1,000 gives the number of a slipped point
    "two-for-two-point-two": frozenset({"wrong factor"}),
    "neighboring-measure": frozenset({"wrong measure", "wrong factor"}),
    "percent-as-mg-in-ml": frozenset({"percent misread"}),
    "percent-for-each-ml": frozenset({"percent misread"}),
    # What is left undone last may be said as the result before it, and the doses of a day as one dose for the day.
    "factor-forgotten": LEFT_OUT | {"stopped early", "day for dose"},
    "divisor-forgotten": LEFT_OUT | {"stopped early"},
    "day-for-dose": LEFT_OUT | {"day for dose"},
    "added-for-multiplied": frozenset({"added for multiplied"}),
    "hour-miscounted": frozenset({"hour miscounted"}),
    "part-hour-dropped": frozenset({"hour miscounted"}),
    "doses-miscounted": frozenset({"doses miscounted"}),
    "rest-not-subtracted": frozenset({"rest not taken"}),
    "weight-not-asked-for": frozenset({"counted in"}),
    "added-volume-counted": frozenset({"counted in"}),
    "subtracted-what-was-replaced": frozenset({"counted in"}),
    "tubing-counted-twice": frozenset({"counted in"}),
    "divided-for-multiplied": frozenset({"inverted"}),
    "multiplied-for-divided": frozenset({"inverted", "strength inverted"}),
    "division-inverted": frozenset({"divided the wrong way", "strength inverted"}),
    "have-over-desired": frozenset({"divided the wrong way"}),
    "share-inverted": frozenset({"divided the wrong way"}),
    "strength-forgotten": frozenset({"left out"}),
    "strength-upside-down": frozenset({"strength inverted", "divided the wrong way"}),
    "strength-volume-forgotten": frozenset({"volume left out", "left out"}),
    "strength-amount-forgotten": frozenset({"amount left out", "left out"}),
    # Where diluent and drug are added up, it is said as the drug's volume not counted in.
    "diluent-for-final-volume": frozenset({"diluent for final volume", "wrong given", "term left out"}),
    "parts-exchanged": frozenset({"wrong given"}),
    "by-for-to": frozenset({"part for rest", "change for new value"}),
    "change-for-new-rate": TERM | {"change for new value"},
    "wrong-choice": frozenset({"wrong size"}),
    "powder-for-strength": frozenset({"wrong given"}),
    "diluent-for-strength": frozenset({"wrong given"}),
    "drug-volume-for-bag": frozenset({"wrong given"}),
    "first-volume-again": frozenset({"wrong given"}),
    "wrong-weight": frozenset({"wrong given"}),
    "wrong-drop-factor": frozenset({"wrong value", SET_UP_NUMBER}),
    "interval-for-doses": frozenset({"used unconverted"}),
    "rounded-down": frozenset({"rounded down"}),
    "term-forgotten": TERM | {"change for new value"},
    "forgot-to-subtract": TERM | ROW,  # of a value in bands what the first takes up
    "subtracted-for-added": frozenset({"wrong sign", "counted backwards"}),
    "added-for-subtracted": frozenset({"wrong sign", "counted backwards"}),
    "wrong-row": frozenset({"wrong row"}),
    "limit-ignored": frozenset({"limit ignored"}),
    "limit-always": frozenset({"limit ignored"}),
    "root-forgotten": frozenset({"root forgotten"}),
    "one-rate-for-all": ROW,
    "first-rate-only": ROW,
    "last-band-forgotten": ROW,
    "decimal-hours": frozenset({"decimal hours"}),
    "counted-backwards": frozenset({"counted backwards"}),
    "day-not-turned": frozenset({"wrong day"}),
    "set-up-conversion-missing": frozenset({"set-up: missing", "conversion left out", "used unconverted"}),
    "set-up-factor-upside-down": frozenset({"set-up: inverted"}),
    "small-mark-misjudged": frozenset({"mark misjudged"}),
    "marks-counted-the-wrong-way": frozenset({"counted the wrong way"}),
    "far-edge-read": frozenset({"wrong edge"}),
    "scale-upside-down": frozenset({"wrong end"}),
    "drop-miscounted": frozenset({"miscounted"}),
    "early-rounding": frozenset({"rounded early", ROUNDED_WRONGLY}),
    "rounded-the-other-way": frozenset({ROUNDED_WRONGLY}),
    "rounded-too-far": frozenset({ROUNDED_WRONGLY, "rounded too far"}),
    "other-number": frozenset({"number restated"}),
    "carry-slip": SLIP,  # said of a digit copied, worked out or typed wrongly
    "not-rounded": frozenset({NOT_ROUNDED, ROUNDED_WRONGLY}),
    "fraction-upside-down": frozenset({"inverted"}),
    "wrong-digit-typed": SLIP,
    "digits-swapped-typed": SLIP,
    # A number copied wrongly may be one for which it is often taken: the drop factor 10 for 15, say.
    "miscopied-digit": SLIP | {"wrong value", "misread number"},
    "swapped-figures": SLIP | {"wrong value", "misread number"},
    "sixty-as-hundred": frozenset({"clock as number", "decimal hours", "hundred minutes"}),
    "hundred-borrowed": frozenset({"clock as number", "hundred minutes"}),
    "twelve-forgotten": TERM | {"twelve hours"},  # the 12 hours of the afternoon
    "dose-at-both-ends": TERM | {"doses miscounted"},  # the 1 that is to be taken off the number of doses
    "mixing-forgotten": TERM | {"wrong given"},  # the fluid in the line with which the drug mixes
    "day-for-period": LEFT_OUT,
}


@dataclass(frozen=True)
class Said:
    """One mistake that the judge named.

    Args:
        kind: Its kind, as it is said.
        certain: Whether it was said without a question mark.
        also: Kinds like it that always lead to the same answer, and are not said.
        says: Its words.
    """

    kind: str
    certain: bool
    also: frozenset[str] = frozenset()
    says: str = ""


@dataclass(frozen=True)
class Judged:
    """One answer: what was planted, and what the judge said.

    Args:
        item: The kind of problem.
        planted: What was planted.
        right: Whether it was judged right.
        said: The mistakes named, the first one first.
        verdict: The verdict.
    """

    item: str
    planted: Planted
    right: bool
    said: tuple[Said, ...]
    verdict: str = ""

    @property
    def sure(self) -> Said | None:
        """What was said for certain, if anything."""
        return next((one for one in self.said if one.certain), None)


def said_of(verdict: str, causes: Iterable[Mapping[str, Any]]) -> tuple[Said, ...]:
    """Return what a verdict names.

    Args:
        verdict: The verdict; of two kinds of rounding it says itself what was done.
        causes: Its causes as they are recorded.
    """
    # The verdict says how the number was rounded, which is no cause: whether it is true is counted by itself.
    rounding = (Said(verdict, False),) if verdict in (ROUNDED_WRONGLY, NOT_ROUNDED) else ()
    named = (Said(c["fault"], bool(c["certain"]), frozenset(c.get("also", ())), cause_in_words(c)) for c in causes)
    return (*rounding, *named)


def judged(item: str, planted: Planted, verdict: PartVerdict) -> Judged:
    """Return an answer with the verdict on it."""
    causes = verdict.to_record()["causes"]
    return Judged(item, planted, verdict.right, said_of(verdict.verdict, causes), verdict.verdict)


def is_mistake(answer: Judged) -> bool:
    """Whether a planted mistake counts as one: rounding on the way does not where a legitimate path allows it."""
    allowed = answer.planted.error == "early-rounding" and answer.verdict == "right"
    return answer.planted.kind == "error" and not allowed


def is_let_through(answer: Judged) -> bool:
    """Whether a wrong answer is judged right, other than one that is only rounded wrongly."""
    return answer.right and answer.planted.error not in ROUNDING


def own_names(planted: Planted) -> frozenset[str]:
    """Return the kinds that name a planted mistake; for several at once, those of any of them."""
    return frozenset().union(*(NAMES.get(mistake, frozenset()) for mistake in planted.error.split("+")))


def is_named(answer: Judged) -> bool:
    """Whether the planted mistake is among those that the judge said; nothing said, nothing named."""
    return any(one.kind in own_names(answer.planted) for one in answer.said)


def is_true(answer: Judged, said: Said) -> bool:
    """Whether a mistake that was said was made, or leads to the same answer as the one that was."""
    alike = (NAMES.get(mistake, frozenset()) for mistake in answer.planted.also)
    return bool({said.kind, *said.also} & own_names(answer.planted).union(*alike))


@dataclass(frozen=True)
class Measured:
    """Counts of named mistakes.

    Args:
        single: Answers made wrong by one mistake, of whatever kind.
        found: Of these, with the mistake named.
        double: Answers made wrong by several mistakes at once.
        certain: Wrong answers of both sorts of which something is said without a question mark.
        true: Of these, with what was done, or with what leads to the same answer.
        misled: Answers by several mistakes of which something else is said without a question mark.
        sound: Right answers as planted, in whatever harmless writing.
        refused: Of these, not judged right.
        let_through: Answers made wrong by a mistake other than of rounding that are judged right.
    """

    single: int
    found: int
    double: int
    certain: int
    true: int
    misled: int
    sound: int
    refused: int
    let_through: int

    @property
    def recall(self) -> Fraction | None:
        """Share of the single mistakes that were named; None without any."""
        return Fraction(self.found, self.single) if self.single else None

    @property
    def precision(self) -> Fraction | None:
        """Share of what was said without a question mark that is true; None if nothing was."""
        return Fraction(self.true, self.certain) if self.certain else None


def measured(answers: Iterable[Judged]) -> Measured:
    """Compare what was planted in answers with what was said of them."""
    count: Counter[str] = Counter()
    for answer in answers:
        if answer.planted.kind == "right":
            count["sound"] += 1
            count["refused"] += not answer.right
        # What follows from an earlier mistake may be put down to it again, and is no mistake of its own.
        if not is_mistake(answer):
            continue
        single, sure = answer.planted.single, answer.sure
        count["single" if single else "double"] += 1
        count["found"] += single and is_named(answer)
        count["let_through"] += is_let_through(answer)
        if sure is not None:
            true = is_true(answer, sure)
            count["certain"] += 1
            count["true"] += true
            count["misled"] += not single and not true
    return Measured(**{field.name: count[field.name] for field in fields(Measured)})
