"""What people write into a file stands in the help of the command that reads it."""

from __future__ import annotations

import re

import pytest

from calclib.class_files import blueprint, marking_file
from calclib.class_files.accommodations import KEYS
from calclib.class_files.roster import COLUMNS
from calclib.class_files.set_rules import APPEAL_KEYS
from tests.cli.test_faculty_commands import run

BLUEPRINT = (*blueprint.TOP_KEYS, *blueprint.ITEM_KEYS, *APPEAL_KEYS)
MARKING = (*marking_file.WORDS, *marking_file.NOTICES, *marking_file.CRITICAL, "worth", "notices", "critical")


@pytest.mark.parametrize(
    ("command", "fields"),
    [("hand-out", BLUEPRINT), ("start", (*COLUMNS, *KEYS)), ("policies", MARKING)],
    ids=["blueprint", "roster", "marking policy"],
)
def test_help_lists_every_field_that_the_reader_knows(command: str, fields: tuple[str, ...]) -> None:
    """Each at the head of a line of the list that is printed as it stands, not only in passing."""
    listed = "\n".join(line for line in run(command, "--help").output.splitlines() if line.startswith("    "))
    assert {
        field
        for field in fields
        if not re.search(rf"(?:^|, |: | or )[\[ ]*{field}(?=[\s,=\]:]|$)", listed, re.MULTILINE)
    } == set()


def test_the_page_of_the_reader_lists_them_too() -> None:
    """The table at the top of the module that reads a blueprint has a line for each of its fields."""
    lines = str(blueprint.__doc__).splitlines()
    listed = {line.split()[0].strip("[]") for line in lines if line.strip()}
    assert set(BLUEPRINT) - listed == set()
