"""Draws looked at for their numbers and their orders alone: neither mistakes, solution nor texts are made.

A full proof looks at a few hundred draws whole, and at the others so: what an order may come to shows in the rare draw.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass

from calclib.errors.messages import BadInput, told_of
from calclib.items.computed import Against, Computed, Refused, computed
from calclib.items.drawing import stated_draws
from calclib.items.item import ItemPart
from calclib.items.keys.keying import Unusable, keyed_parts, shared_answer
from calclib.items.stated_rounding import is_high_alert
from calclib.models.model import ItemModel
from calclib.models.stated import Stated
from calclib.proving.numbers import counted_names, numbers_mark
from calclib.proving.sound_orders import OrderLook, glance_at_orders
from calclib.quantity.rounding import RoundingPolicy
from calclib.wording.facts import fact

Parts = tuple[ItemPart, ...]


@dataclass(frozen=True)
class Glance:
    """What a glance at one draw shows.

    Args:
        against: Why the draw is not used, None if it is.
        mark: A mark of its numbers, "" for a draw that is not used.
        looks: What its orders show.
    """

    against: Against | None
    mark: str = ""
    looks: tuple[OrderLook, ...] = ()


class Glances:
    """Glances at the draws of one model; what follows from the numbers alone is worked out once for each set of them.

    Args:
        model: The item model.
        policy: The rounding policy.
    """

    def __init__(self, model: ItemModel, policy: RoundingPolicy) -> None:
        self.model, self.policy = model, policy
        self.counted = counted_names(model)
        self._keyed: dict[Hashable, Parts | Against] = {}

    def of(self, seed: str) -> Iterator[Glance]:
        """Yield a glance at each draw of a seed, the last one at the draw that is used.

        Args:
            seed: The seed text.
        """
        for stated in stated_draws(self.model, seed, {}, {}):
            done = computed(self.model, self.policy, {}, stated, fixed=False)
            parts = done if isinstance(done, Against) else self._parts(done)
            if isinstance(done, Against) or isinstance(parts, Against):
                assert isinstance(parts, Against)
                yield Glance(parts)
                continue
            looks = tuple(glance_at_orders(done, parts))
            yield Glance(None, numbers_mark(_values(stated, self.counted)), looks)
            return

    def _parts(self, done: Computed) -> Parts | Against:
        numbers = tuple(one.text for name, one in done.stated.items() if name in self.counted)
        key = (id(done.ready), numbers, is_high_alert(done.model, done.stated))
        if key not in self._keyed:
            self._keyed[key] = self._parts_of(done)
        return self._keyed[key]

    def _parts_of(self, done: Computed) -> Parts | Against:
        try:
            keyed = keyed_parts(done.model, self.policy, done.ready, done.stated, done.done, done.variants)
        except BadInput as error:
            return Against(fact("draw.not_computed", error=told_of(error)), Refused.NOT_COMPUTED)
        if isinstance(keyed, Unusable):
            return Against(keyed.why, Refused.UNFAIR)
        shared = shared_answer(done.model, done.ready, done.stated, done.done, keyed[0])
        return tuple(keyed[0]) if shared is None else Against(shared, Refused.AMBIGUOUS)


def _values(stated: Mapping[str, Stated], counted: frozenset[str]) -> Iterator[str]:
    for name, value in stated.items():
        if name in counted:
            yield value.text if value.working is None else str(value.working)
