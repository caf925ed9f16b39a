"""What a ruling decides and of what it speaks, as facts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction

from calclib.quantity.writing import write_number
from calclib.records.rulings.ruling import Ruling
from calclib.records.sealed_slots import Slot
from calclib.wording.facts import Fact, fact


def ruling_fact(ruling: Ruling) -> Fact:
    """Return what a ruling decides, without its reason."""
    return _DECIDED[ruling.kind](ruling)


def ruled_on(ruling: Ruling, slots: Iterable[Slot] = ()) -> Fact:
    """Return of what a ruling speaks: a problem, a part of it, several problems, or the whole set.

    Args:
        ruling: The ruling.
        slots: The places of the set, which know what each part asks.
    """
    if ruling.kind == "recorded":
        return Fact("recorded.text", (("text", ruling.value["about"]),))
    if not ruling.problems:
        return fact("ruling.whole_set")
    numbers = tuple(map(str, ruling.problems))
    if len(numbers) > 1:
        return fact("ruling.problems", numbers=numbers)
    if ruling.part:
        here = [slot for slot in slots if slot.number == ruling.problems[0]]
        words = _asked(ruling, here[0]) if here else (ruling.part.replace("_", " "),)
        return fact("ruling.problem_part", number=numbers[0], part=words)
    return fact("ruling.problem", number=numbers[0])


def _asked(ruling: Ruling, slot: Slot) -> tuple[str, ...]:
    """What the part asks in the problems of which the ruling speaks: attempts may have had different ones."""
    others = [
        slot.of_attempt(pseudonym, attempt)
        for pseudonym, attempt in slot.instead
        if ruling.pseudonym in ("", pseudonym) and ruling.in_attempt(attempt)
    ]
    first = ruling.in_attempt(1) or not others
    return tuple(dict.fromkeys(one.words(ruling.part) for one in ([slot] if first else []) + others))


def _answer(ruling: Ruling) -> Fact:
    points = ruling.value["points"]
    return fact("ruling.answer_of_one" if Fraction(points) == 1 else "ruling.answer", points=_number(points))


def _within(ruling: Ruling) -> Fact:
    amount = _number(ruling.value["amount"])
    return fact("ruling.within_percent" if ruling.value.get("percent") else "ruling.within", amount=amount)


def _between(ruling: Ruling) -> Fact:
    return fact("ruling.between", low=_number(ruling.value["low"]), high=_number(ruling.value["high"]))


def _hand_in(ruling: Ruling) -> Fact:
    taken = ruling.value["outcome"] == "taken"
    return fact("ruling.hand_in_taken" if taken else "ruling.hand_in_left", sign=ruling.value["sign"])


def _time(ruling: Ruling) -> Fact:
    if ruling.value["time"]:
        time = dt.datetime.fromisoformat(ruling.value["time"]).astimezone(dt.UTC)
        return fact("ruling.time", when=fact("time.moment", at=time.isoformat()))
    return fact("ruling.in_time" if ruling.pseudonym else "ruling.all_in_time")


def _rounding(ruling: Ruling) -> Fact:
    beside = bool(ruling.value["printed"])
    return fact("ruling.rounding_beside" if beside else "ruling.rounding_instead", policy=ruling.value["policy"])


def _model(ruling: Ruling) -> Fact:
    return fact(
        "ruling.model_beside" if ruling.value["printed"] else "ruling.model_instead",
        numbers=tuple(map(str, ruling.problems)),
        version=ruling.value["version"],
        model=ruling.value["model"],
        before=ruling.value["before"],
    )


def _failing(ruling: Ruling) -> Fact:
    confirmed = ruling.value["outcome"] == "confirmed"
    return fact("ruling.failing_confirmed" if confirmed else "ruling.failing_dismissed")


def _credit(ruling: Ruling) -> Fact:
    attempts = tuple(ruling.value.get("attempts", "").split())
    if not attempts:
        return fact("ruling.credit")
    return fact("ruling.credit_attempt" if len(attempts) == 1 else "ruling.credit_attempts", attempts=attempts)


def _number(text: str) -> str:
    return write_number(Fraction(text), 4)


_DECIDED: Mapping[str, Callable[[Ruling], Fact]] = {
    "answer": _answer,
    "text": lambda ruling: fact("ruling.text", text=ruling.value["text"]),
    "within": _within,
    "between": _between,
    "credit": _credit,
    "failing": _failing,
    "void": lambda _: fact("ruling.void"),
    "hand_in": _hand_in,
    "time": _time,
    "leave": lambda _: fact("ruling.leave"),
    "take": lambda _: fact("ruling.take"),
    "marking": lambda ruling: fact("ruling.marking", policy=ruling.value["policy"]),
    "rounding": _rounding,
    "model": _model,
    # What a set that was taken back had of an earlier version.
    "recorded": lambda ruling: Fact("recorded.text", (("text", ruling.value["says"]),)),
    "withdraw": lambda ruling: fact("ruling.withdraw", number=ruling.value["number"]),
}
