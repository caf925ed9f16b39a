"""Set-ups for `judge_item`: of a part that asks for one, and of arithmetic that was typed as an answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from calclib.answers.setups.judging import UNITLESS, judge_setup
from calclib.answers.verdict import WRONG, Cause, SetupFound
from calclib.errors.messages import BadInput
from calclib.items.item import Item
from calclib.models.model import ItemModel
from calclib.quantity.rounding import RoundingPolicy
from calclib.reading.answers import read_answer
from calclib.reading.records import Reading
from calclib.wording.facts import Fact, fact

MOST_FINDINGS = 3
RIGHT = {"explained": "right"}


@dataclass(frozen=True)
class Setups:
    """Judges the set-ups of one item.

    Args:
        item: The item.
        model: Its model, of the same text as when it was drawn.
        policy: The rounding policy under which it was keyed.
    """

    item: Item
    model: ItemModel
    policy: RoundingPolicy

    def __call__(self, part: str, text: str) -> tuple[tuple[str, Fact], ...]:
        """Return what is wrong with a set-up that was typed as an answer, with what it concerns."""
        if (
            self.item.part(part).unit == "%"
            and isinstance(reading := read_answer(text, "quantity"), Reading)
            and reading.unit
        ):
            return ()  # 0.4 g/100 mL is a strength and no set-up
        try:
            found = judge_setup(self.item, self.model, self.policy, part, text)
        except BadInput:
            return ()
        return tuple((finding.what, finding.fact) for finding in found.findings[:MOST_FINDINGS])

    def judged(self, part: str, text: str, own: Mapping[str, Fraction]) -> SetupFound:
        """Return what a set-up is, where the set-up is what is asked.

        Args:
            part: The part's name.
            text: What was typed.
            own: The student's own wrong answers to earlier parts, in the units asked.
        """
        try:
            found = judge_setup(self.item, self.model, self.policy, part, text)
            carried = judge_setup(self.item, self.model, self.policy, part, text, own) if own else None
        except BadInput as error:
            return SetupFound("unread", told=(error.told,))
        if carried is not None and found.verdict not in ("explained", "blank") and carried.verdict == "explained":
            return SetupFound("carried_forward", told=(fact("setup.right_from_own"),))
        verdict = RIGHT.get(found.verdict, found.verdict)
        shown = found.findings[:MOST_FINDINGS]
        causes = tuple(Cause(f"set-up: {f.kind}", "", f.what, len(shown) == 1, f.fact) for f in shown)
        if verdict == "right" and UNITLESS in found.told:
            verdict = "unit_missing"
        if verdict == "wrong" and causes:
            verdict = "wrong_with_cause"
        value = found.value if verdict in WRONG else None
        return SetupFound(verdict, causes, value, found.told)


def setups_of(item: Item, model: ItemModel, policy: RoundingPolicy) -> Setups:
    """Return what judges the set-ups of an item for `judge_item`."""
    return Setups(item, model, policy)


def setups_of_bank(item: Item) -> Setups | None:
    """Return the same for an item of the bank; None where its model or policy is another by now."""
    from calclib.models.bank import known_model
    from calclib.quantity.policies import rounding_policies

    model, policy = known_model(item.model_id), rounding_policies().get(item.policy_name)
    if model is None or policy is None or model.hash != item.model_hash:
        return None
    return Setups(item, model, policy)
