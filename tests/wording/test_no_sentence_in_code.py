"""What is printed or shown stands in `wording`: no room holds a sentence of its own, but for the help of commands."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from calclib.faults.fault import KINDS
from tests.layers.source_files import PACKAGE, SourceFile, source_files

# Files whose words are about something else, or must stay as they are.
EXCEPTIONS = {
    "answers/diagnosis/": "a kind of mistake that has a name with blanks",
    "answers/feedback/cause_words.py": "the same",
    "answers/feedback/consequences.py": "units",
    "cli/main.py": "the name of a module",
    "chains/kinds/": "names of misreadings of a time",
    "chains/methods.py": "names of methods",
    "demo/class_list.py": "the blueprint of the demo, a file",
    "demo/measure.py": "names of what students plant",
    "demo/simulated_students.py": "the same",
    "demo/students/": "what simulated students read and type",
    "desk/handlers.py": "what a browser may load, send and frame",
    "desk/visit.py": "what a browser may load",
    "faults/wording.py": "names of misreadings of a drawing",
    "faults/likelihood.py": "why a kind of mistake is likely: beside its number, for whoever changes that",
    "formulas/": "names of arguments",
    "formulary/body.py": "the place that an error names",
    "formulary/order_words.py": "words that an order may hold",
    "formulary/reader.py": "the place that an error names",
    "gradebook/config_file.py": "the program text of nbgrader's configuration",
    "items/compiled.py": "names of values of an item model",
    "items/drawn.py": "what a drawing shows, in place of the picture",
    "items/facets.py": "what problems ask, for the catalogue",
    "items/keys/on_the_way.py": "the name of a path",
    "items/own_values/": "values that a teacher gives to an item model",
    "judging_papers/left_blank/beside_source.py": "what an earlier version prints, looked for in a student's cells",
    "lessons/boards.py": "names of methods and of fields",
    "lessons/pieces.py": "the name of a field",
    "lessons/why_words.py": "why a set-up stands as it does, the same for every answer",
    "models/devices.py": "what a drawing shows, in place of the picture",
    "models/file_shape.py": "names of fields of an item model",
    "models/selection.py": "an example in the syntax of an item model",
    "models/stated.py": "names of kinds of values",
    "nbgrading/": "a warning for programs that use an old name",
    "pages/after_exam/plan_notebook.py": "the program text of a practice notebook",
    "pages/export.py": "how a spreadsheet writes a time",
    "plots/picture.py": "styles of a drawing",
    "plots/svg.py": "styles of a drawing",
    "quantity/": "names of days and of units",
    "reading/": "words that are read, and the comment in an answer's cell",
    "records/frozen/recorded_policies.py": "the place that an error names",
    "records/schema/versions/": "an earlier version recorded sentences, and they are turned into facts here",
    "releasing/practice_set.py": "the program text of a practice notebook",
    "widgets/asleep.py": "names of classes of a page",
    "widgets/devices/": "labels and readings of a drawn device",
    "widgets/explorer.py": "labels and readings of a model of an infusion",
    "widgets/failing.py": "a failure of the program",
    "widgets/lesson_widget.py": "a failure of the program",
    "widgets/shown.py": "an example in an empty field",
}
_WORD = re.compile(r"[A-Za-z’']+")
# Patterns, pages, commands and programs are no sentences: a group, a tag, an option, a line of Python, a pragma.
_NO_SENTENCE = re.compile(r"\(\?|\\[bsdw]|</?\w+|(?:^| )--[a-z]|^\W*(?:from|import) \w|^PRAGMA |^SELECT ")
_LOGGING = frozenset({"debug", "info", "warning", "error"})


def _sentences(tree: ast.AST) -> Iterator[tuple[ast.expr, str]]:
    """Each literal that reads as words for people: three words or more, two of them in small letters."""
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        text = _text(node)
        if text is None or isinstance(parents.get(node), ast.JoinedStr | ast.Expr) or _NO_SENTENCE.search(text):
            continue
        words = _WORD.findall(text)
        small = [word for word in words if word.islower() and len(word) > 1]
        is_words = len(words) >= 3 and len(small) >= 2 and " " in text.strip() and text not in KINDS
        if is_words and not _is_no_concern(node, parents):
            yield node, text


def _text(node: ast.AST) -> str | None:
    if isinstance(node, ast.JoinedStr):
        return " ".join(str(one.value) if isinstance(one, ast.Constant) else "{}" for one in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


def _is_no_concern(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a literal belongs to an error, to what is always so, to an enumeration, or to the help of a command."""
    while node in parents:
        above = parents[node]
        if isinstance(above, ast.Raise) or (isinstance(above, ast.Assert) and above.msg is node):
            return True
        if isinstance(above, ast.keyword) and above.arg == "help":
            return True  # the help of a command stands in `cli`
        if isinstance(above, ast.ClassDef) and any("Enum" in ast.unparse(base) for base in above.bases):
            return True
        node = above
    return False


def _excepted(file: SourceFile) -> bool:
    path = file.path.relative_to(PACKAGE).as_posix()
    return any(path == name or (name.endswith("/") and path.startswith(name)) for name in EXCEPTIONS)


def test_no_room_holds_a_sentence() -> None:
    """What they say is a fact, and its sentence stands in `wording`, once."""
    found = [
        f"{file.at(node)}: {text}"
        for file in source_files()
        if file.folder != "wording" and not _excepted(file)
        for node, text in _sentences(file.tree)
    ]

    assert found == []


def test_no_room_names_a_month_or_a_weekday_by_the_machine() -> None:
    """The names of days and months are words of the language, and no machine's setting changes what is printed."""
    by_the_machine = re.compile(r"(?<!%)%-?[aAbBhpcxX](?![A-Za-z(])")
    found = [
        f"{file.at(node)}: {node.value}"
        for file in source_files()
        for node in ast.walk(file.tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and by_the_machine.search(node.value)
    ]

    assert found == []


def test_every_exception_is_needed() -> None:
    """A file that holds no such words any more is taken from the list."""
    needed = {
        name
        for name in EXCEPTIONS
        for file in source_files()
        if file.path.relative_to(PACKAGE).as_posix().startswith(name) and any(True for _ in _sentences(file.tree))
    }

    assert sorted(EXCEPTIONS.keys() - needed) == []


def test_no_page_holds_words_beside_what_it_is_told() -> None:
    """Every page has its labels from `wording`, between its tags and in attributes; a command stands as it is typed."""
    for path in sorted(Path(PACKAGE).glob("*/templates/*.html")):
        text = re.sub(r"<code>.*?</code>|<style>.*?</style>", "", path.read_text("utf-8"), flags=re.DOTALL)
        bare = re.sub(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", "", text, flags=re.DOTALL)
        shown = [*re.findall(r">([^<]*)<", bare), *re.findall(r'(?:aria-label|alt|title)="([^"]*)"', bare)]
        assert [one.strip() for one in shown if _WORD.search(one)] == [], path.name


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ('say("The notebook was set aside.")', True),
        ('say(f"{name} handed in two notebooks")', True),
        ('words = "late by " + "less than a day"', True),
        ('def f():\n    """Return what was handed in."""', False),
        ('raise BadInput("the set has no such problem")', False),
        ('assert found, "it was read a moment ago"', False),
        ('class Kind(StrEnum):\n    LATE = "came in too late"', False),
        ('Fault("conversion left out")', False),
        ('command = f"{start} --take-notebook --reason why"', False),
        ('say("set aside")', False),
        ('option("--yes", help="Apply it without asking.")', False),
    ],
)
def test_what_is_held_for_a_sentence(code: str, found: bool) -> None:
    """Three words of which two are small, unless they belong to an error, an enumeration, a command or the reader."""
    assert bool(list(_sentences(ast.parse(code)))) is found
