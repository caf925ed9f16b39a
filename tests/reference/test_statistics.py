import tomllib
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy
import pytest

from calclib.analysis import (
    alpha_without_each,
    cronbach_alpha,
    item_statistics,
    standard_error_of_measurement,
    variance,
)

HERE = Path(__file__).parent / "statistics"


def read(name: str) -> tuple[dict[str, Any], list[list[int]]]:
    """A data set and its rows of scores."""
    data = tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))
    rows = data.get("students") or [pattern for pattern, count in data["patterns"].items() for _ in range(count)]
    return data, [[int(digit) for digit in row] for row in rows]


def digits(value: Fraction | float | None, like: str) -> str:
    """A value with as many decimals as the source has."""
    assert value is not None
    shown = f"{float(value):.{len(like.split('.')[1])}f}"
    return shown.replace("-0.000", "0.000")


def agree(values: Any, printed: list[str]) -> None:
    """Each value has the digits that are printed."""
    assert [digits(value, like) for value, like in zip(values, printed, strict=True)] == printed


def test_totals_difficulty_and_variance_are_as_printed() -> None:
    """Totals, proportions right and the variance of the totals are the digits of the teaching file."""
    data, scores = read("ten_by_ten")
    assert [sum(row) for row in scores] == data["printed"]["totals"]
    agree([one.difficulty for one in item_statistics(scores)], data["printed"]["difficulty"])
    agree([variance([sum(row) for row in scores])], [data["printed"]["total_variance"]])


@pytest.mark.parametrize("name", ["ten_by_ten", "law_school_section_6"])
def test_reliability_and_discrimination_are_as_recomputed(name: str) -> None:
    """Alpha, the standard error and the item-rest correlations agree with values that this code didn't compute."""
    data, scores = read(name)
    expected = data["recomputed"]
    agree([cronbach_alpha(scores)], [expected["alpha"]])
    agree([standard_error_of_measurement(scores)], [expected["standard_error"]])
    agree([one.discrimination for one in item_statistics(scores)], expected["item_rest"])


@pytest.mark.parametrize("name", ["ten_by_ten", "law_school_section_6"])
def test_reliability_and_discrimination_are_those_of_another_library(name: str) -> None:
    """The digits that a statistics package printed for the same rows, and what numpy makes of their covariances."""
    data, scores = read(name)
    printed = data["package"]
    agree([cronbach_alpha(scores)], [printed["alpha"]])
    agree([one.discrimination for one in item_statistics(scores)], printed["item_rest"])
    agree([standard_error_of_measurement(scores)], [printed["standard_error"]])
    together = numpy.cov(numpy.array(scores).T, bias=True)
    items = len(together)
    alpha = cronbach_alpha(scores)
    assert alpha is not None
    assert float(alpha) == pytest.approx(items / (items - 1) * (1 - together.trace() / together.sum()), abs=1e-12)


def test_the_large_data_set_agrees_item_by_item() -> None:
    """Counts of totals, proportions right, and alpha without each item."""
    data, scores = read("law_school_section_6")
    expected = data["recomputed"]
    assert len(scores) == 1000
    counts = Counter(int(sum(row)) for row in scores)
    assert [counts[total] for total in range(6)] == expected["total_counts"]
    agree([one.difficulty for one in item_statistics(scores)], expected["difficulty"])
    agree(alpha_without_each(scores), expected["alpha_without_each"])
