"""A worked example as lines of arithmetic, whole or with gaps, and the judging of what is typed into them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from calclib.chains.factors import EQUIVALENCE
from calclib.chains.kinds.band import Band
from calclib.chains.kinds.between import Between
from calclib.chains.kinds.choose import Choose
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.compare import Compare
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import Decide
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import Root
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.methods import FACTORS, FORMULA, METHODS, RATIO
from calclib.chains.shown import MINUS, PLUS, Amount, Line, Maths, Ratio, Words
from calclib.errors.messages import BadInput
from calclib.items.drawing import draw_item
from calclib.items.item import Accepted, Item, ItemPart
from calclib.items.solution import Solution, solution_of
from calclib.lessons.pieces import AMOUNT, Piece, Place, pieces_of
from calclib.lessons.why_words import LineKind, why_of
from calclib.models.bank import item_model
from calclib.paths.legitimate import KEY_PATH
from calclib.quantity.policies import rounding_policy
from calclib.quantity.writing import write_quantity, write_unit
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.answers.verdict import PartVerdict

Gaps = Literal[0, 1, 2, "all"]
GAPS: tuple[Gaps, ...] = (0, 1, 2, "all")
METHOD_NAMES = {
    FACTORS: "Units that cancel",
    RATIO: "Ratio and proportion",
    FORMULA: "Formula (desired over have)",
}
assert set(METHOD_NAMES) == set(METHODS)
ANSWER = "answer"
# What a line does that shows a result alone, by the kind of its step.
_RESULTS = {Choose: LineKind.ENOUGH, Lookup: LineKind.LOOKED_UP, Round: LineKind.ROUNDED_HERE}
# What a line does that is neither a product nor a sum, by the kind of its step.
_ARITHMETIC = {Root: LineKind.ROOT, CountUp: LineKind.COUNTED_UP}
# What a line does that tells the answer which is left open.
TELLING = (LineKind.CLOCK, LineKind.COMPARED, LineKind.DECIDED)
# Why an answer that is not a quantity is written as it is, by the kind of its part.
_ANSWERS = {"clock": LineKind.CLOCK_ANSWER, "choice": LineKind.DECISION}


@dataclass(frozen=True)
class BoardLine:
    """One line.

    Args:
        pieces: What is written, from left to right.
        why: Why, in a sentence.
    """

    pieces: tuple[Piece, ...]
    why: str


@dataclass(frozen=True)
class BoardPart:
    """One question of a worked example.

    Args:
        name: The part's name.
        asked: The question.
        rule: How the answer is rounded.
        lines: The lines that lead to the answer; none where all is left to the student.
        choices: What the answer is chosen from; none where it is typed.
    """

    name: str
    asked: str
    rule: str
    lines: tuple[BoardLine, ...]
    choices: tuple[str, ...] = ()


class Board:
    """A worked example of an item model.

    Args:
        model_id: The item model.
        given: Its numbers, by the names of its givens.
        gaps: 0 for the whole example; 1 for one with the answer left out; 2 for one with a number of the set-up left
            out too; “all” for an empty board.

    Raises:
        BadInput: There is no such model, its numbers don't fit, or gaps is none of the four.
    """

    def __init__(self, model_id: str, given: Mapping[str, str], gaps: Gaps = 0) -> None:
        if gaps not in GAPS:
            raise BadInput(fact("errors_lessons.gaps"))
        self.gaps = gaps
        self.model = item_model(model_id)
        self.item: Item = draw_item(self.model, "board", given=given)
        self.asked: tuple[ItemPart, ...] = _left_to_ask(self.item.parts, gaps)

    @cached_property
    def solution(self) -> Solution:
        """The steps of the example with their values."""
        return solution_of(self.item, self.model)

    def parts(self, method: str, *, filled: bool = False) -> tuple[BoardPart, ...]:
        """Return the board by one method.

        Args:
            method: A key of `METHOD_NAMES`.
            filled: Whether the gaps are filled.
        """
        return tuple(self._part(part, method, filled) for part in self.asked)

    def judged(self, part: str, typed: str) -> PartVerdict:
        """Return the verdict on the answer of a part."""
        from calclib.answers.judging import judge_item
        from calclib.answers.marking_policy import marking_policy

        found = judge_item(self.item, {part: typed}, marking_policy("first-practice"))
        return next(one for one in found if one.part == part)

    def amount_judged(self, method: str, typed: str) -> PartVerdict:
        """Return the verdict on the number that is left out of the set-up, by the judge of all answers."""
        place = self.amount_gap(method)
        if place is None:
            raise BadInput(fact("errors_lessons.no_gap"))
        unit, key = str(place.amount.unit), _value(place.amount)
        policy = rounding_policy(self.item.policy_name)
        part = self.asked[-1]._replace(
            name=AMOUNT,
            kind="quantity",
            unit=unit,
            answer=write_quantity(key, unit),
            exact=key,
            key=key,
            rule=policy.rule("device_mark"),
            rule_text="",
            choices=(),
            accepted=(Accepted(key, key, KEY_PATH),),
            accepted_choice=None,
            faults=(),
            other_exact=(),
            ways=(),
            one_unit="",
            converts=None,
        )
        from calclib.answers.judging import judge_item
        from calclib.answers.marking_policy import marking_policy

        (found,) = judge_item(self.item._replace(parts=(part,)), {AMOUNT: typed}, marking_policy("first-practice"))
        return found

    def setup_judged(self, part: str, typed: str) -> str:
        """Return what a typed set-up shows, as a sentence."""
        from calclib.answers.setups.judging import judge_setup

        return judge_setup(self.item, self.model, rounding_policy(self.item.policy_name), part, typed).message

    def amount_gap(self, method: str) -> Place | None:
        """Return the number of the set-up that is left out: a conversion, else what stands below the line."""
        places = [place for part in self.asked for place in self._places(part, method)]
        steps = list(dict.fromkeys(place.step for place in places))
        last = [place for place in places if steps and place.step == steps[-1]]
        conversions = [place for place in places if self._ratio_name(place, method).startswith(EQUIVALENCE)]
        below = [place for place in last if place.side == "bottom"]
        found = conversions or below or last
        return found[-1] if found else None

    def _ratio_name(self, place: Place, method: str) -> str:
        line = next(lines for step, lines in self._steps_of(place.step, method) if lines)[place.line]
        segment = line[place.segment]
        assert isinstance(segment, Maths)
        return segment.ratios[place.ratio].name

    def _steps_of(self, step: str, method: str) -> list[tuple[str, tuple[Line, ...]]]:
        return [one for part in self.asked for one in self._steps(part, method) if one[0] == step]

    def _steps(self, part: ItemPart, method: str) -> tuple[tuple[str, tuple[Line, ...]], ...]:
        return self.solution.steps(part.name, method=method)

    def _places(self, part: ItemPart, method: str) -> list[Place]:
        """Numbers of the set-up that could be left out, in the order in which they are written."""
        return [
            Place(step, number, index, place, side, shown)
            for step, lines in self._steps(part, method)[:-1]
            for number, line in enumerate(lines)
            for index, segment in enumerate(line)
            if isinstance(segment, Maths) and not segment.result
            for place, ratio in enumerate(segment.ratios)
            for side, shown in _sides(ratio)
            if shown is not None and not shown.is_words and not shown.about and shown.number != "1"
        ]

    def _part(self, part: ItemPart, method: str, filled: bool) -> BoardPart:
        if self.gaps == "all" and not filled:
            return BoardPart(part.name, part.asked, part.rule_text, (), part.choices)
        opened = not filled and self.gaps != 0 and part is self.asked[-1]
        gap = self.amount_gap(method) if not filled and self.gaps == 2 else None
        lines: list[BoardLine] = []
        steps = self._steps(part, method)
        comes_to_it = max((place for place, (_, written) in enumerate(steps[:-1]) if written), default=0)
        for place, (step, of_step) in enumerate(steps):
            if place == len(steps) - 1:
                lines += self._answer(part, of_step, opened)
                continue
            last = place == comes_to_it or step == self.solution.asks[part.name]
            for number, line in enumerate(of_step):
                kind, units = self._kind(step, line)
                if opened and last and (_only_a_result(line) or kind in TELLING):
                    continue
                hidden = gap.amount if gap is not None and gap.step == step else None
                here = gap if gap is not None and (gap.step, gap.line) == (step, number) else None
                lines.append(BoardLine(pieces_of(line, here, opened and last, hidden), why_of(kind, **units)))
        return BoardPart(part.name, part.asked, part.rule_text, tuple(lines))

    def _answer(self, part: ItemPart, lines: tuple[Line, ...], opened: bool) -> list[BoardLine]:
        before = [BoardLine(pieces_of(line, None, opened), why_of(LineKind.CONVERSION)) for line in lines[:-1]]
        of = self.solution.chain.by_name[self.solution.asks[part.name]]
        counts = isinstance(of, CountUp)  # “to the nearest” would contradict the line above
        rule: list[Piece] = [{"words": part.rule_text}] if part.rule_text and not counts else []
        rounds = not isinstance(of, Round) and part.rule is not None and any(band.step for band in part.rule.bands)
        asked: Piece = {"gap": ANSWER, "label": "Your answer, with its unit"}
        if part.choices:
            asked = {"gap": ANSWER, "label": "Your answer", "choices": list(part.choices)}
        answer: Piece = asked if opened else {"words": part.answer}
        kind = LineKind.ROUNDED if rounds else LineKind.ANSWER
        kind = LineKind.DECISION if counts else _ANSWERS.get(part.kind, kind)
        return [*before, BoardLine((*rule, {"words": "Answer:"}, answer), why_of(kind))]

    def _kind(self, name: str, line: Line) -> tuple[LineKind, dict[str, str]]:
        """What a line does, by its form and its step."""
        step = self.solution.chain.by_name[name]
        ratios = [ratio for segment in line if isinstance(segment, Maths) for ratio in segment.ratios]
        unit = write_unit(str(step.unit)) if step.unit.powers else ""
        above = [s for s, e in step.unit.powers if e > 0]
        below = [write_unit(s) for s, e in step.unit.powers if e < 0]
        units = {
            "unit": unit,
            "above": write_unit(above[0]) if above else "",
            "below": " and ".join(below),
            "each": " and each ".join(below),
        }
        if isinstance(step, (Clock, Between)):
            return (LineKind.CLOCK if len(ratios) <= 1 else LineKind.CONVERSION), units
        adds = PLUS in line or MINUS in line
        if isinstance(step, Sum):
            return (LineKind.SUM if adds else LineKind.PRODUCT), units
        if isinstance(step, Band):
            return (LineKind.SUM if adds else LineKind.BAND if step.progressive else LineKind.PRODUCT), units
        if isinstance(step, Compare):
            return LineKind.COMPARED, units
        if isinstance(step, Decide):
            return (LineKind.CONVERSION if ratios else LineKind.DECIDED), units
        if any(r.name == "x" for r in ratios):
            return LineKind.PROPORTION, units
        if isinstance(line[0], Words) and line[0].what == "x":
            return LineKind.CROSSWISE, units
        if _only_a_result(line):
            per_unit = isinstance(step, Product) and below
            return (LineKind.PER_UNIT if per_unit else _RESULTS.get(type(step), LineKind.READ)), units
        if any((r.top is not None and r.top.is_words) or (r.bottom is not None and r.bottom.is_words) for r in ratios):
            return LineKind.FORMULA_IN_WORDS, units
        if not ratios:
            return LineKind.DESIRED_OVER_HAVE, units
        if not isinstance(step, Product):
            return _ARITHMETIC.get(type(step), LineKind.OTHER), units
        plain = {f.group or f.name for f in step.factors if not f.is_equivalence}
        if len(plain) == 1:
            return LineKind.CONVERSION, units
        if below:
            converts = any(factor.is_equivalence for factor in step.factors)
            return (LineKind.CONVERTED_RATE if converts else LineKind.RATE), units
        return (LineKind.STRENGTH if any(f.group for f in step.factors) else LineKind.PRODUCT), units


def _left_to_ask(parts: tuple[ItemPart, ...], gaps: Gaps) -> tuple[ItemPart, ...]:
    """The parts of a board; no set-ups. Of several choices at its end a gap asks the first: each tells the others."""
    asked = tuple(part for part in parts if part.kind != "setup")
    while gaps in (1, 2) and len(asked) > 1 and asked[-1].kind == asked[-2].kind == "choice":
        asked = asked[:-1]
    return asked


def _sides(ratio: Ratio) -> tuple[tuple[Literal["top", "bottom"], Amount | None], ...]:
    return (("top", ratio.top), ("bottom", ratio.bottom))


def _value(shown: Amount) -> Fraction:
    """The number of an amount that is shown exactly."""
    return Fraction(shown.number.replace(",", ""))


def _only_a_result(line: Line) -> bool:
    maths = [segment for segment in line if isinstance(segment, Maths)]
    return bool(maths) and all(segment.result for segment in maths)
