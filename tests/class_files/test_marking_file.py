"""A marking policy of faculty's own: it starts from one that ships, and each line of it is checked."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.answers import marking_policy
from calclib.class_files.marking_file import own_marking_policy_from_text
from calclib.errors import BadInput

OURS = """name = "our-exam"
title = "Our exam"
says = "All or nothing, and nothing fails the exam by itself."
like = "strict-exam"

[worth]
unit_missing = 0.5
rounded_wrongly = "1/3"

[notices]
joint_commission = 0

[critical]
factor = 5
fails = "part"
"""


def test_what_the_file_does_not_say_is_as_in_the_policy_it_names() -> None:
    """Shares are exact, written as numbers or in quotes."""
    ours, strict = own_marking_policy_from_text(OURS, where="ours.toml"), marking_policy("strict-exam")

    assert (ours.worth["unit_missing"], ours.worth["rounded_wrongly"]) == (Fraction(1, 2), Fraction(1, 3))
    assert (ours.joint_commission_costs, ours.other_notice_costs) == (0, strict.other_notice_costs)
    assert (ours.critical_factor, ours.critical_fails) == (5, "part")
    changed = ("unit_missing", "rounded_wrongly")
    assert [v for v in ours.worth if v not in changed and ours.worth[v] != strict.worth[v]] == []


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ('title = "Our exam"\n', "", 1, "'title' is missing"),
        ('name = "our-exam"', 'name = "Our Exam"', 1, "lowercase letters"),
        ('name = "our-exam"', 'name = "homework"', 1, "policy that ships"),
        ('like = "strict-exam"', 'like = "stern"', 4, "no policy 'stern'"),
        ("unit_missing", "unit_mising", 7, "did you mean 'unit_missing'?"),
        ("unit_missing = 0.5", "unit_missing = 1.5", 7, "share from 0 to 1"),
        ("unit_missing = 0.5", "unit_missing = true", 7, "share from 0 to 1"),
        ("unit_missing = 0.5", "wrong = 0.5", 7, "earns no points"),
        ("unit_missing = 0.5", "blank = 1", 7, "earns no points"),
        ("joint_commission = 0", "joint_comission = 0", 11, "did you mean 'joint_commission'?"),
        ("joint_commission = 0", 'joint_commission = "much"', 11, "share from 0 to 1"),
        ("factor = 5", "factor = 1", 14, "above 1"),
        ('fails = "part"', 'fails = "course"', 15, '"nothing", "part" or "exam"'),
        ("[notices]", "[notice]", 10, "did you mean 'notices'?"),
        ("unit_missing = 0.5", "unit_missing 0.5", 7, "well-formed TOML"),
        ('like = "strict-exam"', 'source = "a_book"', 4, "no source"),
    ],
)
def test_what_is_wrong_is_named_with_its_line(old: str, new: str, line: int, words: str) -> None:
    """In one sentence that says how to mend it."""
    assert old in OURS
    with pytest.raises(BadInput) as caught:
        own_marking_policy_from_text(OURS.replace(old, new, 1), where="ours.toml")
    assert words in caught.value.message
    assert (caught.value.where, caught.value.line) == ("ours.toml", line)
    assert "\n" not in str(caught.value)
