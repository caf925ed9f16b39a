"""Which of several attempts counts: decided by hand on points, lateness and errors that fail the set."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace

import pytest

from calclib.judging_papers.marking_run import Attempt, kept_attempt


def attempt(points: str, *, late: str = "0", fails: str = "nothing") -> Attempt:
    """An attempt with one answer, which earned so many points; `late` is the share that is lost."""
    answer = SimpleNamespace(earned=Fraction(points), score=Fraction(points), fails=fails)
    return Attempt(handed=None, judged=SimpleNamespace(marks=(answer,)), late=Fraction(late))  # type: ignore[arg-type]


@pytest.mark.parametrize(("keep", "kept"), [("first", 0), ("last", 2), ("best", 1)])
def test_the_rule_of_the_blueprint_decides(keep: str, kept: int) -> None:
    """Of 2, 3 and 1 points the first, the last or the best."""
    attempts = [attempt("2"), attempt("3"), attempt("1")]
    assert kept_attempt(attempts, keep) is attempts[kept]


@pytest.mark.parametrize(
    ("attempts", "kept"),
    [
        # 4 points of which half is lost, against 3 in time.
        ((attempt("4", late="1/2"), attempt("3")), 1),
        # 4 points of which a tenth is lost are more.
        ((attempt("4", late="1/10"), attempt("3")), 0),
        # Equally good: the earlier.
        ((attempt("3"), attempt("3")), 0),
        # An error that fails the set counts behind any points, and before none.
        ((attempt("4", fails="exam"), attempt("1/2")), 1),
        ((attempt("4", fails="exam"), attempt("0")), 0),
        ((attempt("1", fails="exam"), attempt("4", fails="exam")), 1),
        # One that fails its own part alone fails nothing else.
        ((attempt("4", fails="part"), attempt("3")), 0),
    ],
)
def test_the_best_has_the_most_points_after_all_that_is_taken_off(attempts: tuple[Attempt, ...], kept: int) -> None:
    """Lateness is taken off before attempts are compared, and an attempt that fails the set is the last resort."""
    assert kept_attempt(attempts, "best") is attempts[kept]
