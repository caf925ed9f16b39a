"""A recorded item judged by every item model and rounding policy that counts for it: one, unless rulings keep more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.answers.carrying import carried_from, either
from calclib.answers.judging import Carried, SetUps, judge_item
from calclib.answers.marking_policy import MarkingPolicy
from calclib.answers.setups.parts import setups_of
from calclib.answers.verdict import VERDICTS, PartVerdict, SetupFound
from calclib.items.item import Item, ItemPart
from calclib.items.keys.corrected_item import Way, as_of
from calclib.items.part_names import with_own_names
from calclib.models.model import SETUP
from calclib.wording.facts import Fact


def judge_keyed(
    item: Item, answers: Mapping[str, str], marking: MarkingPolicy, ways: Sequence[Way]
) -> tuple[PartVerdict, ...]:
    """Return the verdict on each part of an item; see `judge_item`.

    Args:
        item: The item as recorded, with all answers that count.
        answers: Typed texts by part name.
        marking: What each verdict is worth.
        ways: By what a wrong earlier part is carried forward and set-ups are judged: the item's own model and policy
            first, then what counts beside them. Without any, nothing is carried forward.
    """
    if item.own_names:
        return _by_own_names(item, answers, marking, ways)
    carried: Carried | None = None
    setups: SetUps | None = None
    asks_setup = any(part.kind == SETUP for part in item.parts)
    for model, policy in ways if len(item.parts) > 1 or asks_setup else ():
        try:
            own = as_of(item, model)
            carried = either(carried, carried_from(own, model, policy))
            found: SetUps | None = setups_of(own, model, policy) if asks_setup else None
        except Exception as error:  # noqa: BLE001 - only the parts that need this way must wait for a person
            carried, found = _fails(error), _Fails(error)
        if asks_setup and found is not None:
            setups = found if setups is None else _Either(setups, found)
    return judge_item(item, answers, marking, carried=carried, setups=setups)


def _by_own_names(
    item: Item, answers: Mapping[str, str], marking: MarkingPolicy, ways: Sequence[Way]
) -> tuple[PartVerdict, ...]:
    """The verdicts on an item that stands in another's place: its model knows its parts by names of its own."""
    own = with_own_names(item)
    names = {part.name: mine.name for part, mine in zip(item.parts, own.parts, strict=True)}
    verdicts = judge_keyed(own, {names[name]: text for name, text in answers.items()}, marking, ways)
    places = {mine: name for name, mine in names.items()}
    return tuple(verdict._replace(part=places[verdict.part]) for verdict in verdicts)


def _fails(error: Exception) -> Carried:
    """Return what carries nothing forward, but says what went wrong to whichever part asks it."""

    def carried(part: str, own: Mapping[str, Fraction | str]) -> ItemPart | None:
        raise error

    return carried


@dataclass(frozen=True)
class _Fails:
    """Judges no set-up, but says what went wrong to whichever part asks it."""

    error: Exception

    def __call__(self, part: str, text: str) -> tuple[tuple[str, Fact], ...]:
        raise self.error

    def judged(self, part: str, text: str, own: Mapping[str, Fraction]) -> SetupFound:
        raise self.error


@dataclass(frozen=True)
class _Either:
    """Judges set-ups in two ways at once: right is what is so by either; what is wrong is said by the first."""

    one: SetUps
    other: SetUps

    def __call__(self, part: str, text: str) -> tuple[tuple[str, Fact], ...]:
        return self.one(part, text)

    def judged(self, part: str, text: str, own: Mapping[str, Fraction]) -> SetupFound:
        found = (self.one.judged(part, text, own), self.other.judged(part, text, own))
        return min(found, key=lambda one: list(VERDICTS).index(one.verdict))
