"""A worked example on a page: its lines in groups that stay together, by each method that writes it differently."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calclib.chains.methods import FACTORS
from calclib.lessons.boards import METHOD_NAMES, Board, BoardLine, BoardPart
from calclib.lessons.pieces import Piece
from calclib.pages.templating import pictures_of

_TIMES = "\u00d7"
_SIGNS = ("=", _TIMES, "+", "\u2212", "\u00f7", "/", ":")

Group = list[Mapping[str, Any]]


def shown_board(board: Board) -> dict[str, Any]:
    """Return a worked example for the page: as it is asked, and as it is filled in.

    Args:
        board: The example. Where it has no gap, the first method is shown and the others are folded.
    """
    ways = _ways(board)
    asks = board.gaps != 0
    return {
        "kind": "board",
        "stem": board.item.stem.split("\n\n"),
        "pictures": pictures_of(board.item.pictures),
        "method": METHOD_NAMES[FACTORS],
        "parts": [_part(one) for one in board.parts(FACTORS)] if asks else ways[0]["parts"],
        "asks": asks,
        "ways": ways if asks else ways[1:],
    }


def _ways(board: Board) -> list[dict[str, Any]]:
    """The whole board by each method; a method that writes the same lines as an earlier one is left out."""
    found: list[tuple[str, tuple[BoardPart, ...]]] = []
    for name, words in METHOD_NAMES.items():
        parts = board.parts(name, filled=True)
        if parts not in [earlier for _, earlier in found]:
            found.append((words, parts))
    return [{"method": words, "parts": [_part(one) for one in parts]} for words, parts in found]


def _part(part: BoardPart) -> dict[str, Any]:
    lines = [{"groups": groups_of(line), "why": line.why} for line in part.lines]
    return {"asked": part.asked, "rule": part.rule, "choices": part.choices, "lines": lines}


def groups_of(line: BoardLine) -> list[Group]:
    """Return what is written in a line, in groups: a sign stays with what follows it, a comma with what it follows."""
    groups: list[Group] = []
    is_open = False
    for one in (token for piece in line.pieces for token in _tokens(piece)):
        text = str(one.get("text", ""))
        if not is_open and not (groups and text.startswith((",", ";"))):
            groups.append([])
        groups[-1].append(one)
        is_open = text in _SIGNS or text.endswith(":")
    return groups


def _tokens(piece: Piece) -> list[Mapping[str, Any]]:
    if "gap" in piece:
        return [{"gap": piece["label"]}]
    if "words" in piece:
        return [{"text": piece["words"]}]
    if "sign" in piece:
        return [{"text": piece["sign"].replace("-", "\u2212")}]
    factors: list[Mapping[str, Any]] = []
    for place, ratio in enumerate(piece["product"]):
        factors += [{"text": _TIMES}] * bool(place) + [{"ratio": ratio}]
    return [{"text": "\u221a("}, *factors, {"text": ")"}] if piece.get("root") else factors
