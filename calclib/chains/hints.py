"""Hints in three rungs: what is asked and which values matter; the set-up with a gap; the set-up whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import singledispatch

from calclib.chains.chain import Chain
from calclib.chains.factors import EQUIVALENCE, Factor, Value
from calclib.chains.kinds.band import Band
from calclib.chains.kinds.between import Between
from calclib.chains.kinds.choose import Choose
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.compare import Compare
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import REASON, Decide
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import RaisedTo, Root
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.shown import (
    EQUALS,
    GAP,
    MINUS,
    PLUS,
    Amount,
    Line,
    Maths,
    Ratio,
    Segment,
    Showing,
    Words,
    amount,
    amount_text,
    line_fact,
)
from calclib.chains.step import Step
from calclib.chains.worked_solution import is_repeated
from calclib.chains.worked_steps import band_words, limit_of, row_words
from calclib.quantity.clock import clock_time
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.writing import write_number, write_unit
from calclib.reading.vocabulary import unit_symbol
from calclib.wording.facts import Fact, fact

RUNGS = (1, 2, 3)
_ENDINGS = (".stated", ".amount", ".volume")


@dataclass(frozen=True)
class GivenText:
    """A given as a stem states it: its name, words and text, and whether it is stated without being used."""

    name: str
    says: str
    text: Fact | str
    distractor: bool

    @property
    def told(self) -> Fact:
        """The given with what the stem states."""
        return fact("hint.value", phrase=self.says, text=self.text)


@dataclass(frozen=True)
class Hints:
    """All that hints for one part need.

    Args:
        chain: The chain.
        values: All its values.
        asked: The step whose value is asked.
        unit: The unit of the answer as text, "" for a time of day or a choice.
        givens: The givens that the stem states.
        known: Steps that earlier parts ask.
        drawn: Givens that are read from a drawing: their numbers are for the student to find.
    """

    chain: Chain
    values: Mapping[str, Value]
    asked: str
    unit: str
    givens: tuple[GivenText, ...]
    known: frozenset[str] = frozenset()
    drawn: frozenset[str] = frozenset()

    def lines(self, rung: int, step: str = "", given: str = "") -> tuple[Fact, ...]:
        """Return the lines of a hint; none gives the result of a step.

        Args:
            rung: 1, 2 or 3.
            step: The step that went wrong, "" if that is not known.
            given: The given, strength or equivalence that went wrong in it, "" if that is not known.
        """
        if rung == 1:
            return self._asked_and_needed()
        step, given = self._place(step, given) if rung == 2 else ("", "")
        return tuple(line_fact(line) for line in self._setup(step, given))

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps from the givens, or from earlier parts, to the answer."""
        behind = frozenset[str]().union(*(self.chain.ancestors(name) for name in self.known))
        needed = self.chain.ancestors(self.asked) - (behind - {self.asked})
        steps = (step for step in self.chain.steps if step.name in needed)
        return tuple(step for step in steps if not is_repeated(step, self.chain, needed))

    def _asked_and_needed(self) -> tuple[Fact, ...]:
        used = {name for step in self.steps for name in step.inputs}
        needed = [g.told for g in self.givens if used & _names_of(g.name)]
        earlier = [step.says for step in self.chain.steps if step.name in used & self.known]
        needed += [fact("hint.from_earlier_part", phrase=phrase) for phrase in earlier]
        not_needed = [g.told for g in self.givens if g.distractor and not used & _names_of(g.name)]
        told = [self._what_is_asked()]
        told += [fact("hint.needed", values=tuple(needed))] if needed else []
        told += [fact("hint.not_needed", values=tuple(not_needed))] if not_needed else []
        return tuple(told)

    def _what_is_asked(self) -> Fact:
        asked = self.chain.by_name[self.asked]
        phrase: Fact | str = asked.says
        if self.unit and not _names_unit(asked.says, self.unit):
            phrase = fact("hint.phrase_in_unit", phrase=phrase, unit=_unit_words(self.unit))
        if isinstance(asked, Clock):
            phrase = fact("hint.clock_asked", phrase=phrase)
        if isinstance(asked, (Compare, Decide)):
            return fact("hint.compare_asked", phrase=phrase)
        return fact("hint.choose_asked" if isinstance(asked, Choose) else "hint.asked", phrase=phrase)

    def _setup(self, gap_step: str, gap: str) -> tuple[Line, ...]:
        lines: list[Line] = []
        for step in self.steps:
            hidden = gap if step.name == gap_step else None
            showing = Showing(self.chain, self.values, in_words=frozenset(self.chain.by_name) | self.drawn)
            lines.extend(setup_lines(step, showing, hidden))
            if step.name in self.chain.rounded:
                lines.append(_round_line(step, self.chain.rounded[step.name]))
        return tuple(lines)

    def _place(self, step: str, given: str) -> tuple[str, str]:
        """The step with the gap: the one that went wrong, else the first that uses the given, else the last."""
        names = [s.name for s in self.steps]
        if step not in names:
            users = [s.name for s in self.steps if given and any(_touches(n, given) for n in s.inputs)]
            step = users[0] if users else names[-1]
        return step, given


def _names_unit(says: str, unit: str) -> bool:
    """Whether words tell the unit already: “volume in quarts”, “tablets for one dose”."""
    symbols = {unit_symbol(says.partition(" ")[0]), unit_symbol(says.rpartition(" in ")[2])}
    return says.endswith(f" in {unit}") or str(unit) in symbols


def _unit_words(unit: str) -> Fact | str:
    """“in mL”, but “in inches”: “in in” is no English."""
    return fact("hint.inches") if unit == "in" else write_unit(unit)


def _round_line(step: Step, rule: RoundingRule) -> Line:
    return (Words(fact("hint.rounded", phrase=step.says, rule=rule.told(str(step.unit)))),)


def _names_of(given: str) -> set[str]:
    """The names of a given's numbers in the chain; a column of a row that is called “volume” has names of its own."""
    return {given, *(f"{given}{ending}" for ending in _ENDINGS)}


def _touches(name: str, given: str) -> bool:
    return name in _names_of(given) or name == f"{EQUIVALENCE}{given}"


@singledispatch
def setup_lines(step: Step, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    """Return the lines that set a step up, without its result.

    Args:
        step: The step.
        showing: The chain, its values and how factors are shown.
        gap: None for no gap, else the value that is left open; "" for the one that is most easily missed.
    """
    raise NotImplementedError(f"no set-up for {type(step).__name__}")


def _product(factors: Sequence[Factor], showing: Showing, gap: str | None, root: bool = False) -> Maths:
    if gap is None:
        return showing.product(factors, root)
    names = [f.group or f.name for f in factors]
    wanted = next((n for n in names if gap and _touches(n, gap)), None)
    if wanted is None:
        conversions = [f.name for f in factors if f.is_equivalence]
        divisors = [f.group or f.name for f in factors if f.group or f.exponent < 0]
        wanted = (conversions or divisors or names)[-1]
    shown = replace(showing, gap=wanted).product(factors, root)
    return shown if len(shown.ratios) > 1 else Maths((Ratio("", Amount(GAP, is_words=True)),), root)


def _in_unit(step: Step) -> tuple[Words, ...]:
    unit = str(step.unit)
    return (Words(fact("hint.in_unit", unit=_unit_words(unit))),) if unit and not _names_unit(step.says, unit) else ()


@setup_lines.register
def _(step: Product, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    return ((Words(step.says), EQUALS, _product(step.factors, showing, gap), *_in_unit(step)),)


@setup_lines.register
def _(step: Sum, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    open_term = None
    if gap is not None:
        names = [[f.group or f.name for f in term.factors] for term in step.terms]
        touched = [i for i, of_term in enumerate(names) if gap and any(_touches(name, gap) for name in of_term)]
        open_term = touched[0] if touched else len(step.terms) - 1
    total: list[Segment] = []
    for place, term in enumerate(step.terms):
        if place == open_term:
            total.append(Words(GAP))
            continue
        total += [PLUS if term.sign > 0 else MINUS] if total or term.sign < 0 else []
        total.append(showing.product(term.factors))
    return ((Words(step.says), EQUALS, *total, *_in_unit(step)),)


@setup_lines.register
def _(step: Limit, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    taken = limit_of(step) if gap is None else fact("hint.limit_gap", gap=GAP)
    shown: list[Segment] = []
    for place, term in enumerate(step.terms):
        shown += [Words(fact("worked.and"))] if place else []
        shown.append(showing.product(term))
    return ((Words(step.says), EQUALS, Words(taken), *shown, *_in_unit(step)),)


@setup_lines.register
def _(step: Root, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    return ((Words(step.says), EQUALS, _product(step.factors, showing, gap, root=True), *_in_unit(step)),)


@setup_lines.register
def _(step: RaisedTo, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    power = GAP if gap is not None else write_number(step.exponent)
    return ((Words(step.says), EQUALS, showing.one(step.base), Words(fact("worked.raised_to_power", exponent=power))),)


@setup_lines.register
def _(step: Band, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    unit = showing.chain.unit(step.of)
    value = showing.values[step.of]
    assert not isinstance(value, str)
    rate_unit = step.unit / unit
    lines: list[Line] = []
    below = Fraction(0)
    reached = step.reached(value)
    for place, band in enumerate(step.bands[: reached + 1]):
        rate = GAP if gap is not None and place == reached else amount_text(amount(band.rate, rate_unit))
        of_band = band_words(below, band.upto, unit)
        if place < reached:
            wide = amount_text(amount((band.upto or below) - below, unit))
            words = fact("hint.band", band=of_band, amount=wide, rate=rate)
        elif place:
            words = fact("hint.band_rest", band=of_band, rate=rate)
        else:
            words = fact("hint.band_all", band=of_band, phrase=showing.says(step.of), rate=rate)
        lines.append((Words(words),))
        below = band.upto if band.upto is not None else below
    if not step.progressive or len(lines) == 1:
        return ((Words(step.says), EQUALS, *lines[-1]),)
    return (*lines, (Words(fact("hint.band_sum", phrase=step.says)),))


@setup_lines.register
def _(step: Lookup, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    key = showing.values[step.key]
    shown = key if isinstance(key, str) else amount_text(amount(key, showing.chain.unit(step.key)))
    row = row_words(step.rows[step.row_of(key)], showing.chain.unit(step.key))
    where: Fact | str = showing.says(step.key)
    if step.key not in showing.chain.by_name:
        where = fact("hint.value", phrase=where, text=shown)
    if gap is not None:
        words = fact("hint.lookup_gap", phrase=step.says, key=where, gap=GAP)
    elif row == shown:
        words = fact("hint.lookup", phrase=step.says, key=where)
    else:
        words = fact("hint.lookup_row", phrase=step.says, key=where, row=row)
    return ((Words(words),),)


@setup_lines.register
def _(step: CountUp, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    words = Words(fact("hint.count_up"))
    return ((Words(step.says), EQUALS, _product(step.factors, showing, gap), words),)


@setup_lines.register
def _(step: Round, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    return (_round_line(step, step.rule),)


@setup_lines.register
def _(step: Clock, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    start = showing.values[step.start]
    assert isinstance(start, Fraction)
    words = fact(
        "hint.clock",
        phrase=step.says,
        start=clock_time(start).write(),
        sign=GAP if gap is not None else "+" if step.sign > 0 else "-",
        duration=showing.says(step.add[0].name),
    )
    return ((Words(words),), (Words(fact("hint.clock_past_midnight")),))


@setup_lines.register
def _(step: Compare, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    limits: list[Segment] = []
    sides = ((step.low, fact("hint.compare_at_least")), (step.high, fact("hint.compare_at_most")))
    for factors, word in sides:
        if factors:
            limits += [Words(fact("worked.and")), Words(word)] if limits else [Words(word)]
            limits += [Words(GAP)] if gap is not None else _with_article(showing.product(factors))
    begins, value = Words(fact("worked.compare", phrase=step.says)), _with_article(showing.product(step.value))
    return ((begins, *value, Words(fact("worked.comma")), *limits, Words(fact("hint.question_mark"))),)


def _with_article(shown: Maths) -> list[Segment]:
    """A value that is named in words takes “the”; a number takes none."""
    first = shown.ratios[0].top
    named = first is not None and first.is_words and first.number[:1].isalpha()
    return [Words(fact("hint.the")), shown] if named else [shown]


@setup_lines.register
def _(step: Decide, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    look = fact("decision.look" if step.column == REASON else "decision.what_follows")
    shown = look if gap is None else fact("decision.gap", look=look, phrase=step.says, gap=GAP)
    return ((Words(shown),),)


@setup_lines.register
def _(step: Choose, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    unit = showing.chain.unit(step.of)
    sizes = tuple(amount_text(amount(option.upto, unit)) for option in step.options if option.upto is not None)
    if gap is None:
        return ((Words(fact("hint.choose", phrase=step.says, sizes=sizes, of=showing.says(step.of))),),)
    return ((Words(fact("hint.choose_gap", gap=GAP, phrase=step.says, sizes=sizes, of=showing.says(step.of))),),)


@setup_lines.register
def _(step: Between, showing: Showing, gap: str | None) -> tuple[Line, ...]:
    start, end = showing.values[step.start], showing.values[step.end]
    assert isinstance(start, Fraction) and isinstance(end, Fraction)
    words = fact(
        "hint.between",
        phrase=step.says,
        begin=clock_time(start).write(),
        end=GAP if gap is not None else clock_time(end).write(),
    )
    return ((Words(words),), (Words(fact("hint.between_past_midnight")),))
