"""Cuts a plain text into numbers, words and signs."""

from __future__ import annotations

import re
from typing import NamedTuple

from calclib.reading.plain_text.characters import why_refused
from calclib.reading.records import Unreadable
from calclib.wording.facts import fact

MOST_TOKENS = 80
LOOK_AHEAD = 8


class Token(NamedTuple):
    """`kind` is "n" for a number, "w" for a word, "" for the end, else the sign itself."""

    kind: str
    text: str
    start: int
    glued: bool


# Groups of three digits after single blanks are one number: 1 000.
# A number ends with a digit, so a closing point or comma stands apart.
# Blanks are taken for good (*+): given back one by one, hundreds of them would be looked at again and again.
_TOKEN = re.compile(
    r"[ \t\n\r\f\v]*+(?:"
    r"([1-9][0-9]{0,2}(?: [0-9]{3})+(?![0-9])(?:\.[0-9]+)?(?![.,]?[0-9])"
    r"|[.,]?[0-9](?:[0-9.,]*[0-9])?(?:[eE][+-]?[0-9]{1,4}(?![A-Za-z0-9.]))?)"
    r"|([A-Za-z](?:\.[A-Za-z])+(?![A-Za-z])\.?|[AaPp]\. [Mm](?![A-Za-z])\.?"
    r"|(?:[Mm][Gg]|[Mm])[Ss][Oo]4(?![0-9])|[A-Za-z\u00b5°%]+(?:'[A-Za-z]+)?)"
    r"|(-{1,2}>|={1,2}>|\*\*|[-+*/=:()^~@&;,.\\<>?!\"'\u00f7\u00b7\u2264\u2265\u00b1\[\]])"
    r"|([^ \t\n\r\f\v]))"
)


def cut_tokens(text: str) -> list[Token]:
    """The tokens of a plain text, closed by end tokens that let a grammar look ahead.

    Raises Unreadable at a character outside the grammar.
    """
    tokens: list[Token] = []
    new = tuple.__new__
    last = 0
    for found in _TOKEN.finditer(text):
        group = found.lastindex
        assert group is not None
        start, end = found.span(group)
        piece = text[start:end]
        if group == 1:
            tokens.append(new(Token, ("n", piece, start, start == last and start > 0)))
        elif group == 2:
            word = piece.replace(".", "").replace(" ", "")  # a.m. is am
            tokens.append(new(Token, ("w", word, start, start == last and start > 0)))
        elif group == 3:
            kind = piece if len(piece) == 1 else "^" if piece == "**" else "="  # -> joins as an equals sign does
            tokens.append(new(Token, (kind, piece, start, start == last and start > 0)))
        else:
            raise Unreadable(why_refused(piece), start)
        last = end
    if len(tokens) > MOST_TOKENS:
        raise Unreadable(fact("unread.answer_too_long"), tokens[MOST_TOKENS].start)
    tokens.extend([Token("", "", len(text), False)] * LOOK_AHEAD)
    return tokens
