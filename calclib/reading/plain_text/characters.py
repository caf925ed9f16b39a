"""Maps what keyboards, phones and copied text produce to plain characters, keeping the places.

Only signs with one meaning are mapped. Everything else stays and is refused by the tokenizer, with its place.
Marks of writing direction are dropped: a text is read in the order in which it was typed. Overrides of the direction
are kept (and so refused), since they show a text in another order than it was typed.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from calclib.wording.facts import Fact, fact

_SIGNS = {
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212\ufe63\uff0d", "-"),
    **dict.fromkeys("\u00d7\u2715\u2716\u2a2f", "*"),
    **dict.fromkeys("\u2044\u2215\uff0f", "/"),
    **dict.fromkeys("\u00b7\u22c5\u2219\u2022\u2027", "\u00b7"),
    **dict.fromkeys("\u2248\u2245\u223c\u02dc\uff5e", "~"),
    **dict.fromkeys("\u2192\u21d2", "="),
    **dict.fromkeys("\u201c\u201d\u201e\u201f\u2033", '"'),
    **dict.fromkeys("\u2018\u2019\u201b\u2032", "'"),
    **dict.fromkeys("\u00b5\u03bc", "\u00b5"),
    "\u00ba": "\u00b0",
    "\u221a": " sqrt ",
    **dict.fromkeys("\u00f7\u00b0\u2264\u2265\u00b1", ""),
}
_SIGNS.update({sign: sign for sign, plain in _SIGNS.items() if plain == ""})
_DROPPED = frozenset("\u200b\u200c\u200d\u200e\u200f\u061c\u202a\u202b\u202c\u2066\u2067\u2068\u2069\u2060\ufeff\u00ad")
_SUPERSCRIPTS = dict(
    zip("\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079\u207b", "0123456789-", strict=True)
)
_UNIT_SIGN = re.compile(r"[A-Za-z\u00b5°%]+[23]?")


@lru_cache(maxsize=4096)
def _plain_character(sign: str) -> str:
    if sign < "\x80" or sign in _SIGNS:
        return _SIGNS.get(sign, sign)
    if sign in _DROPPED:
        return ""
    category = unicodedata.category(sign)
    if category == "Zs":
        return " "
    if sign in "\u0085\u2028\u2029":
        return "\n"
    if unicodedata.decomposition(sign).startswith(("<super>", "<sub>")):
        return sign
    wide = unicodedata.normalize("NFKC", sign).replace("\u03bc", "\u00b5")
    if category == "No":
        before, slash, after = wide.partition("\u2044")
        # The blanks keep the fraction apart from digits beside it: 1½0 isn't 1 1/20.
        return f" {before}/{after} " if slash and before and after else sign
    if category in ("Lu", "Ll", "Lo", "Nd", "Po", "Ps", "Pe", "Sm") and len(wide) == 1 and wide < "\x80":
        return wide
    if category == "Ll" and wide.isascii() and wide.isalpha():
        return wide
    if category == "Po" and wide == "...":
        return wide
    if category == "So" and _UNIT_SIGN.fullmatch(wide):
        return wide
    return sign


def plain_text(text: str) -> tuple[str, list[int] | None]:
    """The text in plain characters, and for each of them its place in `text` (None: the places are the same)."""
    if text.isascii():
        return text, None
    out: list[str] = []
    places: list[int] = []
    raised = False
    for place, sign in enumerate(text):
        digit = _SUPERSCRIPTS.get(sign)
        if digit is None:
            plain, raised = _plain_character(sign), False
        else:
            plain, raised = (digit if raised else "^" + digit), True
        out.append(plain)
        places.extend([place] * len(plain))
    places.append(len(text))
    return "".join(out), places


def why_refused(sign: str) -> Fact:
    """What is wrong with a character that the grammar doesn't know."""
    if sign == "#":
        return fact("unread.number_sign")
    category = unicodedata.category(sign)
    if category == "Nd":
        return fact("unread.other_digits")
    if category in ("Cc", "Cf", "Cs", "Co", "Cn"):
        return fact("unread.invisible_character")
    if category.startswith("M"):
        return fact("unread.accent")
    return fact("unread.unknown_sign", sign=sign)
