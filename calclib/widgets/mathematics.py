"""A set-up's LaTeX as a tree of plain lists, which a page builds without a typesetter and without reading markup."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

Tree = list[Any]
"""`["row", ...]`, `["fraction", above, below]`, `["struck", of]`, `["root", of]`, `["power", of, exponent]`, or a leaf:
`["text", words]`, `["number", digits]`, `["sign", character]`."""

_TOKENS = re.compile(r"\\[a-z]+|\\.|[{}^]|[^\\{}^]", re.DOTALL)
_SIGNS = {r"\times": "\u00d7", r"\div": "\u00f7", r"\cdot": "\u00b7", r"\left": "", r"\right": "", r"\displaystyle": ""}
_WITH_GROUPS = {r"\frac": ("fraction", 2), r"\cancel": ("struck", 1), r"\sqrt": ("root", 1)}


def mathematics_tree(latex: str) -> Tree:
    """Return the tree of a set-up's LaTeX.

    Args:
        latex: What `judge_setup` returns: fractions, roots, powers, struck units, numbers and signs.
    """
    return _row(iter(_TOKENS.findall(latex)))


def _row(tokens: Iterator[str]) -> Tree:
    """All up to the closing brace or the end."""
    found: list[Tree] = []
    for token in tokens:
        if token == "}":
            break
        if token == "{":
            _add(found, _row(tokens))
        elif token == "^":
            found.append(["power", found.pop() if found else ["text", ""], _group(tokens)])
        elif token == r"\text":
            found.append(["text", _words(tokens)])
        elif token in _WITH_GROUPS:
            kind, many = _WITH_GROUPS[token]
            found.append([kind, *(_group(tokens) for _ in range(many))])
        else:
            _add(found, _leaf(token))
    return found[0] if len(found) == 1 else ["row", *found]


def _group(tokens: Iterator[str]) -> Tree:
    opening = next(tokens, "")
    if opening == "{":
        return _row(tokens)
    return _leaf(opening) if opening else ["row"]


def _words(tokens: Iterator[str]) -> str:
    next(tokens, "")
    words = []
    for token in tokens:
        if token == "}":
            break
        words.append(token.removeprefix("\\"))
    return "".join(words)


def _leaf(token: str) -> Tree:
    if token in _SIGNS:
        return ["sign", _SIGNS[token]]
    if token.startswith("\\"):
        return ["text", "\u00a0" if token == "\\ " else token[1:]]
    if token.isdigit() or token in (".", ","):
        return ["number", token]
    return ["sign", {"-": "\u2212"}.get(token, token.strip())]


def _add(found: list[Tree], node: Tree) -> None:
    """Add a node; digits that follow one another are one number, and what shows nothing is left out."""
    if node == ["row"] or node[1] == "":
        return
    if node[0] == "number" and found and found[-1][0] == "number":
        found[-1] = ["number", found[-1][1] + node[1]]
    else:
        found.append(node)
