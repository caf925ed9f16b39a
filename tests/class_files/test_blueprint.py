import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.class_files.blueprint import LateRule, blueprint_from_text
from calclib.class_files.catalogue import Catalogue
from calclib.class_files.toml_lines import read_toml
from calclib.errors import BadInput

CATALOGUE = Catalogue(
    skills={"drop-rate": "drop rate", "tablets": "tablets", "tablets-halves": "tablets"},
    topics={"drop-rate": "gravity_infusions", "tablets": "oral_doses", "tablets-halves": "oral_doses"},
    rounding=frozenset({"tenths-and-wholes"}),
    marking=frozenset({"strict-exam", "homework"}),
)
GOOD = """set = "week-3"
title = "Week 3"
rounding = "tenths-and-wholes"
marking = "strict-exam"
cut_score = 92.5
attempts = 2
due = 2026-12-01T23:59:00-05:00
late = "10 percent a day"

[[items]]
item = "drop-rate"
count = 2
points = 1.5

[[items]]
skill = "tablets"
"""


def test_a_blueprint_is_read_exactly() -> None:
    """Numbers with a decimal point are exact, and the due time is kept in UTC."""
    blueprint = blueprint_from_text(GOOD, CATALOGUE)
    assert (blueprint.set, blueprint.title, blueprint.attempts) == ("week-3", "Week 3", 2)
    assert blueprint.cut_score == Fraction(185, 2)
    assert blueprint.due == dt.datetime(2026, 12, 2, 4, 59, tzinfo=dt.UTC)
    assert blueprint.late == LateRule(10)
    assert [(line.by, line.name, line.count, line.points, line.line) for line in blueprint.lines] == [
        ("item", "drop-rate", 2, Fraction(3, 2), 11),
        ("skill", "tablets", 1, None, 16),
    ]
    assert blueprint.problems == 3


def test_what_may_be_left_out_has_its_default() -> None:
    """A blueprint of the five required lines is whole."""
    text = 'set="s"\ntitle="T"\nrounding="tenths-and-wholes"\nmarking="homework"\n[[items]]\ntopic="oral_doses"\n'
    blueprint = blueprint_from_text(text, CATALOGUE)
    assert (blueprint.cut_score, blueprint.attempts, blueprint.due, blueprint.late) == (90, 1, None, LateRule(0))


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ('set = "week-3"\n', "", None, "'set' is missing"),
        ('set = "week-3"', 'set = "../x"', 1, "can't name a folder"),
        ('set = "week-3"', 'set = "con"', 1, "reserved"),
        ('set = "week-3"', "set = 3", 1, "words in quotes"),
        ('title = "Week 3"', 'title = ""', 2, "printable"),
        ('title = "Week 3"', 'tittle = "Week 3"', 2, "did you mean 'title'"),
        ("tenths-and-wholes", "tenth-and-wholes", 3, "did you mean 'tenths-and-wholes'"),
        ("strict-exam", "lenient", 4, "There is no marking policy"),
        ("92.5", "101", 5, "from 0 to 100"),
        ("92.5", "true", 5, "from 0 to 100"),
        ("92.5", '"90"', 5, "from 0 to 100"),
        ("92.5", "nan", 5, "from 0 to 100"),
        ("92.5", "1e999999999", 5, "from 0 to 100"),
        ("attempts = 2", "attempts = 0", 6, "whole number"),
        ("attempts = 2", "attempts = 1.5", 6, "whole number"),
        ("-05:00", "", 7, "offset"),
        ("10 percent a day", "harsh", 8, "percent a day"),
        ("due = 2026-12-01T23:59:00-05:00\n", "", 7, "needs a time"),
        ('item = "drop-rate"', 'item = "drop-rat"', 11, "did you mean 'drop-rate'"),
        ('item = "drop-rate"', 'item = "drop-rate"\ntopic = "oral_doses"', 12, "exactly one"),
        ('item = "drop-rate"\n', "", 10, "exactly one"),
        ("count = 2", "count = 0", 12, "whole number"),
        ("count = 2", "count = -1", 12, "whole number"),
        ("count = 2", 'count = "two"', 12, "whole number"),
        ("count = 2", "count = 200", 10, "201 problems"),
        ("count = 2", "number = 2", 12, "isn't known"),
        ("points = 1.5", "points = 0", 13, "above 0"),
        ('skill = "tablets"', 'skill = "tablet"', 16, "did you mean 'tablets'"),
        ('skill = "tablets"', "skill = [", 16, "TOML"),
        ("[[items]]", "[[problems]]", 10, "isn't known"),
    ],
)
def test_a_wrong_blueprint_gets_one_sentence_with_its_line(old: str, new: str, line: int | None, words: str) -> None:
    """The line is that of the key at fault, or of its table where the key is missing."""
    assert old in GOOD
    with pytest.raises(BadInput) as caught:
        blueprint_from_text(GOOD.replace(old, new), CATALOGUE)
    assert words in caught.value.message
    assert caught.value.line == line
    assert "\n" not in str(caught.value)


def test_no_table_of_items_is_said() -> None:
    """A blueprint without problems is refused in words."""
    with pytest.raises(BadInput, match="asks for no problem"):
        blueprint_from_text('set = "s"\ntitle = "T"\n', CATALOGUE)


@given(st.text(max_size=120))
def test_no_text_makes_the_reader_fail_otherwise(text: str) -> None:
    """Any text is a blueprint or one clear sentence."""
    with pytest.raises(BadInput):
        blueprint_from_text(text, CATALOGUE)


SKILLS = {f"m{n}": f"skill {n:02}" for n in range(30)} | {"a": "pump rate from a dose", "b": "rate of a PUMP", "c": "x"}
LARGE = Catalogue(
    skills=SKILLS,
    topics=dict.fromkeys(SKILLS, "oral_liquids"),
    rounding=frozenset({"tenths-and-wholes"}),
    marking=frozenset({"homework"}),
)


def ordered(line: str) -> str:
    """A blueprint with this one line in its table."""
    return f'set="s"\ntitle="T"\nrounding="tenths-and-wholes"\nmarking="homework"\n[[items]]\n{line}\n'


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('skill = "pump rate"', "those with these words are pump rate from a dose; rate of a PUMP."),
        ('skill = "from DOSE"', "did you mean 'pump rate from a dose'?"),
        ('skill = "skil 07"', "did you mean 'skill 07'?"),
        ('skill = "skill"', "skill 10; skill 11 …and 18 more: calclib items"),
        ('skill = "ointment"', "…and 21 more: calclib items"),
    ],
)
def test_an_unknown_name_leads_to_those_that_were_meant(line: str, words: str) -> None:
    """Names that hold the words come first, then the nearest; a list that is cut says so and where all of it is."""
    with pytest.raises(BadInput) as caught:
        blueprint_from_text(ordered(line), LARGE)
    assert caught.value.message.endswith(words)


@pytest.mark.parametrize("topic", ["Oral liquids", "ORAL_LIQUIDS", "oral  liquids", "oral_liquids", "Oral_Liquids "])
def test_a_topic_is_taken_as_its_heading_reads(topic: str) -> None:
    """Case, spaces and underscores don't matter; the key is what is kept."""
    (line,) = blueprint_from_text(ordered(f'topic = "{topic}"'), LARGE).lines
    assert line.name == "oral_liquids"
    assert len(LARGE.models("topic", line.name)) == len(SKILLS)


@pytest.mark.parametrize(
    ("text", "curly"),
    [
        ("set = \u201cweek-3\u201d", True),
        ('set = "week-3\u201d', True),
        ("keep = \u2018best\u2019", True),
        ('title = "Ann\u2019s" "', False),
    ],
)
def test_curly_quotes_are_told_from_other_mistakes(text: str, curly: bool) -> None:
    """A word processor puts them in; within a text they do no harm."""
    with pytest.raises(BadInput) as found:
        read_toml(f"{text}\n", where="x.toml")
    assert ('use straight quotes (")' in str(found.value)) == curly
    assert "line 1" in str(found.value)
