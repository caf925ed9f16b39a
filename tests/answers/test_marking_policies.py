"""Marking policies as data: complete, bounded, and refused with one sentence where they are not."""

from __future__ import annotations

from importlib.resources import files

import pytest

from calclib.answers import VERDICTS, marking_policies, marking_policy, read_marking_policy
from calclib.answers.verdict import RIGHT
from calclib.errors import BadInput
from calclib.sources import source

STRICT = files("calclib.answers").joinpath("marking", "strict-exam.toml").read_text(encoding="utf-8")


def test_three_policies_ship() -> None:
    """Strict exam, homework and first practice, each with a source, each giving every verdict a worth."""
    assert set(marking_policies()) == {"strict-exam", "homework", "first-practice"}
    for policy in marking_policies().values():
        assert set(policy.worth) == set(VERDICTS)
        assert policy.worth["right"] == 1
        assert all(policy.worth[verdict] == 0 for verdict in ("wrong", "blank", "unread"))
        assert all(policy.worth[verdict] >= policy.worth["wrong_with_cause"] for verdict in RIGHT)
        assert source(policy.source).cite()


BROKEN = {
    "no TOML": ("[worth\n", "TOML"),
    "a verdict is missing": (STRICT.replace('unit_wrong = "0"\n', ""), "unit_wrong"),
    "an unknown verdict": (STRICT.replace('blank = "0"', 'blank = "0"\nlate = "0.5"'), "late"),
    "more than all": (STRICT.replace('right = "1"', 'right = "2"', 1), "share from 0 to 1"),
    "less than nothing": (STRICT.replace('blank = "0"', 'blank = "-1"'), "share from 0 to 1"),
    "no number": (STRICT.replace('blank = "0"', 'blank = "some"'), "number"),
    "a factor of one": (STRICT.replace('factor = "10"', 'factor = "1"'), "factor above 1"),
    "a factor in words": (STRICT.replace('factor = "10"', 'factor = "ten"'), "number"),
    "fails what": (STRICT.replace('fails = "exam"', 'fails = "course"'), "nothing, part, exam"),
    "no notices": (STRICT.replace("[notices]", "[noticed]"), "notices"),
    "worth is no table": ('worth = "1"\n' + STRICT.replace("[worth]", "[worths]"), "strict-exam.toml"),
    "the name is a number": (STRICT.replace('name = "strict-exam"', "name = 7"), "name"),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_policy_is_refused_with_one_sentence(case: str) -> None:
    """What is wrong is named together with the file."""
    text, words = BROKEN[case]
    assert text != STRICT
    with pytest.raises(BadInput, match=r"mine\.toml") as refused:
        read_marking_policy(text, "mine.toml")
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)


def test_an_unknown_policy_names_those_that_there_are() -> None:
    """The message lists them."""
    with pytest.raises(BadInput, match="strict-exam"):
        marking_policy("lenient")
