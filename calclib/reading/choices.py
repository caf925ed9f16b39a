"""Reads a typed choice: its id, its label, its letter, or the first words of its label. Never a guess between two."""

from __future__ import annotations

import re
from collections.abc import Mapping

from calclib.reading.plain_text.characters import plain_text
from calclib.reading.records import Reading, Unreadable
from calclib.reading.vocabulary import NEGATIONS, SMALL
from calclib.wording.facts import fact

_LETTER = re.compile(r"(?:(?:answer|option|choice|letter)\s*[:=]?\s*)?\(?\s*([a-z])\s*[).:]?", re.IGNORECASE)
_LETTER_AND_LABEL = re.compile(r"\(?\s*([a-z])\s*[).:]\s+(.+)", re.IGNORECASE | re.DOTALL)
_LEAD = re.compile(r"(?:(?:the )?answer(?: is)?|option|choice)\s*[:=]?\s+", re.IGNORECASE)
# Signs that change a number are words of their own: "< 5 mL", "-5", ".5" are not "5".
_WORD = re.compile(r"[^\W_]+(?:[.,'][^\W_]+)*|[<>≤≥±%/]|(?<![^\W_])[-.](?=[0-9])")


_CONTRACTED = {"don't": ("do", "not"), "dont": ("do", "not"), "isn't": ("is", "not"), "can't": ("can", "not")}


def _words(text: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(text.casefold()))


def read_choice(text: str, choices: Mapping[str, str]) -> Reading:
    """The one choice that the text names; raises Unreadable if none or more than one could be meant."""
    plain = plain_text(text)[0].strip().strip("\"'").strip()
    labels = {key: plain_text(label)[0].strip() for key, label in choices.items()}
    found = _matches(plain, labels)
    if not found and (lead := _LEAD.match(plain)):
        found = _matches(plain[lead.end() :], labels)
    if len(found) == 1:
        key = found.pop()
        return Reading(text, None, None, (), None, key, (), choices[key])
    if found:
        meant = tuple(fact("unread.quoted", text=choices[key]) for key in choices if key in found)
        raise Unreadable(fact("unread.several_choices", choices=meant), 0)
    raise Unreadable(fact("unread.none_of_the_choices"), 0)


def _matches(typed: str, choices: Mapping[str, str]) -> set[str]:
    words = _words(typed)
    exact = {key for key, label in choices.items() if typed in (key, label)}
    exact = exact or {key for key, label in choices.items() if words and words in (_words(key), _words(label))}
    by_letter = _by_letter(typed, choices)
    if exact:
        return exact | by_letter
    if by_letter:
        return by_letter
    if found := _LETTER_AND_LABEL.fullmatch(typed):
        labelled = _matches(found.group(2), choices)
        lettered = _by_letter(found.group(1), choices)
        return (labelled & lettered) or (labelled | lettered)
    if begun := {key for key, label in choices.items() if words and _words(label)[: len(words)] == words}:
        return begun
    return {key for key, label in choices.items() if _is_part(_telling(words), _clauses(label))}


def _telling(words: tuple[str, ...]) -> tuple[str, ...]:
    """The words without those that tell nothing."""
    long = [part for word in words for part in _CONTRACTED.get(word, (word,))]
    # "A hold" names a letter, and then another choice.
    return tuple(word for index, word in enumerate(long) if word not in SMALL or (index == 0 and word == "a"))


def _clauses(label: str) -> tuple[str, ...]:
    """The telling words of a label, with ":" between its clauses."""
    told = (_telling(_words(clause)) for clause in re.split(r"[:;,]", label))
    return tuple(word for clause in told for word in (*clause, ":"))


def _is_part(typed: tuple[str, ...], label: tuple[str, ...]) -> bool:
    """Whether the typed words stand in the label in this order, and nothing left out turns them into the opposite."""
    if not typed or any(word.replace(".", "").isdigit() for word in typed):
        return False
    place = 0
    for word in typed:
        if word not in label[place:]:
            return False
        following = label.index(word, place)
        left_out = label[place:following]
        if ":" in left_out:
            left_out = left_out[len(left_out) - left_out[::-1].index(":") :]
        if NEGATIONS.intersection(left_out):
            return False
        place = following + 1
    return True


def _by_letter(typed: str, choices: Mapping[str, str]) -> set[str]:
    """Choices that a single letter could mean: that in its place, and those that begin with it."""
    found = _LETTER.fullmatch(typed)
    if found is None:
        return set()
    letter = found.group(1).lower()
    if any(len(key) == 1 for key in choices):
        return {key for key in choices if key.lower() == letter}
    place = ord(letter) - ord("a")
    keys = list(choices)
    begun = {key for key, label in choices.items() if letter in (key[:1].lower(), label[:1].lower())}
    return begun | set(keys[place : place + 1])
