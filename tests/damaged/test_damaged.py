"""A damaged notebook is marked as far as can be told, or set aside with the reason; nothing is ever left unscored."""

from __future__ import annotations

import pytest

from tests.damaged.kinds import ALL, Kind
from tests.hostile.hall import ANSWERS, Hall, Outcome

RIGHT = 5.0


@pytest.mark.parametrize("kind", ALL, ids=[kind.name.replace(" ", "-") for kind in ALL])
def test_a_damaged_notebook_is_marked_or_set_aside(kind: Kind, hall: Hall, control: Outcome) -> None:
    """Of five right answers those count that can be told; each of the others waits for a person, with the reason on
    the class report, and the student reads that it awaits review; the honest students' marks stay as they are."""
    kind.damage(hall)
    outcome = hall.run()
    assert outcome.points("eve") == kind.points, outcome.sentences
    told = [sentence for sentence in outcome.sentences if kind.says and kind.says in sentence]
    assert len(told) == (1 if kind.says else 0), outcome.sentences
    if not kind.says:
        assert not any("eve" in sentence for sentence in outcome.sentences), outcome.sentences
    for student in ("ann", "ben"):
        assert outcome.grades[student] == control.grades[student]
    fails_closed(outcome, kind)


def fails_closed(outcome: Outcome, kind: Kind) -> None:
    """Every check cell of every paper has a score; one that waits has 0, nbgrader's flag, and words for the student."""
    for student, cells in outcome.grades.items():
        assert len(cells) == ANSWERS, student
        assert all(auto is not None for auto, *_ in cells.values())
        assert all(auto == 0 for auto, _, _, waits in cells.values() if waits)
    eve = outcome.grades.get("eve", {})
    assert sum(waits for *_, waits in eve.values()) == kind.waiting
    assert bool(eve) == kind.handed_in
    if kind.waiting:
        page = outcome.pages["feedback/eve/week-3/week-3.html"]
        assert "awaits review" in page or "await review" in page


def test_the_list_is_long_and_without_repetition() -> None:
    """Each kind has a name of its own."""
    names = [kind.name for kind in ALL]
    assert len(names) == len(set(names)) >= 25
