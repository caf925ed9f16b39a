"""How a class decided about orders: refusing a sound one is counted, and giving an unsound one."""

from __future__ import annotations

from collections import Counter
from types import SimpleNamespace
from typing import Any

from calclib.analysis.decisions import Decision, DecisionCounts, decision_counts, decisions_of
from calclib.items import Item, draw_item
from calclib.models.bank import bank
from calclib.pages.decision_counts import decision_lines

SPLIT = "The dose would need a tablet split that must not be split"


def _drawn(reason: str) -> Item:
    """An item of the bank whose key is this reason."""
    model = bank()["decide-split-tablet"]
    items = (draw_item(model, f"counted {number}") for number in range(40))
    return next(item for item in items if item.part("reason").answer == reason)


def _decided(item: Item, act: str, reason: str) -> list[Decision]:
    """What a student decided who typed this act and this reason."""
    paper: Any = SimpleNamespace(items=(SimpleNamespace(slot=1, record=item.to_record()),))
    typed = {"act": act, "reason": reason}
    marks: Any = [SimpleNamespace(slot=1, part=part, typed=text) for part, text in typed.items()]
    return list(decisions_of(paper, marks))


def test_a_sound_order_that_was_refused_is_counted_by_the_reason_that_was_named() -> None:
    """Whatever else than giving it a student does with a sound order, it is refused."""
    sound = _drawn("There is no reason to question the order")
    assert _decided(sound, "Hold it and call the pharmacy", SPLIT) == [Decision(True, False, SPLIT)]
    assert _decided(sound, "Discard it and prepare another", "") == [Decision(True, False, "")]
    assert [one.gave for one in _decided(sound, "Give it as ordered", "")] == [True]
    assert _decided(sound, "", SPLIT) == []


def test_an_unsound_order_that_was_given_is_counted_by_the_reason_to_hold_it() -> None:
    """The reason is that of the key, whatever the student named."""
    unsound = _drawn(SPLIT)
    named = "There is no reason to question the order"
    assert _decided(unsound, "Give it as ordered", named) == [Decision(False, True, SPLIT)]
    assert _decided(unsound, "Hold it and call the prescriber", SPLIT) == [Decision(False, False, SPLIT)]


def test_the_report_says_how_many_of_how_many_and_why() -> None:
    """A class of which nobody gave an unsound order is told so, and no line stands where no such order was drawn."""
    decided = [Decision(True, False, "Too soon"), Decision(True, False, "Too soon"), Decision(True, False, "")]
    decided += [Decision(True, True, ""), Decision(False, False, "Expired"), Decision(False, True, "Expired")]
    counts = decision_counts(decided)
    assert counts == DecisionCounts(4, Counter({"Too soon": 2, "": 1}), 2, Counter({"Expired": 1}))
    assert list(decision_lines(counts)) == [
        "Sound orders that were refused: 3 of 4, for these reasons: Too soon (2).",
        "Unsound orders that were given: 1 of 2, against these reasons: Expired (1).",
    ]
    assert list(decision_lines(DecisionCounts(5))) == ["Sound orders that were refused: 0 of 5."]
    assert list(decision_lines(DecisionCounts())) == []
