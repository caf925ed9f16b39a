"""A worksheet: the operations of a calculation, at each of which a student may err.

A procedure works on a worksheet as a nurse works on paper. Each operation notes which mistakes could be made at it,
and makes those that the worksheet was started with. Worked once without mistakes, a procedure therefore tells all
that can go wrong in it; worked again with one of these, it gives the wrong answer.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from calclib.demo.students.conversions import HOUSEHOLD, neighbors, taught
from calclib.demo.students.figures import DIGITS, number, product, quotient, root, to_step
from calclib.demo.students.rounding import Rule


@dataclass(frozen=True)
class Opening:
    """A mistake that could be made: which, at which value or operation, in how many ways."""

    error: str
    place: str
    variants: int = 1


@dataclass(frozen=True)
class Mistake:
    """A mistake that is made, in one of its ways."""

    error: str
    place: str
    variant: int = 0


@dataclass(frozen=True)
class TimeOfDay:
    """A time: minutes after midnight of the first day, and whether another day is said."""

    minutes: Decimal
    day_said: bool = True


Answer = Decimal | TimeOfDay | str


def exchangeable(text: str) -> list[tuple[int, int]]:
    """Return the places of digits that may change places as a number is copied.

    Digits on both sides of a point do not, nor does a zero come to stand first: these would be slips of the point.
    """
    digits = [i for i, sign in enumerate(text) if sign.isdigit()]
    pairs = [(i, j) for i, j in itertools.pairwise(digits) if "." not in text[i:j] and text[i] != text[j]]
    return [(i, j) for i, j in pairs if i > digits[0] or text[j] != "0"]


class Worksheet:
    """One calculation on paper.

    Args:
        mistakes: What goes wrong.
        rules: The rounding rule of each question.
        own: Answers to take onward in the place of those that were worked out.
        asked: The questions as printed: some hold a number.
    """

    def __init__(
        self,
        mistakes: Sequence[Mistake] = (),
        rules: Mapping[str, Rule] | None = None,
        own: Mapping[str, Answer] | None = None,
        asked: Mapping[str, str] | None = None,
    ) -> None:
        self._made = {(m.error, m.place): m.variant for m in mistakes}
        self._rules = rules or {}
        self._own = own or {}
        self.asked = asked or {}
        self.openings: list[Opening] = []
        self.answers: dict[str, Answer] = {}

    @property
    def goes_wrong(self) -> bool:
        """Whether a mistake is made somewhere."""
        return bool(self._made or self._own or self._rules)

    def slips(self, error: str, place: str, variants: int = 1) -> int | None:
        """Note that a mistake could be made here; return its variant if it is made, else None."""
        if variants:
            self.openings.append(Opening(error, place, variants))
        return self._made.get((error, place))

    def read(self, text: str, place: str) -> Decimal:
        """Copy a number from the problem."""
        value = number(text)
        digits = [i for i, sign in enumerate(text) if sign.isdigit()]
        pairs = exchangeable(text)
        if (way := self.slips("decimal-slip", place, 2)) is not None:
            value = product(value, Decimal(10)) if way == 0 else quotient(value, Decimal(10))
        if (way := self.slips("miscopied-digit", place, 9 * len(digits))) is not None:
            at, more = digits[way // 9], 1 + way % 9
            value = number(text[:at] + str((int(text[at]) + more) % 10) + text[at + 1 :])
        if (way := self.slips("swapped-figures", place, len(pairs))) is not None:
            i, j = pairs[way % len(pairs)]
            value = number(text[:i] + text[j] + text[i + 1 : j] + text[i] + text[j + 1 :])
        return value or number(text)

    def converted(self, value: Decimal, have: str, want: str, place: str) -> Decimal:
        """Convert a value as taught; nothing happens where the unit is already the one wanted."""
        if have == want:
            return value
        factor, multiply = taught(have, want)
        if self.slips("conversion-forgotten", place) is not None:
            return value
        if self.slips("conversion-backwards", place) is not None:
            multiply = not multiply
        household = neighbors(have if want == "mL" else want, HOUSEHOLD) if "mL" in (have, want) else ()
        if (way := self.slips("neighboring-measure", place, len(household))) is not None:
            factor = taught(household[way], "mL")[0]
        thousand = factor in (1000, 1000000)
        if (way := self.slips("wrong-metric-step", place, 2 if thousand else 0)) is not None:
            factor = quotient(factor, Decimal((10, 100)[way]))
        if self.slips("sixty-as-hundred", place, int(factor == 60)) is not None:
            factor = Decimal(100)
        if self.slips("two-for-two-point-two", place, int(factor == Decimal("2.2"))) is not None:
            factor = Decimal(2)
        return product(value, factor) if multiply else quotient(value, factor)

    def times(self, value: Decimal, factor: Decimal, place: str) -> Decimal:
        """Multiply a value by the factor named `place`."""
        if self.slips("factor-forgotten", place) is not None:
            return value
        if self.slips("divided-for-multiplied", place) is not None:
            return quotient(value, factor)
        if self.slips("added-for-multiplied", place) is not None:
            return DIGITS.add(value, factor)
        if (way := self.slips("table-slip", place, 2)) is not None:
            digit = Decimal(1).scaleb(factor.adjusted())
            factor = factor + digit if way == 0 or factor <= digit else factor - digit
        return product(value, factor)

    def over(self, value: Decimal, divisor: Decimal, place: str) -> Decimal:
        """Divide a value by the divisor named `place`."""
        if self.slips("divisor-forgotten", place) is not None:
            return value
        if self.slips("multiplied-for-divided", place) is not None:
            return product(value, divisor)
        if self.slips("division-inverted", place) is not None:
            return quotient(divisor, value)
        return quotient(value, divisor)

    def total(self, terms: Sequence[tuple[str, Decimal]]) -> Decimal:
        """Add named terms."""
        result = Decimal(0)
        for i, (place, value) in enumerate(terms):
            if self.slips("term-forgotten", place) is not None:
                continue
            if self.slips("subtracted-for-added", place, int(i > 0)) is not None:
                value = -value
            result = DIGITS.add(result, value)
        if (way := self.slips("carry-slip", "sum", 2)) is not None:
            ten = Decimal(1).scaleb(max(result.adjusted() - 1, 0))
            result = result + ten if way == 0 else result - ten
        return result

    def less(self, value: Decimal, taken: Decimal, place: str) -> Decimal:
        """Subtract what is named `place`."""
        if self.slips("forgot-to-subtract", place) is not None:
            return value
        if self.slips("added-for-subtracted", place) is not None:
            return DIGITS.add(value, taken)
        return DIGITS.subtract(value, taken)

    def rooted(self, value: Decimal, place: str) -> Decimal:
        """Take a square root."""
        return value if self.slips("root-forgotten", place) is not None else root(value)

    def on_the_way(self, value: Decimal, place: str) -> Decimal:
        """Write down an intermediate result, which nobody asked to round."""
        if (way := self.slips("early-rounding", place, 2)) is not None:
            rounded = to_step(value, (Decimal(1), Decimal("0.1"))[way])
            return rounded or value
        return value

    def answer(self, part: str, value: Decimal) -> Decimal:
        """Note the answer to a question, before rounding; return what to go on with."""
        self.answers[part] = value
        own = self._own.get(part, value)
        return own if isinstance(own, Decimal) else value

    def written_down(self, part: str, text: str) -> str:
        """Note a set-up; return the one to go on from."""
        self.answers[part] = text
        own = self._own.get(part, text)
        return own if isinstance(own, str) else text

    def note(self, part: str, value: Answer) -> None:
        """Note an answer that nothing else is worked out from."""
        self.answers[part] = value

    def rounded(self, part: str, value: Decimal) -> Decimal:
        """Return a value as the question's rule rounds it."""
        rule = self._rules.get(part)
        return rule.rounded(value) if rule else value
