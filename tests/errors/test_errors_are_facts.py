"""An error carries kind and fields; its sentence stands in the files of a language and is made where it is shown."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from importlib import resources

import pytest

from calclib.errors import BadInput, CalclibError
from calclib.wording import Fact, fact
from calclib.wording.sentences import LANGUAGE, templates
from tests.layers.source_files import PACKAGE, SourceFile, source_files

# What shows an error to a person.
EDGES = frozenset({"cli", "desk", "plugins", "widgets"})
_WORDING = frozenset({"sentence", "said", "str"})


def _bases(node: ast.ClassDef) -> set[str]:
    return {ast.unparse(base).rpartition(".")[2] for base in node.bases}


def _error_classes() -> frozenset[str]:
    """The names of CalclibError and all that come from it."""
    classes = {
        node.name: _bases(node)
        for file in source_files()
        for node in ast.walk(file.tree)
        if isinstance(node, ast.ClassDef)
    }
    found = {"CalclibError"}
    while more := {name for name, bases in classes.items() if bases & found} - found:
        found |= more
    return frozenset(found)


ERRORS = _error_classes()


def _made() -> Iterator[tuple[SourceFile, ast.Call]]:
    """Every place where an error is made."""
    for file in source_files():
        for node in ast.walk(file.tree):
            if isinstance(node, ast.Call) and ast.unparse(node.func).rpartition(".")[2] in ERRORS:
                yield file, node


def _is_words(node: ast.expr) -> bool:
    if isinstance(node, ast.IfExp):
        return _is_words(node.body) or _is_words(node.orelse)
    if isinstance(node, ast.Call):
        return ast.unparse(node.func) in _WORDING or ast.unparse(node.func).endswith(".format")
    if isinstance(node, ast.Attribute):
        return node.attr == "message"
    return isinstance(node, ast.Constant | ast.JoinedStr | ast.BinOp)


def test_the_law_looks_at_errors() -> None:
    """It finds the classes of errors and hundreds of places that make one."""
    assert {"BadInput", "Undecided", "UnknownDrug"} <= ERRORS
    assert len(list(_made())) > 400


def test_no_error_is_made_of_words() -> None:
    """What is wrong is a fact: no text, and no sentence that was worded already."""
    wrong = [file.at(call) for file, call in _made() if len(call.args) != 1 or _is_words(call.args[0])]

    assert wrong == []


def test_no_fact_of_an_error_holds_words() -> None:
    """A field is a name, a number or another fact: no text with words, and nothing that was worded already."""
    wrong = [
        f"{file.at(node)}: {ast.unparse(word.value)}"
        for file in source_files()
        for node in ast.walk(file.tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "fact" and _kind(node).startswith("errors")
        for word in node.keywords
        for part in ast.walk(word.value)
        if _holds_words(part)
    ]

    assert wrong == []


def _holds_words(node: ast.AST) -> bool:
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str) and " " in node.value.strip()
    return isinstance(node, ast.Call) and ast.unparse(node.func) in ("sentence", "said")


def _kind(call: ast.Call) -> str:
    return ast.unparse(call.args[0]).strip("'\"") if call.args else ""


def test_no_caught_error_is_read_as_words() -> None:
    """Below the edges, who catches an error goes by its class and its fact, and passes the fact on."""
    wrong = []
    for file in source_files():
        if file.folder in EDGES:
            continue
        for handler in ast.walk(file.tree):
            if not isinstance(handler, ast.ExceptHandler) or handler.name is None or not _catches(handler):
                continue
            wrong += [f"{file.at(node)}: {ast.unparse(node)}" for node in _worded(handler)]

    assert wrong == []


def _catches(handler: ast.ExceptHandler) -> bool:
    return handler.type is not None and any(
        isinstance(node, ast.Name | ast.Attribute) and ast.unparse(node).rpartition(".")[2] in ERRORS
        for node in ast.walk(handler.type)
    )


def _worded(handler: ast.ExceptHandler) -> Iterator[ast.AST]:
    name = handler.name
    words = {f"str({name})", f"repr({name})", f"{name}.message", f"{name}.args"}
    for node in ast.walk(ast.Module(handler.body, [])):
        shown = isinstance(node, ast.FormattedValue) and ast.unparse(node.value) == name
        if shown or (isinstance(node, ast.Call | ast.Attribute) and ast.unparse(node) in words):
            yield node


def test_each_file_of_errors_is_that_of_a_room() -> None:
    """`errors_models.toml` holds the errors of `models`: whoever looks for a sentence finds its file."""
    folder = resources.files("calclib.wording").joinpath(LANGUAGE)
    rooms = {one.name[7:-5] for one in folder.iterdir() if one.name.startswith("errors_")}

    assert rooms
    assert {room for room in rooms if not (PACKAGE / room).is_dir()} == set()


def test_an_error_keeps_its_fact_and_says_it_with_its_place() -> None:
    """Kind, fields, file and line are there for programs; the sentence begins with the place."""
    error = BadInput(fact("errors_quantity.no_unit", unit="mgg"), where="mine.toml", line=3)

    assert isinstance(error, CalclibError)
    assert (error.what.kind, error.what.field("unit")) == ("errors_quantity.no_unit", "mgg")
    assert error.message == "“mgg” is not a unit that is known here"
    assert str(error) == "mine.toml, line 3: “mgg” is not a unit that is known here"
    assert str(BadInput(error.what, line=3)) == "line 3: “mgg” is not a unit that is known here"
    assert str(BadInput(error.what, where="mine.toml")) == "mine.toml: “mgg” is not a unit that is known here"
    assert str(BadInput(error.what)) == error.message


@pytest.mark.parametrize(
    ("what", "words"),
    [
        (
            fact("errors.file_too_long", what=fact("errors.this_file"), most=64_000),
            "This file may have at most 64,000 characters",
        ),
        (
            fact("errors_quantity.no_policy", name="sise", known=("a", "b")),
            "no rounding policy 'sise'; choose one of a, b",
        ),
        (
            fact(
                "errors_models.no_value",
                name="x",
                text="y",
                wrong=fact("errors_models.number_above_zero"),
                examples=("1 mL", "2 mL", "3 mL"),
            ),
            "like “1 mL”, “2 mL” or “3 mL”",
        ),
        (fact("errors_timeline.negative", name="primed_out"), "primed out can't be negative"),
    ],
)
def test_fields_are_shaped_by_the_sentence(what: Fact, words: str) -> None:
    """Numbers, names and lists are raw in the fact; commas, quotes and “or” are the language's."""
    assert words in str(BadInput(what))


def test_an_error_that_nobody_shows_reads_no_sentence() -> None:
    """Most errors are caught where a reading is tried: making one opens no file of sentences."""
    program = (
        "from calclib.errors import BadInput\n"
        "from calclib.wording import fact\n"
        "from calclib.wording.sentences import templates\n"
        "error = BadInput(fact('errors.too_deep'), where='x')\n"
        "print(templates.cache_info().currsize)\n"
        "str(error)\n"
        "print(templates.cache_info().currsize)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)

    assert done.stdout.split() == ["0", "1"], done.stderr


def test_every_error_has_words_to_mend_it() -> None:
    """No sentence of an error is empty but the one that says that nothing is near."""
    empty = {
        kind for kind, template in templates(LANGUAGE).items() if kind.startswith("errors") and template.pieces == ()
    }

    assert empty == {"errors.nothing_near"}
