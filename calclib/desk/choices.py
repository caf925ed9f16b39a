"""What a form offers to be ruled, and which fields each choice has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from calclib.judging_papers.ruling_effects import may_fail_the_set
from calclib.pages.cases import Case
from calclib.quantity.writing import write_number
from calclib.records.part_marks import PartMark
from calclib.records.sealed_slots import Slot
from calclib.wording import said

_LONGEST_TEXT = 200


@dataclass(frozen=True)
class Selected:
    """One entry of a list: what the form brings back, and what a person reads."""

    value: str
    told: str


@dataclass(frozen=True)
class Field:
    """What is filled in for a choice.

    Attributes:
        name: Its name in the form.
        label: What it asks.
        value: What stands there at first.
        kind: The kind of the input.
        listed: The entries, where one is picked from a list.
    """

    name: str
    label: str
    value: str = ""
    kind: str = "text"
    listed: tuple[Selected, ...] = ()


@dataclass(frozen=True)
class Choice:
    """One thing that can be ruled.

    Attributes:
        do: What the form brings back for it; see `calclib.desk.forms`.
        label: What a person reads.
        fields: What is filled in for it.
        offered: Whether it can be done here.
    """

    do: str
    label: str
    fields: tuple[Field, ...] = ()
    offered: bool = True


def answer_choices(mark: PartMark) -> Iterator[Choice]:
    """Give what can be ruled on one answer of a student."""
    failing = may_fail_the_set(mark)
    yield Choice("failing-confirmed", said("desk.failing_confirmed"), offered=failing)
    yield Choice("failing-dismissed", said("desk.failing_dismissed"), offered=failing)
    most = write_number(mark.points, 2)
    points = Field("points", said("desk.points_label", most=most), write_number(mark.earned, 4))
    yield Choice("answer", said("desk.give_points"), (points,))
    typed = mark.typed if mark.typed.isprintable() and len(mark.typed) <= _LONGEST_TEXT else ""
    yield Choice("text", said("desk.accept_from_student"), (Field("text", said("desk.text_label"), typed),))


def notebook_choices(case: Case) -> Iterator[Choice]:
    """Give what can be ruled on a notebook that was set aside."""
    yield Choice("take", said("desk.take"), offered=case.fits)
    yield Choice("leave", said("desk.leave"))


def hand_in_choices(case: Case) -> Iterator[Choice]:
    """Give what can be ruled on a hand-in in a student's name."""
    yield Choice("hand_in-left", said("desk.hand_in_left"))
    yield Choice("hand_in-taken", said("desk.hand_in_taken"), offered=case.fits)


def time_choices() -> Iterator[Choice]:
    """Give what can be ruled on a hand-in of which the time isn't known."""
    yield Choice("time-in_time", said("desk.in_time"))
    yield Choice(
        "time-known", said("desk.time_known"), (Field("time", said("desk.time_label"), kind="datetime-local"),)
    )


def problem_choices(slot: Slot) -> Iterator[Choice]:
    """Give what can be ruled on a problem for everyone."""
    number = "quantity" in slot.kinds.values()
    yield Choice("credit", said("desk.credit"))
    yield Choice("void", said("desk.void"))
    yield Choice("text", said("desk.accept_from_all"), (Field("text", said("desk.text_label")),))
    yield Choice("within", said("desk.within"), (Field("amount", said("desk.amount_label")),), number)
    between = (Field("low", said("desk.low_label")), Field("high", said("desk.high_label")))
    yield Choice("between", said("desk.between"), between, number)


def whole_choices(marking: Sequence[str], rounding: Sequence[str], times: bool) -> Iterator[Choice]:
    """Give what can be ruled on a whole set.

    Args:
        marking: The names of the marking policies.
        rounding: The names of the rounding policies.
        times: Whether the time of any hand-in isn't known.
    """
    yield Choice("time-in_time", said("desk.all_in_time"), offered=times)
    for do, label, names in (
        ("marking", said("desk.marking"), marking),
        ("rounding", said("desk.rounding"), rounding),
    ):
        listed = tuple(Selected(name, name) for name in names)
        yield Choice(do, label, (Field(do, said("desk.policy_label"), listed=listed),))
