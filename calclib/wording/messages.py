"""A message: what is told of one answer, in words, and short."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calclib.wording.facts import Fact, fact, fact_from_record
from calclib.wording.sentences import sentence

MOST_WORDS = 45
WILL_LOOK = fact("verdict.person_will_look")
# What goes first where a message would be too long; what is not named here must be said.
_LEFT_OUT: Mapping[str, int] = {
    kind: rank
    for rank, kinds in enumerate(
        (
            ("cause.another", "cause.or_typing", "cause.in_your_setup_also"),
            ("verdict.far_off", "verdict.as_typed"),
            ("verdict.notation_why",),
            ("verdict.notation_too",),
        ),
        1,
    )
    for kind in kinds
}
_SHORTER: Mapping[str, str] = {"verdict.far_off": "verdict.not_right"}
"""What then stands in the place of a sentence, with the same fields."""


def message(told: Sequence[Fact]) -> str:
    """Return what is told, the least needed left out until at most so many words are left.

    Args:
        told: The facts in their order.
    """
    kept = [(one, sentence(one)) for one in told]
    while len(kept) > 1 and sum(len(words.split()) for _, words in kept) > MOST_WORDS:
        least = max(_LEFT_OUT.get(one.kind, 0) for one, _ in kept)
        if not least:
            break
        last = max(place for place, (one, _) in enumerate(kept) if _LEFT_OUT.get(one.kind) == least)
        gone = kept[last][0]
        shorter = _SHORTER.get(gone.kind)
        rest = Fact(shorter, tuple(one for one in gone.fields if one[0] != "consequence")) if shorter else None
        kept[last : last + 1] = [(rest, sentence(rest))] if rest is not None else []
    return " ".join(words for _, words in kept if words)


def recorded_message(detail: Mapping[str, Any], *, looked_at: bool = False) -> str:
    """Return the message on an answer from its record.

    Args:
        detail: The record of the verdict.
        looked_at: Whether a person has looked, so that nobody is promised that one will.
    """
    told = [fact_from_record(one) for one in detail.get("told", ())]
    return message([one for one in told if not (looked_at and one == WILL_LOOK)])


def is_right_alone(detail: Mapping[str, Any]) -> bool:
    """Tell whether nothing is told but that an answer is right.

    Args:
        detail: The record of the verdict.
    """
    return detail.get("told") == [fact("verdict.right").to_record()]


def recorded_reason(detail: Mapping[str, Any]) -> str:
    """Return why an answer waits for a person, from its record: why its text could not be read, or what was told.

    Args:
        detail: The record of the verdict.
    """
    why = (detail.get("reading") or {}).get("reason")
    return sentence(fact_from_record(why)) if why else recorded_message(detail)


def cause_in_words(cause: Mapping[str, Any]) -> str:
    """Return a cause from its record, as a clause.

    Args:
        cause: The record of a cause.
    """
    return sentence(fact_from_record(cause["what"]))
