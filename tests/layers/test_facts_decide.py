"""What is recorded of a class, judged and released decides by kinds and fields, never by reading a sentence."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.layers.source_files import PACKAGE, SourceFile, source_files

ROOMS = {"judging_papers", "records", "releasing"}
# The scripts that bring older gradebooks up may read what those hold.
OLDER = PACKAGE / "records" / "schema" / "versions"
READS = {
    "casefold", "count", "endswith", "find", "findall", "finditer", "format", "fullmatch", "index", "lower", "match",
    "partition", "removeprefix", "removesuffix", "replace", "rfind", "rpartition", "rsplit", "search", "split",
    "splitlines", "startswith", "sub",
}  # fmt: skip
# Attributes and keys that hold words for people.
WORDS = {"about", "accepted_by", "asked", "by", "message", "notes", "reason", "says", "told", "why", "words"}
TWO_WORDS = re.compile(r"[A-Za-z'’]+[,;:]? [A-Za-z'’]+")
# What faculty types is tidied.
ALLOWED = {"request.reason.split()", "request.by.split()"}


def _rooms() -> Iterator[SourceFile]:
    return (file for file in source_files() if file.folder in ROOMS and OLDER not in file.path.parents)


def _sentence(node: ast.expr) -> bool:
    """Whether an expression is a text of several words, or holds words for people."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str) and TWO_WORDS.search(node.value) is not None
    if isinstance(node, ast.JoinedStr):
        return any(_sentence(one) for one in node.values)
    if isinstance(node, ast.Attribute):
        return node.attr in WORDS
    if isinstance(node, ast.Subscript):
        return isinstance(node.slice, ast.Constant) and node.slice.value in WORDS
    if isinstance(node, ast.Call):
        named = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        return named in ("said", "sentence") or (named in ("get", "str") and any(map(_of_words, node.args)))
    return False


def _of_words(node: ast.expr) -> bool:
    return (isinstance(node, ast.Constant) and node.value in WORDS) or _sentence(node)


def readings(tree: ast.AST) -> Iterator[ast.expr]:
    """Every place where a sentence is compared, searched or taken apart."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            # Whether there are any words is no reading of them.
            sides = [node.left, *node.comparators]
            nothing = any(isinstance(one, ast.Constant) and one.value in ("", "[]", None) for one in sides)
            # How an answer is right is a fact, which may be compared as a whole.
            if not nothing and any(map(_sentence, sides)) and "accepted_by" not in ast.unparse(node):
                yield node
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in READS:
            read = [node.func.value, *node.args]
            if node.func.attr != "format" and any(map(_sentence, read)) and ast.unparse(node) not in ALLOWED:
                yield node


def test_no_sentence_is_read() -> None:
    """Nothing in these rooms compares, searches or takes apart words that are for people."""
    files = tuple(_rooms())
    assert {file.folder for file in files} == ROOMS
    assert [f"{file.at(node)}: {ast.unparse(node)}" for file in files for node in readings(file.tree)] == []


@pytest.mark.parametrize(
    "code",
    [
        'mark.detail.get("accepted_by", "").endswith(mention)',
        'mark.detail["message"] == other',
        'reason.startswith("The notebook was made for ")',
        'about["reason"].replace(before, after)',
        'said.removeprefix("It looks like ")',
        "one.says in known",
        'message == "Right on time."',
        'f"student {name}." in words or f"made for {name}" in words',
        're.match("The notebook is", text)',
        "sentence(one) == sentence(other)",
    ],
)
def test_the_law_finds_what_it_forbids(code: str) -> None:
    """Each of these reads a sentence."""
    assert list(readings(ast.parse(code)))


@pytest.mark.parametrize(
    "code", ['ruling.kind == "hand_in"', 'reason != ""', 'path.name.startswith(".")', "value[:12]", "names.split()"]
)
def test_the_law_leaves_kinds_and_names_alone(code: str) -> None:
    """None of these does."""
    assert not list(readings(ast.parse(code)))
