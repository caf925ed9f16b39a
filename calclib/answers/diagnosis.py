"""Which mistakes lead to a wrong answer, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from calclib.answers.verdict import Cause
from calclib.items.item import FaultResult, ItemPart
from calclib.items.keying import as_written
from calclib.quantity.writing import write_number

MOST_CAUSES = 3


def causes_of(part: ItemPart, value: Fraction, decimals: int | None) -> tuple[Cause, ...]:
    """Return the mistakes that lead to a wrong number, the likeliest first.

    A single mistake is certain if no other leads to the number and no slip of the finger does; two mistakes together
    are only ever a question.

    Args:
        part: The part that asks.
        value: The wrong number in the unit asked.
        decimals: Digits typed after the point; None for fractions and arithmetic.
    """
    found = [f for f in part.faults if f.written == value]
    if not found:
        found = [f for f in part.faults if f.value is not None and finer(f, value, decimals)]
    slip = slip_of_finger(part, value)
    if found:
        certain = len(found) == 1 and slip is None
        causes = tuple(_cause(f, certain) for f in found[:MOST_CAUSES])
        return (*causes, slip) if slip else causes
    if slip:
        return (slip,)
    return tuple(_two_mistakes(part, value))


def finer(fault: FaultResult, value: Fraction, decimals: int | None) -> bool:
    """Return whether a number is what a fault leads to, written with at least three digits or in full."""
    assert fault.value is not None
    if value == fault.value:
        return True
    if decimals is None or abs(value - fault.value) * 200 > abs(value):
        return False
    place = Fraction(1, 10**decimals)
    scaled = fault.value / place
    return value in ((scaled + Fraction(1, 2)).__floor__() * place, scaled.__floor__() * place)


def _cause(fault: FaultResult, certain: bool) -> Cause:
    return Cause(fault.fault, fault.step, fault.given, certain, fault.says)


def slip_of_finger(part: ItemPart, value: Fraction) -> Cause | None:
    """Return the slip that turns the key into a number: one digit typed wrongly, two exchanged, one lost or doubled."""
    assert part.key is not None
    key, typed = _digits(part.key), _digits(value)
    if not key or not typed or key.replace(".", "").strip("0") == typed.replace(".", "").strip("0"):
        return None
    if len(key) == len(typed):
        wrong = [i for i in range(len(key)) if key[i] != typed[i]]
        if len(key) > 1 and len(wrong) == 1 and "." not in (key[wrong[0]], typed[wrong[0]]):
            return _slip("one digit differs from the right answer")
        exchanged = (
            len(wrong) == 2
            and wrong[1] == wrong[0] + 1
            and key[wrong[0]] + key[wrong[1]] == typed[wrong[1]] + typed[wrong[0]]
        )
        if exchanged and "." not in key[wrong[0] : wrong[1] + 1]:
            return _slip("two digits of the right answer are exchanged")
    elif abs(len(key) - len(typed)) == 1 and "." not in key + typed:
        longer, shorter = (key, typed) if len(key) > len(typed) else (typed, key)
        if len(shorter) > 1 and any(
            longer[:i] + longer[i + 1 :] == shorter
            and (longer[i] != "0" or longer is key)
            and i > 0
            and longer[i] == longer[i - 1]
            for i in range(len(longer))
        ):
            return _slip("a digit of the right answer is lost or doubled")
    return None


def _slip(says: str) -> Cause:
    return Cause("slip of the finger", "", "", False, f"{says}: did your finger slip?")


def _digits(value: Fraction) -> str:
    rest = value.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    return write_number(value).replace(",", "") if rest == 1 and value.denominator <= 10**6 else ""


def _two_mistakes(part: ItemPart, value: Fraction) -> Iterator[Cause]:
    """Pairs of mistakes in different places that multiply to the number, at most one, and only as a question."""
    if not part.only_products or part.rule is None or not isinstance(part.exact, Fraction) or not part.exact:
        return
    hard = [f for f in part.faults if f.hard and f.value]
    for first, second in combinations(hard, 2):
        if first.given == second.given or first.value is None or second.value is None:
            continue
        both = first.value * second.value / part.exact
        if abs(both - value) * 20 <= value and as_written(both, part.rule) == value:
            says = f"two things at once: {first.says}, and {second.says}"
            yield Cause("two mistakes", first.step, first.given, False, says)
            return
