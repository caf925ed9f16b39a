"""What one typed answer is, before the marking policy values it: its number and its unit, judged apart."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cached_property

from calclib.answers.diagnosis.causes import GUESSES, ROUNDED_EARLY, cause_of, causes_of, clock_causes, other_kinds
from calclib.answers.diagnosis.miscopied import as_printed
from calclib.answers.numbers import DOUBTFUL, WRONG, NumberStatus, number_status
from calclib.answers.roundings import Rounding
from calclib.answers.units import TypedUnit, typed_unit, unit_in_period
from calclib.answers.verdict import RIGHT, Cause
from calclib.items.item import Item, ItemPart, StatedGiven
from calclib.reading.records import Blank, Reading, Unread
from calclib.wording.facts import Fact, fact

DAY = 1440
ONE = Fraction(1)
_NUMBER = re.compile(r"[0-9]+(?:,[0-9]{3})*(?:\.[0-9]+)?")


_TIME = re.compile(r"(?<![0-9])([0-9]{1,2})[:.h ]?([0-5][0-9])(?![0-9])")
_HALF_OF_DAY = re.compile(r"[ap]\.? ?m\b|(?<=[0-9])[ap]\b|\b(?:morning|noon|afternoon|evening|night)\b", re.IGNORECASE)


class Finding:
    """What was found of one answer before the marking policy values it.

    `also` is the verdict on the number where the verdict is on the unit: the answer is worth the lesser of the two.
    `another` says that the number is right only by a path that does not lead to the key. `told` takes the place of
    the usual. `rounding` is how the right value was rounded, where it was not as asked.
    """

    __slots__ = ("also", "another", "causes", "critical_ratio", "rounding", "told", "verdict", "way")

    def __init__(
        self,
        verdict: str,
        way: Fact | None = None,
        causes: tuple[Cause, ...] = (),
        ratio: Fraction | None = None,
        also: str = "",
        another: bool = False,
        told: tuple[Fact, ...] = (),
        rounding: Rounding | None = None,
    ) -> None:
        self.verdict = verdict
        self.way = way
        self.causes = causes
        self.critical_ratio = ratio
        self.also = also
        self.another = another
        self.told = told
        self.rounding = rounding

    def without_ratio(self) -> Finding:
        """Return the same without how many times too large or too small the answer is."""
        return Finding(self.verdict, self.way, self.causes, None, self.also, rounding=self.rounding)


class Facts:
    """What the judgment of every part needs of the item; it holds the numbers in the stem."""

    def __init__(self, item: Item) -> None:
        self.conversions = tuple(item.equivalences.items())
        self.stem = item.stem
        self._item = item

    def __contains__(self, value: object) -> bool:
        return value in self._stated

    @property
    def stated_givens(self) -> tuple[StatedGiven, ...]:
        """The givens as the stem states them."""
        return self._item.givens

    @cached_property
    def givens(self) -> tuple[StatedGiven, ...]:
        """The numbers that may have been copied wrongly."""
        return as_printed(self.stem, self._item.givens)

    @cached_property
    def _stated(self) -> frozenset[Fraction]:
        return frozenset(_numbers_in(self.stem))


def found_in(part: ItemPart, reading: Reading | Unread | Blank, facts: Facts) -> tuple[Finding, Fraction | str | None]:
    """Return what an answer is, and its value in the unit asked where it has one.

    Args:
        part: The part that asks for an amount, a time or a choice.
        reading: How the answer was read.
        facts: What is known of the item.
    """
    if isinstance(reading, Blank):
        return Finding("blank"), None
    if isinstance(reading, Unread):
        return Finding("unread"), None
    if part.kind == "choice":
        return _choice(part, reading), reading.choice
    if part.kind == "clock":
        return _clock(part, reading, facts)
    return _quantity(part, reading, facts)


def _quantity(part: ItemPart, reading: Reading, facts: Facts) -> tuple[Finding, Fraction | str | None]:
    assert reading.value is not None and part.key is not None
    unit = typed_unit(reading.unit, part.unit, facts.conversions)
    if unit.status == "wrong":
        unit = unit_in_period(reading.unit, part.unit, part.asked, facts.conversions) or unit
    factor = unit.factor if unit.factor is not None else ONE
    value = reading.value if factor == 1 else reading.value * factor
    status = number_status(part, value, reading.decimals, factor)
    if _repeats(part, reading, facts) or (status.verdict in RIGHT and _repeats_mixture(part, reading, facts)):
        return Finding("repeats_the_order"), value
    if status.verdict == "right" and unit.status == "same":
        return Finding("right", status.by, another=status.another), value
    if _in_stated_unit(part, reading, facts):
        status = WRONG  # another number in the unit of the order is no conversion of it, however it was rounded
    ratio = value / part.key if part.key else None
    doubtful = status.rounding is not None and status.rounding.kind in DOUBTFUL
    if doubtful and _hard_fault(part, value):
        status = WRONG
    if status.verdict == "wrong":
        if unit.status == "other" and number_status(part, reading.value, reading.decimals, ONE).verdict in RIGHT:
            return Finding("unit_wrong", ratio=ratio), value
        found = causes_of(part, value, reading.decimals, factor, facts, facts.givens, doubtful=doubtful)
        return Finding("wrong_with_cause" if found else "wrong", causes=found, ratio=ratio), value
    return _rightly_set_up(part, reading, status, unit, ratio, value, facts), value


def _rightly_set_up(
    part: ItemPart,
    reading: Reading,
    status: NumberStatus,
    unit: TypedUnit,
    ratio: Fraction | None,
    value: Fraction,
    facts: Facts,
) -> Finding:
    """The finding on a number that comes from the right calculation, rounded as asked or not."""
    worst, also = status.verdict, ""
    if unit.status == "other":
        if part.one_unit:
            worst, also = "not_the_unit_asked", worst
        elif worst == "right":
            worst = "right_in_another_unit"
    elif unit.status in ("missing", "wrong"):
        worst, also = f"unit_{unit.status}", worst
    causes: tuple[Cause, ...] = ()
    if status.verdict == "rounded_wrongly":
        factor = unit.factor if unit.factor is not None else ONE
        early = causes_of(part, value, reading.decimals, factor, facts)
        early = tuple(c for c in early if c.fault not in GUESSES)
        causes = tuple(Cause(c.fault, c.step, c.given, False, c.what) for c in early)
    return Finding(worst, status.by, causes, ratio, also, status.another, rounding=status.rounding)


def _repeats(part: ItemPart, reading: Reading, facts: Facts) -> bool:
    """Whether an answer is what the stem states, in its own unit, where changing that unit is all that is asked."""
    return part.converts is not None and reading.value == part.converts[0] and _in_stated_unit(part, reading, facts)


def _in_stated_unit(part: ItemPart, reading: Reading, facts: Facts) -> bool:
    """Whether an answer has the unit of the stem, where changing that unit is all that is asked."""
    if part.converts is None or not reading.unit:
        return False
    return typed_unit(reading.unit, part.converts[1], facts.conversions).status == "same"


def _repeats_mixture(part: ItemPart, reading: Reading, facts: Facts) -> bool:
    """Whether a strength was typed with the very numbers of the stem: 1:200, or 1 g/200 mL, where percent is asked."""
    if part.key is None or reading.decimals is not None:
        return False
    typed = _numbers_in(reading.text)
    return len(typed) > 1 and any(typed == _numbers_in(given.text) for given in facts.stated_givens)


def _numbers_in(text: str) -> tuple[Fraction, ...]:
    return tuple(Fraction(number.replace(",", "")) for number in _NUMBER.findall(text))


def _hard_fault(part: ItemPart, value: Fraction) -> bool:
    return any(f.hard and not f.spare and f.fault != ROUNDED_EARLY and f.written == value for f in part.faults)


def _clock(part: ItemPart, reading: Reading, facts: Facts) -> tuple[Finding, Fraction | str | None]:
    assert reading.clock is not None and part.key is not None and part.exact is not None
    minutes, day = reading.clock
    key_day, key_minutes = divmod(int(part.key), DAY)
    value = Fraction(minutes + DAY * (day if day is not None else key_day))
    if ways := [a for a in part.accepted if minutes in _shown_minutes(a.low)]:
        way = next((a for a in ways if day in (None, a.low // DAY)), None)
        if way is not None:
            value = minutes + DAY * Fraction(way.low // DAY)
            if part.one_unit and twelve_hour(reading.text):
                return Finding("repeats_the_order"), value
            another = minutes not in _shown_minutes(part.key) and not way.decided
            return Finding("right", way.by, another=another), value
        assert day is not None, "without a day the time is right"
        exactly = tuple(cause_of(f, False) for f in part.faults if f.written == value)
        off = fact("mistake.day_too_early" if key_day > day else "mistake.day_too_late")
        wrong_day = Cause("wrong day", "", "", not exactly, off)
        return Finding("wrong_with_cause", causes=(wrong_day, *exactly)), value
    exact = part.exact
    if not isinstance(exact, Fraction):
        return Finding("wrong"), value
    if exact.denominator != 1 and minutes in (int(exact) % DAY, (int(exact) + 1) % DAY):
        cut_off = minutes == int(exact) % DAY
        return Finding("rounded_wrongly", rounding=Rounding("cut_off" if cut_off else "wrong_direction")), value
    causes = clock_causes(part, minutes, facts.givens)
    if abs(minutes - key_minutes) == DAY // 2:
        twelve = Cause("twelve hours", "", "", not causes, fact("mistake.twelve_hours_off"))
        return Finding("wrong_with_cause", causes=(twelve,)), value
    return Finding("wrong_with_cause" if causes else "wrong", causes=causes), value


def twelve_hour(text: str) -> bool:
    """Tell whether a time was typed on the 12-hour clock alone: 5:27 pm, and not 1727 or 17:27 (5:27 pm).

    Args:
        text: What was typed; it was read as a time of day.
    """
    hours = [int(hour) for hour, _ in _TIME.findall(text)]
    return _HALF_OF_DAY.search(text) is not None and all(1 <= hour <= 12 for hour in hours)


def _shown_minutes(value: Fraction) -> tuple[int, ...]:
    """The times of day that show a value: where a rule keeps parts of a minute, the two next to it."""
    below = value.__floor__()
    return (below % DAY,) if value == below else (below % DAY, (below + 1) % DAY)


def _choice(part: ItemPart, reading: Reading) -> Finding:
    if reading.choice == part.accepted_choice:
        return Finding("right", fact("way.comparison"))
    if way := dict(part.other_choices).get(reading.choice or ""):
        return Finding("right", way)
    found = [f for f in part.faults if f.choice == reading.choice]
    causes = tuple(cause_of(f, False) for f in found[:1]) + (other_kinds(found) if found else ())
    return Finding("wrong_with_cause" if causes else "wrong", causes=causes)
