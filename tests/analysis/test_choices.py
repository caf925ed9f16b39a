"""Distractors: counted for those alone for whom the choice was wrong."""

from __future__ import annotations

from calclib.analysis.choices import Distractor, Picked, distractors

OFFERED = ("hold", "give", "call")


def test_a_wrong_choice_is_counted_for_those_for_whom_it_is_wrong() -> None:
    """Two students have to hold and one to give; the most tempting stands first."""
    picked = [
        Picked(3, "act", "give", "hold", OFFERED),
        Picked(3, "act", "hold", "hold", OFFERED),
        Picked(3, "act", "give", "give", OFFERED),
    ]
    assert distractors(picked) == (
        Distractor(3, "act", "give", 1, 2),
        Distractor(3, "act", "call", 0, 3),
        Distractor(3, "act", "hold", 0, 1),
    )
