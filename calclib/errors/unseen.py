"""Texts with whatever nobody sees written out: it must not move, hide or imitate the words around it."""

from __future__ import annotations

import unicodedata

# Letters by their category that show nothing: fillers, the blank braille pattern, joiners and selectors of variants.
_BLANK = frozenset(
    "\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\uffa0"
    + "".join(map(chr, (*range(0xFE00, 0xFE10), *range(0xE0100, 0xE01F0))))
)
# Controls, signs that turn the direction of text or have no width, halves of characters, ends of lines and paragraphs.
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
_LAYOUT = "\n\t"


def is_unseen(character: str) -> bool:
    """Tell whether a character shows nothing of its own; an empty space isn't one."""
    return character in _BLANK or stands_for_nothing(character) or unicodedata.category(character) in _UNSEEN


def stands_for_nothing(character: str) -> bool:
    """Tell whether a character is one of those that no letter will ever have: programs use them as signs of their own.

    Records use some for a person who was erased, so that a text that somebody typed must hold none.
    """
    return "\ufdd0" <= character <= "\ufdef" or ord(character) & 0xFFFE == 0xFFFE


def unseen_shown(text: str, *, one_line: bool = False) -> str:
    """Return a text with the characters that nobody sees written out: \\u202e.

    Args:
        text: Any text, also one that can't be encoded.
        one_line: Whether ends of lines and tabs, which otherwise stay, are written out too.
    """
    if text.isascii() and text.isprintable():
        return text
    kept = "" if one_line else _LAYOUT
    return "".join(_written_out(one) if one not in kept and is_unseen(one) else one for one in text)


def _written_out(character: str) -> str:
    number = ord(character)
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"
