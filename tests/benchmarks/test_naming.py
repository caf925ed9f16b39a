"""The judge on a small sample of planted mistakes, and the figures themselves on samples made by hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

import pytest

from calclib.demo.measure import Judged, Said
from calclib.demo.simulated_students import Planted
from calclib.faults.fault import KINDS
from tests.benchmarks.naming import Figures, Share, figures, kind_of, misses, model_items, model_samples
from tests.benchmarks.planting import ALIKE_DRAWS, Alike, Sample

# Of each way of working one: a division, a strength, a weight, a sum, bands, a table, the clock, a dilution, a share.
MODELS = (
    "drop-rate",
    "oral-liquid-volume",
    "titrated-rate",
    "cups-to-milliliters",
    "maintenance-fluid-rate",
    "correction-insulin",
    "time-between",
    "infusion-end-time",
    "reconstituted-vial-volume",
    "added-volume-rate",
    "divided-doses",
    "case-ketoacidosis",
)
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


@pytest.fixture(scope="module")
def found() -> Figures:
    """The figures on one draw of each of the models."""
    items = model_items("sample", ALIKE_DRAWS, MODELS)
    return figures(sample for _, draws in items for sample in model_samples(draws, 1))


def test_mistakes_are_named(found: Figures) -> None:
    """The judge names core mistakes, and with them mechanical ones, no less often than it has."""
    assert found.named["core"].whole > 100
    assert share(found.named["core"]) >= Fraction(95, 100)
    assert share(found.named_of("core", "mechanical")) >= Fraction(92, 100)


def test_what_is_certain_is_true(found: Figures) -> None:
    """What the judge says for certain was done; of two mistakes at once and of random numbers it is silent."""
    assert found.certain.whole > 20
    assert share(found.certain) >= Fraction(97, 100)
    assert share(found.double) <= Fraction(4, 100)
    assert share(found.random) <= Fraction(1, 100)


def test_right_and_wrong_are_told_apart(found: Figures) -> None:
    """No right answer is refused, and no wrong one is judged right."""
    assert found.refused.whole > 100
    assert found.refused.part == 0
    assert found.let_through.part == 0


def share(of: Share) -> Fraction:
    """The share, of something."""
    assert of.value is not None
    return of.value


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
