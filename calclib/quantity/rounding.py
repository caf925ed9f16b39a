"""Rounding as named rules: a step, a direction, a way with ties, perhaps changing with the size of the number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any, Literal, TypeAlias

from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Enclosure, Exact, Undecided, absolute, ends
from calclib.quantity.rounding_facts import Bands, how_fact, rule_fact, to_fact
from calclib.quantity.writing import decimals_of
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

Mode: TypeAlias = Literal["nearest", "down", "up"]
Tie: TypeAlias = Literal["half_up", "half_even", "half_stays"]
MODES = ("nearest", "down", "up")
TIES = ("half_up", "half_even", "half_stays")

HALF = Fraction(1, 2)
# Farther from any boundary than a number can be: rules without a boundary, and exact values that stand on a step.
NO_BOUNDARY = Fraction(1)


@dataclass(frozen=True)
class RoundingBand:
    """One step size for the numbers below a limit.

    Args:
        below: The band holds numbers smaller than this; None for the last band.
        step: Multiples of this are written; 0 means that nothing is rounded.
    """

    below: Fraction | None
    step: Fraction


@dataclass(frozen=True)
class RoundingRule:
    """How one kind of answer is rounded.

    Args:
        name: Rule name, such as `pump_rate`.
        unit: Unit that the steps count, "" where the rule fits any unit.
        bands: Step sizes by size of the number, smallest first; the last has no limit.
        mode: To the nearest step, down toward zero (cut off), or up away from zero.
        tie: What an exact half does; `half_stays` leaves it as it is (half a tablet).
        source: Key in `sources.toml`.

    Raises:
        BadInput: if the bands are not in order or have no last one.
    """

    name: str
    unit: str
    bands: tuple[RoundingBand, ...]
    mode: Mode
    tie: Tie
    source: str

    def __post_init__(self) -> None:
        limits = [band.below for band in self.bands]
        inner = [limit for limit in limits[:-1] if limit is not None]
        if not limits or limits[-1] is not None or len(inner) != len(limits) - 1 or sorted(set(inner)) != inner:
            raise BadInput(fact("errors_quantity.order_of_bands", name=self.name))
        if any(band.step < 0 for band in self.bands):
            raise BadInput(fact("errors_quantity.step_below_zero", name=self.name))
        if self.mode not in MODES or self.tie not in TIES:
            raise BadInput(fact("errors_quantity.mode_or_tie", name=self.name, modes=tuple(MODES), ties=tuple(TIES)))

    def step_at(self, x: Exact) -> Fraction:
        """Step size that holds for a number of this size.

        Raises:
            Undecided: if an enclosure reaches across the limit of a band.
        """
        if len(self.bands) == 1:
            return self.bands[0].step
        if isinstance(x, Fraction):
            over, under = abs(x.numerator), x.denominator
            return next(step for top, bottom, step in self._limits if over * bottom < top * under)
        size = absolute(x)
        return next(band.step for band in self.bands if band.below is None or size < band.below)

    @cached_property
    def _limits(self) -> tuple[tuple[int, int, Fraction], ...]:
        """Each band's limit as two whole numbers, that of the last as 1/0, with its step."""
        ends = ((1, 0) if band.below is None else band.below.as_integer_ratio() for band in self.bands)
        return tuple((top, bottom, band.step) for (top, bottom), band in zip(ends, self.bands, strict=True))

    def rounded(self, x: Exact) -> Fraction:
        """The number as this rule writes it.

        Raises:
            Undecided: if an enclosure reaches across the point where the result changes.
        """
        if isinstance(x, Fraction):
            return self._rounded_fraction(x)
        low, high = ends(x)
        if low == high:
            return self._rounded_fraction(low)
        if self.step_at(x) == 0:
            raise Undecided(fact("errors_quantity.not_rounded", name=self.name))
        below, above = self._rounded_fraction(low), self._rounded_fraction(high)
        if below != above:
            raise Undecided(
                fact(
                    "errors_quantity.rounding_undecided",
                    low=str(low),
                    high=str(high),
                    below=str(below),
                    above=str(above),
                )
            )
        return below

    def _rounded_fraction(self, x: Fraction) -> Fraction:
        step_over, step_under = self.step_at(x).as_integer_ratio()
        if step_over == 0:
            return x
        # Whole numbers throughout: this runs for every path of every answer, and fractions would reduce at each turn.
        over, under = x.as_integer_ratio()
        one = under * step_over
        whole, rest = divmod(abs(over) * step_under, one)
        if self.mode == "nearest" and 2 * rest == one and self.tie == "half_stays":
            return x
        if self._goes_up(whole, rest, one):
            whole += 1
        return Fraction(whole * step_over if over >= 0 else -whole * step_over, step_under)

    def _goes_up(self, whole: int, rest: int, one: int) -> bool:
        """Whether `rest` of `one` step beyond `whole` steps takes the number up to the next step."""
        if self.mode == "down":
            return False
        if self.mode == "up":
            return rest > 0
        if 2 * rest == one:
            return self.tie == "half_up" or whole % 2 == 1
        return 2 * rest > one

    def steps_from_boundary(self, x: Exact) -> Fraction:
        """How far the number stands from the nearest point where its rounded value changes, in steps.

        An exact value that stands on a step is safe when digits are cut off or rounded up, and an exact half is safe
        when halves stay: both give 1, as does a rule that does not round.
        """
        low, high = ends(x)
        from_jump = self._steps_from_jump(x)
        return from_jump if len(self.bands) == 1 else min(from_jump, self._steps_from_limit(low, high))

    def _steps_from_jump(self, x: Exact) -> Fraction:
        low, high = ends(x)
        try:
            step = self.step_at(x)
        except Undecided:
            return Fraction(0)
        if step == 0:
            return NO_BOUNDARY
        if low == high:
            return self._fraction_from_jump(low, step)
        offset = HALF if self.mode == "nearest" else Fraction(0)
        from_jump = [end / step - offset for end in (low, high)]
        cells = [place.numerator // place.denominator for place in from_jump]
        if cells[0] != cells[1]:
            return Fraction(0)
        return min(from_jump[0] - cells[0], cells[1] + 1 - from_jump[1])

    def _fraction_from_jump(self, x: Fraction, step: Fraction) -> Fraction:
        steps, one = abs(x.numerator) * step.denominator, x.denominator * step.numerator
        if self.mode == "nearest":
            steps, one = 2 * steps - one, 2 * one
        rest = steps % one
        if rest == 0 and (self.mode != "nearest" or self.tie == "half_stays"):
            return NO_BOUNDARY
        return Fraction(min(rest, one - rest), one)

    def _steps_from_limit(self, low: Fraction, high: Fraction) -> Fraction:
        """Distance to a limit between bands where the two steps write different numbers."""
        distance = NO_BOUNDARY
        for band, following in zip(self.bands, self.bands[1:], strict=False):
            if band.below is None or _on_both(band.below, band.step, following.step):
                continue
            for limit in (band.below, -band.below):
                gap = Fraction(0) if low <= limit <= high else min(abs(low - limit), abs(high - limit))
                distance = min(distance, gap / max(band.step, following.step))
        return distance

    def decimals_at(self, x: Exact) -> int:
        """Digits after the decimal point with which the rounded value is written.

        Raises:
            BadInput: if nothing is rounded and the number has no finite decimals.
            Undecided: if an enclosure reaches across the limit of a band, or nothing is rounded.
        """
        step = self.step_at(x)
        if step == 0 and isinstance(x, Enclosure):
            raise Undecided(fact("errors_quantity.rule_does_not_round", name=self.name))
        if step == 0 or self.tie == "half_stays":
            return decimals_of(self.rounded(x))
        return decimals_of(step)

    def text(self, unit: str) -> str:
        """The rule as the student reads it beside the question, for answers in `unit`."""
        return sentence(self.told(unit))

    def told(self, unit: str) -> Fact:
        """The whole rule as a fact, for answers in `unit`."""
        if unit not in self._told:
            self._told[unit] = rule_fact(self._steps, self.mode, self.tie, unit)
        return self._told[unit]

    def how(self, unit: str) -> Fact:
        """The rule as a clause, “round to the nearest tenth”, without what becomes of a half or a remainder."""
        return how_fact(self._steps, self.mode, unit)

    def to(self, unit: str) -> Fact | None:
        """To what is rounded, “to the nearest tenth”; None where that depends on the size."""
        return to_fact(self._steps, self.mode, unit)

    @cached_property
    def _told(self) -> dict[str, Fact]:
        return {}

    @property
    def _steps(self) -> Bands:
        return [(band.below, band.step) for band in self.bands]

    def to_record(self) -> dict[str, Any]:
        """The rule as plain text and lists, for JSON."""
        bands = [{"below": None if b.below is None else str(b.below), "step": str(b.step)} for b in self.bands]
        return {
            "name": self.name,
            "unit": self.unit,
            "bands": bands,
            "mode": self.mode,
            "tie": self.tie,
            "source": self.source,
        }

    @staticmethod
    def from_record(record: Mapping[str, Any]) -> RoundingRule:
        """The rule that `to_record` wrote."""
        bands = tuple(
            RoundingBand(None if band["below"] is None else Fraction(band["below"]), Fraction(band["step"]))
            for band in record["bands"]
        )
        return RoundingRule(record["name"], record["unit"], bands, record["mode"], record["tie"], record["source"])


@dataclass(frozen=True)
class IntermediateRule:
    """A rounding in the middle of a calculation that a course requires or lets pass.

    Args:
        rule: How the intermediate result is rounded.
        when: `required` or `allowed`.
    """

    rule: RoundingRule
    when: Literal["required", "allowed"]


@dataclass(frozen=True)
class RoundingPolicy:
    """The rounding rules of a course.

    Args:
        name: Name to choose it by.
        title: A few words.
        says: The policy in one or two sentences, for faculty and students.
        source: Key in `sources.toml`.
        rules: Rule for each kind of answer.
        intermediate: Rounding within a calculation, by kind of quantity.
        equivalences: Values that count as right for a taught conversion, the preferred one first.
        version: Goes up when a rule changes.
    """

    name: str
    title: str
    says: str
    source: str
    rules: Mapping[str, RoundingRule]
    intermediate: Mapping[str, IntermediateRule]
    equivalences: Mapping[str, tuple[str, ...]]
    version: int

    def rule(self, name: str) -> RoundingRule:
        """The rule for one kind of answer.

        Raises:
            BadInput: if no policy knows this kind.
        """
        if name not in self.rules:
            raise BadInput(
                fact("errors_quantity.no_rule", policy=self.name, name=name, known=tuple(sorted(self.rules)))
            )
        return self.rules[name]

    def to_record(self) -> dict[str, Any]:
        """The policy as plain text and lists, for JSON."""
        return {
            "name": self.name,
            "title": self.title,
            "says": self.says,
            "source": self.source,
            "rules": {name: rule.to_record() for name, rule in self.rules.items()},
            "intermediate": {
                kind: {"rule": step.rule.to_record(), "when": step.when} for kind, step in self.intermediate.items()
            },
            "equivalences": {name: list(values) for name, values in self.equivalences.items()},
            "version": self.version,
        }

    @staticmethod
    def from_record(record: Mapping[str, Any]) -> RoundingPolicy:
        """The policy that `to_record` wrote."""
        return RoundingPolicy(
            name=record["name"],
            title=record["title"],
            says=record["says"],
            source=record["source"],
            rules={name: RoundingRule.from_record(rule) for name, rule in record["rules"].items()},
            intermediate={
                kind: IntermediateRule(RoundingRule.from_record(step["rule"]), step["when"])
                for kind, step in record["intermediate"].items()
            },
            equivalences={name: tuple(values) for name, values in record["equivalences"].items()},
            version=record["version"],
        )


def _on_both(limit: Fraction, *steps: Fraction) -> bool:
    """Whether a limit is a multiple of the steps on both sides, so that both write it alike."""
    return all(step == 0 or (limit / step).denominator == 1 for step in steps)
