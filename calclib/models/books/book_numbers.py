"""How books write numbers: “1 1/2”, “½”, “.5”, “gr viiss”, “two”, “three-fourths”."""

from __future__ import annotations

import re
from fractions import Fraction

from calclib.reading.vocabulary import FRACTIONS, NUMBERS

_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_COUNTS = {word: number for word, number in NUMBERS.items() if 1 <= number <= 12}
_COUNT = "|".join(_COUNTS)
_SIGNS = {"−": "-", "–": "-", "²": "2", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "\N{NO-BREAK SPACE}": " "}

_SHARE_ALONE = ("half", "quarter")


def share_of(text: str) -> str:
    """Return the fraction of “half”, “three-fourths”, “1 quarter” or “full”; "" for anything else."""
    *count, word = text.lower().replace("-", " ").split() or [""]
    if word == "full" and not count:
        return "1"
    below = FRACTIONS.get(word, 0)
    above = 1 if word in _SHARE_ALONE and not count else _count(count[0]) if len(count) == 1 else 0
    return f"{above}/{below}" if 0 < above < below else ""


def _count(word: str) -> int:
    return int(word) if word in ("1", "2", "3") else _COUNTS.get(word, 0)


def counts_in_digits(text: str) -> str:
    """Return a text with the whole words from one to twelve as digits."""
    return re.sub(rf"\b({_COUNT})\b", lambda match: str(_COUNTS[match[1]]), text)


def numerals(text: str) -> str:
    """Fraction signs, mixed numbers, a decimal point without a 0, and numbers in words, as one numeral."""
    for sign, plain in _SIGNS.items():
        text = text.replace(sign, plain)
    for sign, fraction in _FRACTIONS.items():
        text = re.sub(rf"\s*{sign}\s*", f" {fraction} ", text)
    text = re.sub(r"(?<![\d.,])\.(?=\d)", "0.", text.strip())
    text = re.sub(r"^\d{1,3}(?: 000)+(?!\d)", lambda match: match[0].replace(" ", ""), text)
    text = re.sub(r"(?i)^half an? |^(?:a )?half ", "1/2 ", text)
    text = re.sub(r"(?i)^an? (?=[a-z])", "1 ", text)
    text = re.sub(rf"(?i)^({_COUNT})(?=[ -])", lambda match: str(_COUNTS[match[1].lower()]), text)
    text = re.sub(r"(?<![\d.,/])(\d{1,4})(?: |-| and )(\d{1,2})/(\d{1,2})(?![\d.,/])", _mixed, text)
    text = re.sub(r" ?\([^()]*\)$", "", text.rstrip("."))
    text = re.sub(r" ?/ ?", "/", text)
    text = re.sub(r"(?i)\bgr\.? ([ivx]{1,5}|ss|[ivx]{1,4}ss)(?=$|/| )", _roman, text)
    return re.sub(r"(?<=\d)-(?=[A-Za-z])", " ", " ".join(text.split()))


def _roman(match: re.Match[str]) -> str:
    """Grains in Roman numerals: gr xv, gr viiss."""
    letters, half = match[1].lower().removesuffix("ss"), match[1].lower().endswith("ss")
    values = [{"i": 1, "v": 5, "x": 10}[letter] for letter in letters]
    whole = sum(-v if v < max(values[i:]) else v for i, v in enumerate(values))
    return f"{whole + Fraction(int(half), 2)} grain"


def _mixed(match: re.Match[str]) -> str:
    whole, top, below = (int(piece) for piece in match.groups())
    return match[0] if below == 0 else str(whole + Fraction(top, below))
