"""Unsafe notation and slips of print in running text: stems, questions, worked solutions."""

from __future__ import annotations

import re
from collections.abc import Iterator

from calclib.reading.notation import rule_of_word
from calclib.wording.facts import Fact, fact, of_kind

_WORD = re.compile(r"[A-Za-zµμ]+")
_ENGLISH = {"as", "ad", "os", "au"}
"""Words that a rule knows as abbreviations and that a sentence may hold; only their capitals are unsafe."""

_UNITS = r"(?:mcg|mg|g|kg|mL|L|mEq|mmol|units?|gtt|h|min|lb|oz|cm)"
_PATTERNS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("trailing_zero", re.compile(r"(?<![\d.])\d[\d,]*\.0+(?![\d])")),
    ("extra_zero", re.compile(r"(?<![\d.])\d[\d,]*\.\d*[1-9]0+(?!\d)")),
    ("no_leading_zero", re.compile(r"(?<![\d.])\.\d")),
    ("run_together", re.compile(rf"(?<![\w.,])[\d.,]*\d{_UNITS}\b")),
    ("unit_period", re.compile(rf"\d {_UNITS}\. (?=[a-z])")),
    ("fraction_tablet", re.compile(r"\d/\d (?:tablet|tab|capsule)")),
    ("space_grouping", re.compile(r"(?<![\d.,])\d{1,3} \d{3}(?!\d)")),
    ("sign_for_word", re.compile(r"[@&]|(?<=[a-z]) \+ (?=[a-z])")),
    ("microgram_sign", re.compile(r"[µμ]")),
)
_LONG_NUMBER = re.compile(r"(?<![\d.,/:])\d{4,}(?![\d/])")

_AN = re.compile(r"\ba (?:8|11(?!\d)|18(?!\d)|11,|18,)|\ban (?:[2-7]|9|0|1(?![18](?!\d)|[18],))")
"""Eight, eleven and eighteen, alone or as the thousands or hundreds of a number, begin with a vowel; others do not."""

_SLIPS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("two_spaces", re.compile(r"[^\n ]  +")),
    ("brace", re.compile(r"[{}]")),
    ("space_before_mark", re.compile(r" [,;:.?](?!\d)")),
    ("doubled_mark", re.compile(r"\.\.(?!\.)|,,|;;|\?\?")),
    ("empty_parentheses", re.compile(r"\(\s*\)")),
    ("word_twice", re.compile(r"\b([A-Za-z]{2,}) \1\b")),
    (
        "wrong_plural",
        re.compile(r"(?<![\d.,/])1 (?:tablets|capsules|units|doses|vials|drops|hours)\b"),
    ),
    ("article", _AN),
)
SLIPS = (*(kind for kind, _ in _SLIPS), "no_capital", "no_end")
"""Every kind of slip; its sentence stands in `wording`, in stem_slip.toml."""


def unsafe_notation(text: str, clock_times: frozenset[str] = frozenset()) -> Iterator[tuple[str, str]]:
    """Yield each unsafe way of writing in a text: the rule's id in notation.toml, and the words.

    Args:
        text: A stem, a question or a line of a solution.
        clock_times: Four digits that are times of day and take no comma.
    """
    for word in _WORD.findall(text):
        rule = rule_of_word(word)
        if rule and (word.lower() not in _ENGLISH or word.isupper()):
            yield rule, word
    for rule, pattern in _PATTERNS:
        for found in pattern.finditer(text):
            yield rule, found[0].strip()
    for found in _LONG_NUMBER.finditer(text):
        if found[0] not in clock_times:
            yield "no_comma", found[0]


def slips(text: str) -> Iterator[Fact]:
    """Yield what makes a printed text hard to read, with the words where it stands."""
    for kind, pattern in _SLIPS:
        if found := pattern.search(text):
            around = text[max(0, found.start() - 12) : found.end() + 12].replace("\n", " ")
            yield of_kind("stem_slip", kind, around=around)
    if text and not text[0].isupper() and not text[0].isdigit():
        yield fact("stem_slip.no_capital", around=text[:24])
    if text and text[-1] not in ".?!":
        yield fact("stem_slip.no_end", around=text[-24:])
