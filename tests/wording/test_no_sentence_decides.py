"""No module decides by reading a sentence: what is said is never compared, searched or cut."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from calclib.faults.fault import KINDS
from calclib.wording.sentences import LANGUAGE, templates
from tests.layers.source_files import SourceFile, source_files

# Attributes and functions whose value is a sentence for people.
_SAID = frozenset({"says", "message", "reason", "instead"})
_SAYING = frozenset({"sentence", "said", "recorded_message", "recorded_reason", "cause_in_words"})
_READING = frozenset(
    {"startswith", "endswith", "find", "index", "split", "partition", "rpartition", "removeprefix", "removesuffix"}
)
# Where a word of data, not a sentence about a person's work, is called so: names and phrases of models and rules.
_DATA = ("calclib/formulary/", "calclib/models/", "calclib/timeline/", "calclib/class_files/", "calclib/quantity/")
# What an earlier version recorded as a sentence is turned into its kind there, once.
_EARLIER_RECORDS = "calclib/records/schema/versions/"
# What problems ask, by which the catalogue is searched: “a time” is a name there.
_CATALOGUE = "calclib/items/facets.py"


def _read_sentences(file: SourceFile) -> Iterator[str]:
    """Every place where a sentence is compared with a text, searched in, or cut."""
    for node in ast.walk(file.tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in _READING:
            if _is_sentence(node.func.value):
                yield f"{file.at(node)}: {ast.unparse(node.func)}"
        elif isinstance(node, ast.Compare):
            sides = (node.left, *node.comparators)
            if any(map(_is_sentence, sides)) and not all(map(_is_sentence, sides)):
                yield f"{file.at(node)}: {ast.unparse(node)}"


def _is_sentence(node: ast.expr) -> bool:
    if isinstance(node, ast.Attribute):
        return node.attr in _SAID
    if isinstance(node, ast.Subscript):
        return isinstance(node.slice, ast.Constant) and node.slice.value in _SAID
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id in _SAYING
    return False


def _is_docstring(file: SourceFile, node: ast.Constant) -> bool:
    return any(isinstance(one, ast.Expr) and one.value is node for one in ast.walk(file.tree))


def test_no_sentence_is_compared_searched_or_cut() -> None:
    """What a fact says is shown and nothing else: whoever decides looks at its kind and its fields."""
    found = [
        place
        for file in source_files()
        for place in _read_sentences(file)
        if not place.startswith(_DATA)
        # The words of a given or a step, what a person wrote, and a description that is set in lines.
        and place.rpartition(": ")[2]
        not in (
            "given.says in _NAMED",
            "q.says not in said",
            "step.says.endswith",
            "request.reason.split",
            "policy.says.split",
        )
    ]

    assert found == []


def test_no_sentence_of_the_language_stands_in_the_code() -> None:
    """A sentence stands once, in its file: no module holds the text of one, to say it or to look for it."""
    sentences = {
        "".join(text for text, _, _ in template.pieces): kind
        for kind, template in templates(LANGUAGE).items()
        if len(template.pieces) == 1
        and template.pieces[0][1] is None
        and " " in template.pieces[0][0]
        # A kind of mistake is recorded under a name with blanks, which is also what English calls it.
        and not kind.startswith("fault_name.")
    }
    found = [
        f"{file.at(node)}: {sentences[node.value]}"
        for file in source_files()
        for node in ast.walk(file.tree)
        if isinstance(node, ast.Constant) and node.value in sentences and not _is_docstring(file, node)
        if not file.at(node).startswith((_EARLIER_RECORDS, _CATALOGUE))
    ]

    assert found == []


def test_no_kind_of_mistake_is_told_by_a_part_of_its_name() -> None:
    """A kind is compared as a whole: “left out” within a name decides nothing."""
    parts = {" ".join(kind.split()[-2:]) for kind in KINDS if len(kind.split()) > 2} | {"inverted", "left out"}
    found = [
        f"{file.at(node)}: {ast.unparse(node)}"
        for file in source_files()
        for node in ast.walk(file.tree)
        if isinstance(node, ast.Compare)
        and isinstance(node.ops[0], ast.In)
        and isinstance(node.left, ast.Constant)
        and node.left.value in parts
        and isinstance(node.comparators[0], ast.Attribute | ast.Name)
        and ast.unparse(node.comparators[0]).rpartition(".")[2] in ("fault", "kind")
    ]

    assert found == []
