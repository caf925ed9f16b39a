"""The figures of the judge on samples made by hand, and the limits that they are held to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from calclib.demo.measure import Judged, Said
from calclib.demo.simulated_students import Planted
from calclib.faults.fault import KINDS
from tests.benchmarks.naming import figures, kind_of, misses, model_items
from tests.benchmarks.naming_benchmark import beyond
from tests.benchmarks.planting import ALIKE_DRAWS, Alike, Sample

FORGOT = Planted("error", "conversion-forgotten", True)
PLANTED = (
    FORGOT,
    Planted("error", "wrong-row", True),
    Planted("error", "divided-for-multiplied", True),
    Planted("error", "wrong-digit-typed", True),
    Planted("error", "guess", True),
    Planted("error", "conversion-forgotten+wrong-row", False),
    Planted("random"),
    Planted("right"),
)


def judged_alike(said: tuple[Said, ...], *, right: bool) -> list[Sample]:
    """The same said of everything."""
    answers = (Judged("drop-rate", planted, right, said, "right" if right else "wrong") for planted in PLANTED)
    return [Sample("seed", "drops", "1 gtt/min", "2 gtt/min", answer, "", False) for answer in answers]


def test_a_judge_that_says_nothing() -> None:
    """It names nothing, and is refusing right answers if it calls everything wrong."""
    silent = figures(judged_alike((), right=False))
    assert [silent.named[name].value for name in ("core", "mechanical", "slip", "beyond")] == [0, 0, 0, 0]
    assert silent.certain.whole == 0
    assert (silent.refused.part, silent.let_through.part) == (1, 0)


def test_a_judge_that_says_everything_for_certain() -> None:
    """It names what can be named, and what it says first for certain is seldom true, of random numbers never."""
    noisy = figures(judged_alike(tuple(Said(kind, True) for kind in KINDS), right=False))
    assert (noisy.named["core"].value, noisy.named["beyond"].value) == (1, 0)
    assert noisy.certain.value is not None and noisy.certain.value <= Fraction(2, 5)
    assert noisy.random.value == 1


def test_a_judge_that_calls_everything_right() -> None:
    """All wrong answers are let through."""
    kind = figures(judged_alike((), right=True))
    assert (kind.refused.part, kind.let_through.part, kind.let_through.whole) == (0, 6, 6)


LIMITS = {name: {"least": "100", "of": 1} for name in ("core", "both")} | {
    name: {"most": "0", "of": 1} for name in ("double", "random", "refused", "let_through")
}


def test_a_figure_beyond_its_limit_is_named() -> None:
    """A judge that says nothing names too little and refuses what is right; one that calls all right lets all pass."""
    silent, kind = (figures(judged_alike((), right=right)) for right in (False, True))
    limits = LIMITS | {"certain": {"least": "0", "of": 0}}
    assert [line.partition(":")[0] for line in beyond(silent, limits)] == ["core", "both", "refused"]
    assert [line.partition(":")[0] for line in beyond(kind, limits)] == ["core", "both", "let_through"]


def test_a_figure_of_too_few_answers_is_held_of_nothing() -> None:
    """Where nothing was said for certain, that what is certain is true says nothing."""
    silent = figures(judged_alike((), right=False))
    free = {name: {"most": "100", "of": 0} for name in LIMITS} | {"certain": {"least": "0", "of": 1}}
    assert list(beyond(silent, free)) == ["certain: of 0 answers, where 1 are needed"]


def test_a_person_is_no_refusal() -> None:
    """A right answer that waits for a person is not refused."""
    waits: Iterable[Sample] = [replace(sample, needs_person=True) for sample in judged_alike((), right=False)]
    assert figures(waits).refused.part == 0


def test_misses_are_listed_with_an_example() -> None:
    """What was not named, and what was said for certain and is false, stands there by mistake and model."""
    samples = judged_alike((Said("inverted", True),), right=False)
    listed = {miss: count for miss, count, _ in misses(samples)}
    assert listed["not named", "core", "conversion-forgotten", "drop-rate"] == 1
    assert listed["false certainty", "random", "", "drop-rate"] == 1
    assert [kind_of(sample) for sample in samples][-3:] == ["double", "random", "right"]


def test_alike_is_what_always_leads_to_the_same_answer() -> None:
    """A point slipped in the order slips in the answer of a conversion too; a conversion left out is something else."""
    ((_, items),) = model_items("alike", ALIKE_DRAWS, ["metric-to-milligrams"])
    always = Alike(items).always(("ten-fold", "answer to converted", 0), "converted")
    assert "decimal-slip" in always
    assert "ten-fold" not in always and "conversion-forgotten" not in always
