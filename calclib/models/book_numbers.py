"""How books write numbers: “1 1/2”, “½”, “.5”, “gr viiss”, “two”, “three-fourths”."""

from __future__ import annotations

import re
from fractions import Fraction

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
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_SIGNS = {"−": "-", "–": "-", "²": "2", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "\N{NO-BREAK SPACE}": " "}

SHARES = {"half": "1/2", "one half": "1/2", "one third": "1/3", "two thirds": "2/3", "one fourth": "1/4"}
SHARES |= {"one quarter": "1/4", "quarter": "1/4", "three fourths": "3/4", "three quarters": "3/4", "full": "1"}
SHARES |= {"1 half": "1/2", "1 third": "1/3", "2 thirds": "2/3", "1 fourth": "1/4", "1 quarter": "1/4"}
SHARES |= {"3 fourths": "3/4", "3 quarters": "3/4"}


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
    text = re.sub(r"(?i)^(" + "|".join(NUMBERS) + r")(?=[ -])", lambda m: str(NUMBERS.index(m[1].lower()) + 1), text)
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
