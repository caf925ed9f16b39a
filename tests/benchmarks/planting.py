"""Mistakes planted into items by the simulated students, and what the judge says of each."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from calclib.answers.judging import judge_item
from calclib.answers.marking_policy import marking_policy
from calclib.demo.handing_in import question
from calclib.demo.measure import Judged, judged
from calclib.demo.simulated_students import Planted, Question, TypedAnswer
from calclib.demo.students.worksheet import Answer, Mistake
from calclib.items.item import Item, ItemPart
from calclib.quantity.units import parse_unit
from calclib.quantity.writing import write_number
from tests.benchmarks.legitimate import unit_word
from tests.oracle.students import (
    answers_of_mistakes,
    answers_with,
    error_free_answers,
    possible_mistakes,
)

MARKING = marking_policy("homework")
FARTHEST = 1000
ALIKE_DRAWS = 3  # numbers that two mistakes have in common in so many draws, they always have in common

Made = tuple[str, str, int]
"""A mistake, its place and its way."""


@dataclass(frozen=True)
class Sample:
    """One typed answer, what was planted in it, and what was said of it.

    Args:
        seed: Draws the item again.
        part: The part that asked.
        typed: The text.
        key: The right answer.
        judged: What was planted and what the judge named.
        message: What the judge tells the student.
        needs_person: Whether a person must look.
    """

    seed: str
    part: str
    typed: str
    key: str
    judged: Judged
    message: str
    needs_person: bool


class Alike:
    """Which mistakes always lead to the same answer, in several draws of one item model.

    Args:
        items: The draws.
    """

    def __init__(self, items: Sequence[Item]) -> None:
        self._draws = [answers_of_mistakes(item.model_id, item.in_words, questions_of(item)) for item in items]

    def always(self, made: Made, part: str) -> tuple[str, ...]:
        """Return the ids of the other mistakes that lead to the answer of this one wherever both can be made."""
        draws = [answers for answers in self._draws if made in answers]
        others = dict.fromkeys(other for answers in draws for other in answers if other[0] != made[0])
        alike = (other[0] for other in others if draws and _same_answer(draws, made, other, part))
        return tuple(dict.fromkeys(alike))


def _same_answer(draws: Sequence[Mapping[Made, Mapping[str, Answer]]], made: Made, other: Made, part: str) -> bool:
    both = [answers for answers in draws if other in answers]
    return len(both) == len(draws) and all(answers[made][part] == answers[other][part] for answers in both)


def questions_of(item: Item) -> tuple[Question, ...]:
    """Return an item's questions as a student reads them."""
    return tuple(question(part) for part in item.parts)


def single_mistakes(items: Sequence[Item], alike: Alike) -> Iterator[Sample]:
    """Yield the answers to which each kind of mistake leads, made alone at each place of each draw of one model."""
    for item in items:
        chance = random.Random(f"single {item.model_id} {item.seed}")
        questions = questions_of(item)
        for opening in possible_mistakes(item.model_id, item.in_words, questions):
            mistake = Mistake(opening.error, opening.place, chance.randrange(opening.variants))
            answers = answers_with(item.model_id, item.in_words, questions, (mistake,), look_alike=False)
            made = (mistake.error, mistake.place, mistake.variant)
            yield from _samples(item, [_with_alike(answer, alike, made) for answer in answers or ()])


def _with_alike(answer: TypedAnswer, alike: Alike, made: Made) -> TypedAnswer:
    if answer.planted.kind != "error":
        return answer
    return replace(answer, planted=replace(answer.planted, also=alike.always(made, answer.part)))


def double_mistakes(items: Sequence[Item], each: int) -> Iterator[Sample]:
    """Yield answers to which two mistakes at once lead, so many pairs drawn for each item."""
    for item in items:
        chance = random.Random(f"double {item.model_id} {item.seed}")
        questions = questions_of(item)
        openings = possible_mistakes(item.model_id, item.in_words, questions)
        for _ in range(each if len(openings) > 1 else 0):
            pair = [Mistake(o.error, o.place, chance.randrange(o.variants)) for o in chance.sample(openings, 2)]
            answers = answers_with(item.model_id, item.in_words, questions, pair, look_alike=False)
            for sample in _samples(item, answers or ()):
                # A mistake that makes no difference in a part beside the other leaves a single one.
                if sample.judged.planted.kind == "error" and not sample.judged.planted.single:
                    yield sample


def right_answers(items: Sequence[Item]) -> Iterator[Sample]:
    """Yield right answers in harmless ways of writing."""
    for item in items:
        yield from _samples(item, error_free_answers(item.model_id, item.in_words, questions_of(item), seed=item.seed))


def random_numbers(items: Sequence[Item], each: int) -> Iterator[Sample]:
    """Yield wrong numbers drawn at random: to three figures, and rounded as the part asks."""
    for item in items:
        chance = random.Random(f"random {item.model_id} {item.seed}")
        for part in item.parts:
            if part.kind != "quantity" or not part.key:
                continue
            texts = [_random_text(part, chance, by_rule=bool(n % 2)) for n in range(each)]
            for text in filter(None, texts):
                sample = next(_samples(item, [TypedAnswer(part.name, text, Planted("random"))]))
                if sample.judged.verdict.startswith(("wrong", "rounded")):
                    yield sample


def _random_text(part: ItemPart, chance: random.Random, *, by_rule: bool) -> str:
    assert part.key is not None and part.rule is not None
    drawn = float(part.key) * FARTHEST ** chance.uniform(-1, 1)
    places = 2 - math.floor(math.log10(drawn))
    typed = Fraction(round(drawn * 10.0**places)) / Fraction(10) ** places
    if by_rule and (rounded := part.rule.rounded(typed)):
        typed = rounded
    return f"{write_number(typed)} {unit_word(parse_unit(part.unit))}"


def _samples(item: Item, answers: Sequence[TypedAnswer]) -> Iterator[Sample]:
    texts = {answer.part: answer.text for answer in answers}
    keys = {part.name: part.answer for part in item.parts}
    verdicts = {v.part: v for v in judge_item(item, texts, MARKING) if v.part in texts}
    for answer in answers:
        verdict = verdicts[answer.part]
        yield Sample(
            item.seed,
            answer.part,
            answer.text,
            keys[answer.part],
            judged(item.model_id, answer.planted, verdict),
            verdict.message,
            verdict.needs_person,
        )
