"""From a worksheet to what is typed: final rounding, and the slips that happen at the keyboard."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from calclib.demo.simulated_students import Question
from calclib.demo.students.chance import Chance
from calclib.demo.students.figures import NUMBER, NotUnderstoodError, number, product, to_digits, to_step, written
from calclib.demo.students.procedures.known import procedure
from calclib.demo.students.rounding import Rule, rule_read
from calclib.demo.students.worksheet import Answer, Mistake, Opening, TimeOfDay, Worksheet, exchangeable

MANY = 1000
MINUTE = Decimal(1)
MOST_DIGITS = 8


@dataclass(frozen=True)
class Worked:
    """A problem worked on paper.

    Args:
        answers: What is answered to each question, rounded.
        unrounded: What stands on the paper for each.
        openings: Which mistakes could be made.
    """

    answers: Mapping[str, Answer]
    unrounded: Mapping[str, Answer]
    openings: tuple[Opening, ...]


def worked(
    label: str,
    stem: str,
    questions: Sequence[Question],
    mistakes: Sequence[Mistake] = (),
    own: Mapping[str, Answer] | None = None,
) -> Worked:
    """Work a problem with the given mistakes.

    Args:
        label: The kind of problem.
        stem: Its text.
        questions: Its questions.
        mistakes: What goes wrong.
        own: Unrounded answers to go on with in the place of those worked out.

    Raises:
        NotUnderstoodError: The kind is unknown, the text is of another kind, or a question is not answered by it.
    """
    rules = {q.name: rule_read(q.rule) for q in questions if q.kind == "quantity"}
    sheet = Worksheet(mistakes, rules, own, {q.name: q.asked for q in questions})
    procedure(label)(stem, sheet)
    missing = [q.name for q in questions if q.name not in sheet.answers]
    if missing:
        raise NotUnderstoodError(f"the simulated student has not learned the question “{missing[0]}” of “{label}”")
    unrounded = dict(sheet.answers)
    answers = {q.name: _final(q, sheet, rules.get(q.name), stem) for q in questions}
    return Worked(answers, unrounded, tuple(sheet.openings))


def _final(question: Question, sheet: Worksheet, rule: Rule | None, stem: str) -> Answer:
    value = sheet.answers[question.name]
    if question.kind == "setup":
        return value
    if isinstance(value, str):
        return next(label for label in question.choices if re.search(rf"\b{value}\b", label))
    if isinstance(value, TimeOfDay):
        return TimeOfDay(to_step(value.minutes, MINUTE), value.day_said)
    if rule is None:
        raise NotUnderstoodError(f"the question “{question.name}” has no rounding rule")
    place = f"answer to {question.name}"
    return _typed(_rounded(value, rule, sheet, place), sheet, place, stem)


def _rounded(value: Decimal, rule: Rule, sheet: Worksheet, place: str) -> Decimal:
    step = rule.place(value).step
    right = rule.rounded(value) if step else _copied(value)
    if sheet.slips("rounded-the-other-way", place, int(right != value)) is not None:
        return right - step if right > value else right + step
    if sheet.slips("rounded-too-far", place, int(step > 0)) is not None:
        return to_step(value, step * 10) or right
    if (way := sheet.slips("not-rounded", place, 2 if right != value else 0)) is not None:
        return to_step(value, step / (100, 10)[way])
    # A rule that would leave nothing is not followed by anybody: the calculator's digits are kept.
    return right or to_digits(value, 3)


def _copied(value: Decimal) -> Decimal:
    """A number that is not to be rounded, as far as anybody copies it from a calculator."""
    return value if len(value.normalize().as_tuple().digits) <= MOST_DIGITS else to_digits(value, MOST_DIGITS)


def _typed(value: Decimal, sheet: Worksheet, place: str, stem: str) -> Decimal:
    text = written(value, commas=False)
    digits = [i for i, sign in enumerate(text) if sign.isdigit()]
    pairs = exchangeable(text)
    stated = sorted({number(n) for n in re.findall(NUMBER, stem)} - {value})
    if (way := sheet.slips("ten-fold", place, 2)) is not None:
        return product(value, (Decimal(10), Decimal("0.1"))[way])
    if (way := sheet.slips("wrong-digit-typed", place, 9 * len(digits))) is not None:
        at, more = digits[way // 9 % len(digits)], 1 + way % 9
        return Decimal(text[:at] + str((int(text[at]) + more) % 10) + text[at + 1 :])
    if (way := sheet.slips("digits-swapped-typed", place, len(pairs))) is not None and pairs:
        i, j = pairs[way % len(pairs)]
        return Decimal(text[:i] + text[j] + text[i + 1 : j] + text[i] + text[j + 1 :])
    if (way := sheet.slips("other-number", place, len(stated))) is not None and stated:
        return stated[way % len(stated)]
    if (way := sheet.slips("guess", place, MANY)) is not None:
        return guess(value, Chance(f"guess {way} {value}"))
    return value


def guess(near: Decimal, chance: Chance) -> Decimal:
    """Return a number that has nothing to do with the problem but its size, within a hundred times."""
    exponent = chance.share() * 4 - 2
    return to_digits(product(near or Decimal(1), Decimal(10) ** exponent), 2)
