"""Simulated students: one that errs as people do, one that never errs, and one that errs on demand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal, DecimalException
from functools import lru_cache

from calclib.demo.simulated_students import Planted, Question, TypedAnswer
from calclib.demo.students import writing
from calclib.demo.students.answering import Worked, worked
from calclib.demo.students.behavior import Rate, habit, human_errors, rate
from calclib.demo.students.chance import Chance
from calclib.demo.students.worksheet import Answer, Mistake, Opening, TimeOfDay

RIGHT = Planted("right")
TRIES = 30
FEW = 3  # ways of a mistake of method; slips of attention have many
DAY = Decimal(1440)
LONGEST = 7 * DAY
FARTHEST = 1000  # times too large or too small: even a tired student stops and looks again


def simulated_answers(
    student_seed: str,
    item_label: str,
    stem: str,
    questions: Sequence[Question],
    *,
    prepared: Decimal = Decimal(0),
) -> tuple[TypedAnswer, ...]:
    """Return what a student types for one problem, with what was planted.

    Args:
        student_seed: Decides who the student is: ability, habits, luck.
        item_label: The kind of problem, such as "drop-rate".
        stem: The problem's text.
        questions: Its questions.
        prepared: By how much the class does better than the published one, in logits.

    Raises:
        NotUnderstoodError: No simulated student knows this kind of problem, or the text is of another kind.
    """
    chance = Chance(f"{student_seed}\n{item_label}\n{stem}")
    ability = Chance(f"{student_seed}\nability").about_normal() * habit("spread_of_ability") + prepared
    return answers_at_rate(rate(item_label).shifted(ability), chance, item_label, stem, questions)


def answers_at_rate(
    shares: Rate, chance: Chance, item_label: str, stem: str, questions: Sequence[Question]
) -> tuple[TypedAnswer, ...]:
    """Return what a student types who is right, wrong or gives up in these shares; see `simulated_answers`."""
    right = worked(item_label, stem, questions)
    luck = chance.share()
    if luck < shares.right:
        return tuple(_right_text(q, right.answers[q.name], chance) for q in questions)
    if luck < shares.right + shares.blank:
        return _given_up(questions, right, chance)
    count = 2 if chance.happens(habit("two_mistakes")) else 1
    for _ in range(TRIES):
        mistakes = _some_mistakes(right.openings, count, chance)
        answers = _wrong_texts(item_label, stem, questions, right, mistakes, chance)
        if answers is not None:
            return answers
    return tuple(_right_text(q, right.answers[q.name], chance) for q in questions)


def error_free_answers(
    item_label: str, stem: str, questions: Sequence[Question], *, seed: str | None = None
) -> tuple[TypedAnswer, ...]:
    """Return what a student types who is always right.

    Args:
        item_label: The kind of problem.
        stem: The problem's text.
        questions: Its questions.
        seed: Decides among harmless ways of writing; None for the plainest.

    Raises:
        NotUnderstoodError: As `simulated_answers`.
    """
    chance = None if seed is None else Chance(f"{seed}\n{stem}")
    answers = worked(item_label, stem, questions).answers
    return tuple(TypedAnswer(q.name, _text(q, answers[q.name], chance), RIGHT) for q in questions)


def possible_mistakes(item_label: str, stem: str, questions: Sequence[Question]) -> tuple[Opening, ...]:
    """Return which mistakes could be made in a problem, and where.

    Raises:
        NotUnderstoodError: As `simulated_answers`.
    """
    return worked(item_label, stem, questions).openings


def planted_error(
    item_label: str,
    stem: str,
    questions: Sequence[Question],
    error_id: str,
    *,
    place: str | None = None,
    seed: str = "",
) -> tuple[TypedAnswer, ...] | None:
    """Return what a student types who makes one given mistake and is right in all else.

    Args:
        item_label: The kind of problem.
        stem: The problem's text.
        questions: Its questions.
        error_id: Id of the mistake in human_errors.toml.
        place: Where it is made; None for anywhere.
        seed: Decides the place and the way among several.

    Returns:
        The answers; None if the mistake cannot be made here, makes no difference, or leads to a number that nobody
        would type.

    Raises:
        NotUnderstoodError: As `simulated_answers`.
    """
    right = worked(item_label, stem, questions)
    chance = Chance(f"{seed}\n{error_id}\n{place}\n{stem}")
    openings = [o for o in right.openings if o.error == error_id and place in (None, o.place)]
    while openings:
        opening = openings.pop(chance.below(len(openings)))
        mistake = Mistake(opening.error, opening.place, chance.below(opening.variants))
        answers = _wrong_texts(item_label, stem, questions, right, (mistake,), None)
        if answers is not None:
            return answers
    return None


def _some_mistakes(openings: Sequence[Opening], count: int, chance: Chance) -> tuple[Mistake, ...]:
    errors = human_errors()
    # A mistake that could be made at many places is not made that many times as often.
    times = {o.error: sum(other.error == o.error for other in openings) for o in openings}
    weighted = [(o, errors[o.error].weight / times[o.error]) for o in openings]
    chosen: dict[Opening, Mistake] = {}
    while len(chosen) < min(count, len(openings)):
        opening = chance.weighted(weighted)
        chosen[opening] = Mistake(opening.error, opening.place, chance.below(opening.variants))
    return tuple(chosen.values())


def _wrong_texts(
    label: str,
    stem: str,
    questions: Sequence[Question],
    right: Worked,
    mistakes: Sequence[Mistake],
    chance: Chance | None,
    look_alike: bool = True,
) -> tuple[TypedAnswer, ...] | None:
    try:
        wrong = worked(label, stem, questions, mistakes)
    except DecimalException:
        return None  # the calculator shows an error, and the student starts again
    differs = [q.name for q in questions if not _reads_alike(wrong.answers[q.name], right.answers[q.name])]
    if not differs or not all(_believable(wrong.answers[name], right.answers[name]) for name in differs):
        return None
    felt = {name: _felt(label, stem, questions, mistakes, wrong, name) for name in differs}
    made = dict.fromkeys(those[0] for those in felt.values() if look_alike and len(those) == 1)
    alike = {mistake: _alike(label, stem, questions, right, mistake) for mistake in made}
    texts = []
    earlier: dict[str, Answer] = {}
    for q in questions:
        answer = wrong.answers[q.name]
        if q.name not in differs:
            texts.append(TypedAnswer(q.name, _text(q, answer, chance), RIGHT))
        else:
            planted = _planted(felt[q.name])
            onward = _onward(label, stem, questions, q.name, earlier)
            kind = Planted("carried", planted.error, False, planted.place, planted.what)
            # An earlier answer that came out right for all that, by its rounding, excuses nothing.
            if onward != answer or differs[0] == q.name:
                kind = replace(planted, also=alike.get(felt[q.name][0], {}).get(q.name, {}).get(answer, ()))
            texts.append(TypedAnswer(q.name, _text(q, answer, chance), kind))
        earlier[q.name] = wrong.unrounded[q.name]
    return tuple(texts)


def _onward(
    label: str, stem: str, questions: Sequence[Question], part: str, earlier: dict[str, Answer]
) -> Answer | None:
    """The right answer to a question for a student with these answers to earlier ones; None if there is none."""
    try:
        return worked(label, stem, questions, own=earlier).answers[part] if earlier else None
    except DecimalException:
        return None


def _felt(
    label: str, stem: str, questions: Sequence[Question], mistakes: Sequence[Mistake], wrong: Worked, part: str
) -> tuple[Mistake, ...]:
    """The mistakes without which the answer to a question would not be as it is."""
    left = tuple(mistakes)
    for mistake in mistakes:
        others = tuple(m for m in left if m != mistake)
        with suppress(DecimalException):
            if others and worked(label, stem, questions, others).answers[part] == wrong.answers[part]:
                left = others
    return left


def _alike(
    label: str, stem: str, questions: Sequence[Question], right: Worked, made: Mistake
) -> dict[str, dict[Answer, tuple[str, ...]]]:
    """For each question the answers to which single mistakes of method lead, by answer."""
    found: dict[str, dict[Answer, tuple[str, ...]]] = {q.name: {} for q in questions}
    for opening in right.openings:
        if opening.variants > FEW or opening.error == made.error:
            continue
        for variant in range(opening.variants):
            mistake = Mistake(opening.error, opening.place, variant)
            reached = _reached(label, stem, tuple(questions), mistake)
            for name, answer in reached.items():
                if opening.error not in found[name].get(answer, ()):
                    found[name][answer] = (*found[name].get(answer, ()), opening.error)
    return found


@lru_cache(maxsize=512)
def _reached(label: str, stem: str, questions: tuple[Question, ...], mistake: Mistake) -> Mapping[str, Answer]:
    """The answers to which one mistake leads; none if to no number. Each planted mistake asks for all others'."""
    try:
        return worked(label, stem, questions, (mistake,)).answers
    except DecimalException:
        return {}


def _planted(mistakes: Sequence[Mistake]) -> Planted:
    errors = human_errors()
    says = "; ".join(errors[m.error].says for m in mistakes)
    return Planted(
        "error",
        "+".join(m.error for m in mistakes),
        len(mistakes) == 1,
        "; ".join(m.place for m in mistakes),
        says,
    )


def _reads_alike(wrong: Answer, right: Answer) -> bool:
    """Whether an answer is the right one, or a time of the first day, for which no day is said, on the right hour."""
    if isinstance(wrong, TimeOfDay) and isinstance(right, TimeOfDay) and wrong.day_said and 0 <= wrong.minutes < DAY:
        return wrong.minutes == right.minutes % DAY
    return wrong == right


def _believable(wrong: Answer, right: Answer) -> bool:
    if isinstance(wrong, TimeOfDay):
        # Nobody hands in an infusion that ended before it began, or that runs for weeks.
        return -DAY <= wrong.minutes < LONGEST
    if not isinstance(wrong, Decimal) or not isinstance(right, Decimal) or right == 0:
        return not isinstance(wrong, Decimal) or wrong > 0
    return right <= wrong * FARTHEST and wrong <= right * FARTHEST and wrong > 0


def _right_text(question: Question, answer: Answer, chance: Chance) -> TypedAnswer:
    for kind in ("unreadable", "unit_missing", "unit_wrong", "unsafe_notation"):
        if chance.happens(habit(kind)):
            return _spoiled(kind, question, answer, chance)
    return TypedAnswer(question.name, _text(question, answer, chance), RIGHT)


def _spoiled(kind: str, question: Question, answer: Answer, chance: Chance) -> TypedAnswer:
    value = answer if isinstance(answer, Decimal) else None
    if kind == "unreadable":
        text, planted = writing.unreadable(value, question.unit, chance), Planted("unread", what="no single answer")
    elif value is None or (kind == "unit_missing" and not question.unit):
        text, planted = _text(question, answer, chance), RIGHT
    elif kind == "unit_missing":
        text, planted = writing.without_unit(value), Planted("unit", "unit-missing", what="no unit")
    elif kind == "unit_wrong":
        text, word = writing.with_wrong_unit(value, question.unit, chance)
        planted = Planted("unit", "unit-wrong", what=f"{word} for {question.unit}")
    else:
        text, name = writing.unsafe(value, question.unit, chance)
        planted = Planted("notation", name, what=name)
    return TypedAnswer(question.name, text, planted)


def _given_up(questions: Sequence[Question], right: Worked, chance: Chance) -> tuple[TypedAnswer, ...]:
    """Answers up to some question; nothing from there on."""
    upto = chance.below(len(questions)) if chance.happens(Decimal("0.5")) else 0
    answered = tuple(_right_text(q, right.answers[q.name], chance) for q in questions[:upto])
    return answered + tuple(
        TypedAnswer(q.name, chance.one_of(("", "", " ")), Planted("blank")) for q in questions[upto:]
    )


def _text(question: Question, answer: Answer, chance: Chance | None) -> str:
    if isinstance(answer, str):
        return _choice_text(answer, question.choices, chance)
    if isinstance(answer, TimeOfDay):
        return writing.time_of_day(answer, chance)
    if chance is None or chance.happens(habit("plain")):
        return writing.plain(answer, question.unit)
    return writing.harmless(answer, question.unit, chance)


def _choice_text(label: str, choices: Sequence[str], chance: Chance | None) -> str:
    if chance is None or not choices:  # without choices it is a set-up
        return label
    return chance.one_of((label, label, label.lower(), f"{label}."))


def each_single_mistake(
    item_label: str, stem: str, questions: Sequence[Question], most_ways: int | None = None
) -> Iterator[Mistake]:
    """Yield each mistake that could be made in a problem, in each of its ways; none that has more than `most_ways`.

    Raises:
        NotUnderstoodError: As `simulated_answers`.
    """
    for opening in possible_mistakes(item_label, stem, questions):
        for variant in range(opening.variants if most_ways is None or opening.variants <= most_ways else 0):
            yield Mistake(opening.error, opening.place, variant)


def answers_with(
    item_label: str, stem: str, questions: Sequence[Question], mistakes: Sequence[Mistake], *, look_alike: bool = True
) -> tuple[TypedAnswer, ...] | None:
    """Return what a student types who makes exactly these mistakes; None where `planted_error` returns None.

    Args:
        item_label: The kind of problem.
        stem: The problem's text.
        questions: Its questions.
        mistakes: What goes wrong.
        look_alike: Whether to look for other mistakes that lead to the same answers, which takes long.
    """
    right = worked(item_label, stem, questions)
    return _wrong_texts(item_label, stem, questions, right, mistakes, None, look_alike)


def answers_of_mistakes(
    item_label: str, stem: str, questions: Sequence[Question]
) -> dict[tuple[str, str, int], Mapping[str, Answer]]:
    """Return the answers to which each single mistake of method leads, by mistake, place and variant.

    Raises:
        NotUnderstoodError: As `simulated_answers`.
    """
    found: dict[tuple[str, str, int], Mapping[str, Answer]] = {}
    for mistake in each_single_mistake(item_label, stem, questions, most_ways=FEW):
        with suppress(DecimalException):
            work = worked(item_label, stem, questions, (mistake,))
            found[mistake.error, mistake.place, mistake.variant] = work.answers
    return found
