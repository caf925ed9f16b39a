"""How well a judge names mistakes: what was planted against what was said, from the answers alone.

Which kinds of the judge's mistakes (`calclib.faults`) name a planted one rightly is written here and nowhere else, so
that neither side knows the other. Where two mistakes of the students' list lead to the same answer, either name is
right: nobody can tell them apart.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from calclib.answers.verdict import PartVerdict
from calclib.demo.simulated_students import Planted
from calclib.demo.students.behaviour import human_errors

LEFT_OUT = frozenset({"left out", "amount left out", "volume left out"})
SET_UP_NUMBER = "set-up: wrong number"
SLIP = frozenset({"slip of the finger", SET_UP_NUMBER})
DECIMAL = frozenset({"decimal slip", SET_UP_NUMBER})
TERM = frozenset({"term left out"})
ROW = frozenset({"one rate for all", "first rate only"})

# Planted mistake: the kinds that name it rightly. A mistake that is not here lies outside of the judge's list.
NAMES: Mapping[str, frozenset[str]] = {
    "conversion-forgotten": frozenset({"conversion left out", "used unconverted"}),
    "conversion-backwards": frozenset({"conversion inverted"}),
    "decimal-slip": DECIMAL,
    "ten-fold": DECIMAL,
    "wrong-metric-step": DECIMAL,  # 100 for 1,000 gives the number of a slipped point
    "percent-as-mg-in-ml": DECIMAL,  # so does 1 mg/mL for 1 %
    "percent-for-each-ml": DECIMAL | LEFT_OUT,  # and 1 g/mL for 1 %, whose 100 mL are left out
    "factor-forgotten": LEFT_OUT,
    "divisor-forgotten": LEFT_OUT,
    "day-for-dose": LEFT_OUT,
    "divided-for-multiplied": frozenset({"inverted"}),
    "multiplied-for-divided": frozenset({"inverted", "strength inverted"}),
    "division-inverted": frozenset({"divided the wrong way"}),
    "have-over-desired": frozenset({"divided the wrong way"}),
    "share-inverted": frozenset({"divided the wrong way"}),
    "strength-forgotten": frozenset({"left out"}),
    "strength-upside-down": frozenset({"strength inverted", "divided the wrong way"}),
    "strength-volume-forgotten": frozenset({"volume left out", "left out"}),
    "strength-amount-forgotten": frozenset({"amount left out", "left out"}),
    "diluent-for-final-volume": frozenset({"wrong given"}),
    "drug-volume-for-bag": frozenset({"wrong given"}),
    "first-volume-again": frozenset({"wrong given"}),
    "wrong-weight": frozenset({"wrong given"}),
    "wrong-drop-factor": frozenset({"wrong value", SET_UP_NUMBER}),
    "interval-for-doses": frozenset({"used unconverted"}),
    "rounded-down": frozenset({"rounded down"}),
    "term-forgotten": TERM,
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
    "early-rounding": frozenset({"rounded early"}),
    "fraction-upside-down": frozenset({"inverted"}),
    "wrong-digit-typed": SLIP,
    "digits-swapped-typed": SLIP,
    # A number copied wrongly may be one for which it is often taken: the drop factor 10 for 15, say.
    "miscopied-digit": SLIP | {"wrong value"},
    "swapped-figures": SLIP | {"wrong value"},
    "sixty-as-hundred": frozenset({"clock as number", "decimal hours"}),
    "twelve-forgotten": TERM,  # the 12 hours of the afternoon
    "dose-at-both-ends": TERM,  # the 1 that is to be taken off the number of doses
    "mixing-forgotten": TERM,  # the fluid in the line with which the drug mixes
    "day-for-period": LEFT_OUT,
}

# Rounding is a verdict of its own, not a cause; early rounding often leads to the right answer.
SOFT = frozenset({"early-rounding", "rounded-the-other-way", "rounded-too-far", "not-rounded"})


@dataclass(frozen=True)
class Judged:
    """One answer: what was planted, and what the judge said.

    Args:
        item: The kind of problem.
        planted: What was planted.
        right: Whether it was judged right.
        causes: Kinds of the mistakes named, each with the kinds like it that lead to the same answer, and whether it
            was said without a question mark.
    """

    item: str
    planted: Planted
    right: bool
    causes: tuple[tuple[frozenset[str], bool], ...]


def judged(item: str, planted: Planted, verdict: PartVerdict) -> Judged:
    """Return an answer with the verdict on it."""
    return Judged(
        item, planted, verdict.right, tuple((frozenset({c.fault, *c.also}), c.certain) for c in verdict.causes)
    )


@dataclass(frozen=True)
class Measured:
    """Counts of named mistakes.

    Args:
        hard: Planted single mistakes that are on the judge's list and change the answer.
        found: Of these, named among the causes.
        named: Answers with a cause that is said without a question mark.
        right: Of these, the planted mistake, or one that leads to the same answer.
        outside: Wrong answers whose mistake is not on the judge's list, or is several at once.
        blamed: Of these, put down to a mistake without a question mark that was not made.
        sound: Right answers as planted, in whatever harmless writing.
        refused: Of these, not judged right.
        missed: Mistakes that were not named, by id.
        mistaken: (planted mistake, what was said) by count.
    """

    hard: int
    found: int
    named: int
    right: int
    outside: int
    blamed: int
    sound: int
    refused: int
    missed: Mapping[str, int]
    mistaken: Mapping[tuple[str, str], int]

    @property
    def recall(self) -> Fraction | None:
        """Share of the hard single mistakes that were named; None without any."""
        return Fraction(self.found, self.hard) if self.hard else None

    @property
    def precision(self) -> Fraction | None:
        """Share of the mistakes named without a question mark that had been made; None without any."""
        return Fraction(self.right, self.named) if self.named else None


def is_hard(planted: Planted) -> bool:
    """Whether a planted mistake is a single one of the judge's list that always changes the answer."""
    if planted.kind != "error" or not planted.single or planted.error in SOFT:
        return False
    return planted.error in NAMES and not human_errors()[planted.error].beyond


def right_names(planted: Planted) -> frozenset[str]:
    """Return the kinds that name a planted mistake rightly; for several at once, those of any of them."""
    mistakes = (*planted.error.split("+"), *planted.also)
    return frozenset().union(*(NAMES.get(mistake, frozenset()) for mistake in mistakes))


def measured(answers: Iterable[Judged]) -> Measured:
    """Compare what was planted in answers with what was said of them."""
    count: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    mistaken: Counter[tuple[str, str]] = Counter()
    for answer in answers:
        planted = answer.planted
        if planted.kind == "right":
            count["sound"] += 1
            count["refused"] += not answer.right
        names = right_names(planted)
        if is_hard(planted):
            count["hard"] += 1
            hit = any(kinds & names for kinds, _ in answer.causes)
            count["found"] += hit
            missed[planted.error] += not hit
        elif planted.kind == "error":
            count["outside"] += 1
        sure = next((kinds for kinds, certain in answer.causes if certain), None)
        # What follows from an earlier mistake may be put down to it again: that is no new blame.
        if sure is None or planted.kind == "carried":
            continue
        count["named"] += 1
        count["right"] += bool(sure & names)
        if not sure & names:
            mistaken[planted.error or planted.kind, " / ".join(sorted(sure))] += 1
            count["blamed"] += planted.kind == "error" and not is_hard(planted)
    return Measured(
        **{name: count[name] for name in ("hard", "found", "named", "right", "outside", "blamed", "sound", "refused")},
        missed=+missed,
        mistaken=mistaken,
    )
