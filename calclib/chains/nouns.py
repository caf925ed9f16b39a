"""The words of a value as a noun phrase in a sentence: its article, and whether it is singular or plural."""

from __future__ import annotations

import re
from collections.abc import Iterable

# What ends the head of a phrase: the head of “doses left in the bottle” is “doses”.
_AFTER_HEAD = re.compile(
    r" (?:of|in|for|on|at|to|by|from|that|than|after|before|with|without|until|since|between|above|below|per|a|an|"
    r"past|left|allowed|given|needed|used|taken|ordered|drawn|added|counted|compared|times|raised|met|remaining|"
    r"already|minus|shown|infused|missing)\b"
)
_OWN_ARTICLE = re.compile(r"[0-9]|(?:one|half|each|every|another|both) ")
_PLURAL_WITHOUT_S = frozenset({"mEq", "milliequivalents"})


def the(phrase: str) -> str:
    """Return a phrase with its article: “the drop factor”, but “140 minus the age” and “one dose” without one.

    Args:
        phrase: The words of a given, a step or a constant.
    """
    return phrase if _OWN_ARTICLE.match(phrase) else f"the {phrase}"


def is_plural(phrase: str) -> bool:
    """Return whether a phrase takes a plural verb: “the doses left in the bottle”, not “the dose in mg”.

    Args:
        phrase: The words of a given, a step or a constant.
    """
    head = _AFTER_HEAD.split(phrase, maxsplit=1)[0].rstrip(",").rpartition(" ")[2]
    return head in _PLURAL_WITHOUT_S or (head.endswith("s") and not head.endswith(("ss", "us", "is")))


def was(phrase: str) -> str:
    """Return “was” or “were”, as the phrase needs it.

    Args:
        phrase: The words of a given, a step or a constant.
    """
    return "were" if is_plural(phrase) else "was"


def together(phrases: Iterable[str]) -> str:
    """Return phrases with their articles, joined: “the body weight and the drop factor”.

    Args:
        phrases: The words of each.
    """
    return " and ".join(the(phrase) for phrase in phrases)
