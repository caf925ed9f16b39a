"""What doesn't print is written out wherever a command prints it."""

import ast
import json
from pathlib import Path

import pytest

import calclib
from calclib.cli.contract import json_line
from calclib.errors.unseen import is_unseen, unseen_shown
from calclib.gradebook.plain_markdown import plain_markdown

CLI = Path(calclib.__file__).parent / "cli"
# One of each kind: a terminal's command, a turned direction, no width, a filler, half of a character, a tag.
UNSEEN = ("\x1b", "\r", "\x00", "\x9b", "\u202e", "\u2066", "\u200b", "\u200d", "\ufeff", "\u00ad", "\u2028", "\u3164")
UNSEEN_TOO = ("\u2800", "\ufe0f", "\ud800", "\U000e0041", "\u061c", "\u180e", "\u115f")


def test_no_command_prints_past_the_one_function() -> None:
    """Only `say` and the progress bar, which moves the cursor itself, write to the terminal."""
    names = {"echo", "secho", "echo_via_pager", "confirm", "prompt", "print"}
    for path in CLI.rglob("*.py"):
        if path.name in ("say.py", "progress.py"):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
                of_click = not isinstance(node.func, ast.Attribute) or ast.unparse(node.func.value) == "click"
                ours = isinstance(node.func, ast.Name) and name == "confirm"
                assert name not in names or not of_click or ours, f"{path.name}, line {node.lineno}"


@pytest.mark.parametrize("one", [*UNSEEN, *UNSEEN_TOO])
def test_each_kind_is_written_out(one: str) -> None:
    """Nothing of it is left, and what is left can be encoded and is the same the second time."""
    shown = unseen_shown(f"Ann{one}Ash")
    assert one not in shown
    assert shown.startswith("Ann\\") and shown.endswith("Ash")
    assert shown.encode("utf-8").decode("utf-8") == shown == unseen_shown(shown)
    assert not any(is_unseen(sign) for sign in shown)


def test_what_prints_stays() -> None:
    """Letters with accents, other scripts, signs of the trade and no-break spaces are as they were."""
    for text in ("Zoë Núñez", "4.8 mL/h × 2 = 9.6 µg", "Đặng", "李", "5\u00a0mL", "a\n\tb"):
        assert unseen_shown(text) == text
    assert unseen_shown("a\nb\tc", one_line=True) == r"a\u000ab\u0009c"


def test_a_line_for_programs_says_the_same_without_them() -> None:
    """It is JSON of the same texts, also where they lie beyond 16 bits."""
    value = {"typed": "".join(one for one in (*UNSEEN, *UNSEEN_TOO) if one != "\ud800")}
    line = json_line(value)
    assert json.loads(line) == value
    assert unseen_shown(line) == line


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("<img src=x onerror=y>", "&#60;img src=x onerror=y&#62;"),
        ("[a](javascript:b)", "&#91;a&#93;(javascript:b)"),
        ("![a](c)", "&#33;&#91;a&#93;(c)"),
        ("http://a.b", "http&#58;//a.b"),
        ("www.a.b", "www&#46;a.b"),
        ("a@b.c", "a&#64;b.c"),
        ("$x$", "<span>&#36;</span>x<span>&#36;</span>"),
        ("`a`", "&#96;a&#96;"),
        ("&lt;b&gt;", "&#38;lt;b&#38;gt;"),
        ("a\u202eb", "a<span>&#92;</span>u202eb"),
        ("**b** # _c_", "&#42;&#42;b&#42;&#42; &#35; &#95;c&#95;"),
        ('Order: 1,000 mL (0.9%) over 8 h - "stat".', 'Order: 1,000 mL (0.9%) over 8 h - "stat".'),
    ],
)
def test_a_text_in_a_markdown_cell_is_letters(text: str, shown: str) -> None:
    """No sign of it begins an element, a link, a picture, code, emphasis or a formula."""
    assert plain_markdown(text) == shown
