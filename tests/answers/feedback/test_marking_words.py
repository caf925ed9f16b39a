"""What a marking policy can cost, as notebooks print it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calclib.answers import marking_policies
from calclib.answers.feedback.marking_words import marking_lines
from calclib.wording.sentences import sentence

TIMES = "10 times too large or too small, or more"


@pytest.mark.parametrize(
    ("fails", "does"),
    [
        ("nothing", "is marked like any other wrong answer"),
        ("part", "earns no points for that answer"),
        ("exam", "fails the whole set once a person has confirmed it"),
    ],
)
def test_what_a_dangerous_error_does_is_a_whole_sentence(fails: str, does: str) -> None:
    """Whatever the policy says, the sentence has a subject and a verb."""
    policy = replace(next(iter(marking_policies().values())), critical_fails=fails)
    printed = [sentence(line) for line in marking_lines(policy)]
    assert f"A dangerous error ({TIMES}; or going ahead with an unsafe order) {does}." in printed


def test_every_rule_of_every_policy_is_a_whole_sentence() -> None:
    """Each begins with a capital, ends with a stop, and leaves no place open."""
    for policy in marking_policies().values():
        for line in map(sentence, marking_lines(policy)):
            assert line[0].isupper() and line.endswith(".") and "{" not in line
