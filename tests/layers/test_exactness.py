"""No binary float and no built-in rounding between a given and a verdict; nothing that a person typed is evaluated."""

from __future__ import annotations

import ast

import pytest

from tests.layers.source_files import PACKAGE, SourceFile, source_files

EXACT_FOLDERS = (
    "quantity",
    "formulary",
    "reading",
    "chains",
    "faults",
    "models",
    "paths",
    "items",
    "proving",
    "answers",
    "timeline",
)

# (file below calclib/, name of the function or class around it): why a float is right there.
ALLOWED_FLOATS: dict[tuple[str, str], str] = {
    ("answers/verdict.py", "PartVerdict"): "a score is written as a JSON number, after the verdict",
    ("models/bank.py", "item_model"): "how alike two ids must be before one is suggested for the other",
    (
        "items/mistakes/fault_results.py",
        "_result",
    ): "the middle of an enclosure, for what a mistake leads to; the key is never taken so",
}

EXACT_MATH = {"ceil", "comb", "factorial", "floor", "gcd", "isqrt", "lcm", "perm", "prod"}

EVALUATING_NAMES = {"eval", "exec", "compile", "__import__"}
EVALUATING_ATTRIBUTES = {"literal_eval", "parse_expr", "sympify", "nsimplify", "lambdify", "parse_expression"}
EVALUATING_MODULES = {"code", "codeop", "dill", "marshal", "pickle", "shelve", "runpy"}


def exact_files() -> list[SourceFile]:
    """The modules through which a number passes from draw to mark."""
    return [file for file in source_files() if file.folder in EXACT_FOLDERS]


def floats_in(file: SourceFile) -> list[str]:
    """Each place that makes or rounds a float, outside the allowed ones."""
    found = []
    for around, node in _with_definition(file.tree):
        reason = _float_reason(node)
        allowed = (_below_package(file), around) in ALLOWED_FLOATS
        if reason and not allowed:
            found.append(f"{file.at(node)} in {around or 'the module'}: {reason}")
    return found


def _below_package(file: SourceFile) -> str:
    return file.path.relative_to(PACKAGE).as_posix()


def _with_definition(node: ast.AST, around: str = "") -> list[tuple[str, ast.AST]]:
    found = []
    for child in ast.iter_child_nodes(node):
        inner = around
        if isinstance(child, ast.FunctionDef | ast.ClassDef) and not around:
            inner = child.name
        found.append((inner, child))
        found.extend(_with_definition(child, inner))
    return found


def _float_reason(node: ast.AST) -> str | None:
    match node:
        case ast.Constant(value=float() | complex()):
            return f"float literal {node.value!r}"
        case ast.Call(func=ast.Name(id="float" | "round" | "complex" as name)):
            return f"call of {name}()"
        case ast.Attribute(value=ast.Name(id="math"), attr=attr) if attr not in EXACT_MATH:
            return f"math.{attr} gives a float"
        case ast.ImportFrom(module="math") if {alias.name for alias in node.names} - EXACT_MATH:
            return "a function of math that gives a float"
        case ast.Import() if {alias.name for alias in node.names} & {"cmath", "random", "statistics", "numpy"}:
            return "a library of floats or of its own chance"
        case ast.ImportFrom(module="cmath" | "random" | "statistics" | "numpy"):
            return "a library of floats or of its own chance"
        case ast.Attribute(attr="evalf" | "from_float" | "limit_denominator" | "total_seconds" as attr):
            return f"{attr} leaves exact numbers"
    return None


@pytest.mark.parametrize("folder", EXACT_FOLDERS)
def test_no_float_between_given_and_verdict(folder: str) -> None:
    """From draw to mark there are whole numbers and fractions only; rounding is a named rule."""
    assert [place for file in exact_files() if file.folder == folder for place in floats_in(file)] == []


def test_no_allowance_is_stale() -> None:
    """Each allowed place still exists, so that the list names only what is used."""
    places = {
        (_below_package(file), around)
        for file in exact_files()
        for around, node in _with_definition(file.tree)
        if _float_reason(node)
    }
    assert sorted(set(ALLOWED_FLOATS) - places) == []


def test_the_lint_sees_floats() -> None:
    """The test above finds each way of making a float that it forbids."""
    code = "a = 0.5\nb = float('1')\nc = round(a)\nimport math\nd = math.sqrt(2)\nfrom math import log\nimport random"
    tree = ast.parse(code)
    assert [node.lineno for _, node in _with_definition(tree) if _float_reason(node)] == [1, 2, 3, 5, 6, 7]


def test_nothing_is_evaluated() -> None:
    """No part of the package evaluates text as code, by Python's means or by sympy's or pint's."""
    found = [file.at(node) for file in source_files() for node in ast.walk(file.tree) if _evaluates(node)]
    assert found == []


def _evaluates(node: ast.AST) -> bool:
    match node:
        case ast.Name(id=name):
            return name in EVALUATING_NAMES | EVALUATING_ATTRIBUTES
        case ast.Attribute(value=ast.Name(id="sympy" | "sp"), attr="S"):
            return True
        case ast.Attribute(attr=attr):
            return attr in EVALUATING_ATTRIBUTES
        case ast.Import():
            return any(alias.name.split(".")[0] in EVALUATING_MODULES | {"ast"} for alias in node.names)
        case ast.ImportFrom():
            module = (node.module or "").split(".")[0]
            names = {alias.name for alias in node.names}
            return not node.level and (module in EVALUATING_MODULES | {"ast"} or bool(names & EVALUATING_ATTRIBUTES))
    return False
