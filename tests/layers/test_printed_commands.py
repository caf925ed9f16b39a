"""A command that is printed can be run as it stands: its words are quoted."""

from __future__ import annotations

import ast
import re
import shlex

import pytest

from calclib.cli.main import COMMANDS
from calclib.errors.printed_command import printed_command
from tests.layers.source_files import source_files

_BEGUN = re.compile(rf"\bcalclib (?:(?:{'|'.join(sorted(COMMANDS, key=len, reverse=True))})\b[^.:;,()]*)?$")


def unquoted(tree: ast.AST) -> list[ast.AST]:
    """The f-strings of a module that fill something into a command after `calclib`."""
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for one, then in zip(node.values, node.values[1:], strict=False)
        if isinstance(one, ast.Constant) and isinstance(then, ast.FormattedValue) and _BEGUN.search(str(one.value))
    ]


def test_no_command_is_printed_with_words_that_are_not_quoted() -> None:
    """A path with a blank in a printed command would be two words: `printed_command` quotes it."""
    found = [file.at(node) for file in source_files() for node in unquoted(file.tree)]
    # The new name of a command that was renamed, from the program's own list.
    assert [place for place in found if not place.startswith("calclib/cli/main.py:")] == []


@pytest.mark.parametrize(
    ("code", "is_found"),
    [
        ("f'Next: calclib mark {folder} {set_name}'", True),
        ("f'calclib hand-out {folder} x.toml'", True),
        ("f'calclib rule CLASS week --model {name}'", True),
        ("f'calclib {step}'", True),
        ("f'see ' f'calclib collect ' f'{folder}'", True),
        ("f'calclib review lists them. It has {count}.'", False),
        ("f'{name}: calclib items lists them'", False),
        ("f'Next: {printed_command(folder)}'", False),
    ],
)
def test_the_law_finds_what_it_forbids(code: str, is_found: bool) -> None:
    """A value filled in after the name of a command is found; one in the next sentence isn't."""
    assert bool(unquoted(ast.parse(code))) == is_found


@pytest.mark.parametrize("path", ["my class", "Anna's class", "a;rm -rf b", "$HOME", "c\\d", "-x", "Ü", ""])
def test_a_shell_reads_the_same_words(path: str) -> None:
    """Whatever the path is, the printed line splits into the words that were given."""
    assert shlex.split(printed_command("mark", path, "week-3")) == ["calclib", "mark", path, "week-3"]


def test_placeholders_stay_as_they_are() -> None:
    """Words in capitals are for the reader to fill in, not in quotes."""
    assert printed_command("hand-out", "my class", "BLUEPRINT") == "calclib hand-out 'my class' BLUEPRINT"
