"""The solution of an item, rebuilt from its record: chain, values, worked lines and hints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain
from calclib.chains.factors import EQUIVALENCE, Value, without_doses
from calclib.chains.hints import GivenText, Hints
from calclib.chains.methods import FACTORS
from calclib.chains.shown import Line
from calclib.chains.worked_solution import Asked, markdown_lines, solution_steps, worked_lines
from calclib.errors.messages import BadInput
from calclib.items.compiled import CompiledModel, compiled
from calclib.items.drawn import Drawing, reading_hint, reading_lines
from calclib.items.item import Item, ItemPart
from calclib.items.own_values.drug_measure import as_measured
from calclib.items.stated_rounding import rounded_as_recorded
from calclib.models.identity import ByIdentity
from calclib.models.model import SETUP, GivenModel, ItemModel
from calclib.models.stated import Stated, read_stated
from calclib.quantity.policies import rounding_policy
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.units import Unit
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence


@dataclass(frozen=True)
class Solution:
    """The steps of one item with their values.

    Args:
        item: The item.
        asks: For each part the step that it asks, in the order of the parts.
        units: For each part the unit of its answer.
        chain: The compiled steps.
        values: All values by name.
    """

    item: Item
    asks: Mapping[str, str]
    units: Mapping[str, Unit]
    chain: Chain
    values: Mapping[str, Value]

    def worked(self, part: str, *, method: str = FACTORS, whole: bool = False) -> tuple[str, ...]:
        """Return the worked solution of a part as plain text; arguments as for `worked_facts`."""
        return tuple(map(sentence, self.worked_facts(part, method=method, whole=whole)))

    def worked_facts(self, part: str, *, method: str = FACTORS, whole: bool = False) -> tuple[Fact, ...]:
        """Return the lines of the worked solution of a part, the rounded answer last.

        Args:
            part: The part's name.
            method: “factors”, “ratio” or “formula”.
            whole: Whether steps that earlier parts show already are shown again.

        Raises:
            BadInput: There is no such part.
        """
        asked = self._asked(self.item.part(part))
        known = frozenset() if whole else self._behind(part)
        if self.item.part(part).kind == SETUP:
            says = self.chain.by_name[self.asks[part]].says
            return (*self._readings(part, known), fact("worked.setup_answer", phrase=says, answer=asked.answer))
        return (
            *self._readings(part, known),
            *worked_lines(self.chain, self.values, asked, known=known, method=method),
        )

    def markdown(self, part: str, *, method: str = FACTORS, whole: bool = False) -> tuple[str, ...]:
        """Return the worked solution as Markdown with the canceled units struck out; arguments as for `worked`.

        Raises:
            BadInput: There is no such part.
        """
        if self.item.part(part).kind == SETUP:
            return self.worked(part, whole=whole)
        asked = self._asked(self.item.part(part))
        known = frozenset() if whole else self._behind(part)
        told = (
            *self._readings(part, known),
            *markdown_lines(self.chain, self.values, asked, known=known, method=method),
        )
        return tuple(map(sentence, told))

    def steps(self, part: str, *, method: str = FACTORS) -> tuple[tuple[str, tuple[Line, ...]], ...]:
        """Return the lines of the worked solution by the step that they show, the answer last.

        Args:
            part: The part's name, of a part that asks a number.
            method: As for `worked`.

        Raises:
            BadInput: There is no such part, or it asks for a set-up.
        """
        if self.item.part(part).kind == SETUP:
            raise BadInput(fact("errors_items.setup_has_no_lines", part=part))
        asked = self._asked(self.item.part(part))
        return solution_steps(self.chain, self.values, asked, known=self._behind(part), method=method)

    def hint(self, part: str, rung: int, *, step: str = "", given: str = "") -> tuple[str, ...]:
        """Return the lines of a hint as plain text; arguments as for `hint_facts`."""
        return tuple(map(sentence, self.hint_facts(part, rung, step=step, given=given)))

    def hint_facts(self, part: str, rung: int, *, step: str = "", given: str = "") -> tuple[Fact, ...]:
        """Return the lines of a hint.

        Args:
            part: The part's name.
            rung: 1, what is asked and what matters; 2, the set-up with a gap; 3, the set-up whole.
            step: The step that went wrong, "" if that is not known.
            given: The given or conversion that went wrong, "" if that is not known.

        Raises:
            BadInput: There is no such part.
        """
        found = self.item.part(part)
        drawn = frozenset(drawing.given for drawing in self.item.drawings)
        texts = tuple(
            GivenText(g.name, g.says, fact("hint.as_drawn") if g.name in drawn else g.text, g.role == "distractor")
            for g in self.item.givens
            if g.role != "hidden"
        )
        known = frozenset(self._earlier(part)) - {self.asks[part]}
        hints = Hints(self.chain, self.values, self.asks[part], found.unit, texts, known, drawn)
        seen = self._behind(part)
        read = (line for drawing in self._drawings(part, seen) for line in reading_hint(drawing, rung))
        return (*hints.lines(rung, step, given), *read)

    def _drawings(self, part: str, known: frozenset[str]) -> tuple[Drawing, ...]:
        """The drawings that a part needs and no earlier part has shown."""
        needed = self.chain.ancestors(self.asks[part])
        return tuple(d for d in self.item.drawings if d.given in needed and d.given not in known)

    def _readings(self, part: str, known: frozenset[str]) -> tuple[Fact, ...]:
        says = self.chain.names.says
        return tuple(
            line
            for drawing in self._drawings(part, known)
            for line in reading_lines(drawing, says.get(drawing.given, drawing.given))
        )

    def _asked(self, part: ItemPart) -> Asked:
        return Asked(self.asks[part.name], self.units[part.name], part.rule, part.answer)

    def _earlier(self, part: str) -> list[str]:
        names = list(self.asks)
        before = names[: names.index(part)]
        return [self.asks[name] for name in before if self.item.part(name).kind != SETUP]

    def _behind(self, part: str) -> frozenset[str]:
        """Steps that earlier parts have shown, but never the one that this part asks."""
        shown = frozenset[str]().union(*(self.chain.ancestors(name) for name in self._earlier(part)))
        return shown - {self.asks[part]}


def solution_of(item: Item, model: ItemModel, policy: RoundingPolicy | None = None) -> Solution:
    """Return the solution of an item, computed again from what its record states.

    Args:
        item: The item.
        model: Its model; for a sealed item the model of the frozen text.
        policy: Its rounding policy, if it is none of those that ship.

    Raises:
        BadInput: The model is another than that of the item.
    """
    ready, values = rebuilt(item, model, policy or rounding_policy(item.policy_name))
    return solution(item, as_measured(item, model), ready.chain, values)


def rebuilt(item: Item, model: ItemModel, policy: RoundingPolicy) -> tuple[CompiledModel, dict[str, Value]]:
    """Return the compiled model and all values of a recorded item, from the texts of its stem; nothing is drawn.

    Args:
        item: The item as recorded.
        model: The model from which it was drawn, of the same text.
        policy: The policy under which it was keyed.

    Raises:
        BadInput: The model is another than that of the item.
    """
    if model.hash != item.model_hash:
        raise BadInput(fact("errors_items.model_changed", model=item.model_id))
    model = rounded_as_recorded(item, as_measured(item, model), policy)
    stated = recorded_givens(item, model)
    ready = compiled(model, stated, policy)
    values: dict[str, Value] = dict(ready.constants)
    for given in stated.values():
        values.update(given.numbers)
    values.update({EQUIVALENCE + name: Fraction(text) for name, text in item.equivalences.items()})
    return ready, ready.chain.evaluate(values)


def recorded_givens(item: Item, model: ItemModel) -> dict[str, Stated]:
    """Return the givens of a recorded item, read again from the texts of its stem.

    Args:
        item: The item as recorded.
        model: The model from which it was drawn, of the same text.
    """
    model = as_measured(item, model)
    use = tuple(item.equivalences.items())
    stated = {given.name: _read_again(ByIdentity(model.givens[given.name]), given.text, use) for given in item.givens}
    return {**_unstated(model, stated), **stated}


# The items of a class state few different values of a given.
@lru_cache(maxsize=8192)
def _read_again(key: ByIdentity[GivenModel], text: str, use: tuple[tuple[str, str], ...]) -> Stated:
    return read_stated(key.record, text, {name: Fraction(value) for name, value in use})


def _unstated(model: ItemModel, stated: Mapping[str, Stated]) -> dict[str, Stated]:
    """Givens that only served to draw others, without values: constraints name them, steps do not."""
    return {
        name: Stated(name, "", () if given.unit is None else ("unit", str(given.unit)), (), None)
        for name, given in model.givens.items()
        if name not in stated and given.kind != "row"
    }


def solution(item: Item, model: ItemModel, chain: Chain, values: Mapping[str, Value]) -> Solution:
    """Return the solution of an item whose chain and values are at hand."""
    asks = {part.name: part.asks for part in model.parts}
    return Solution(item, asks, {part.name: without_doses(part.unit) for part in model.parts}, chain, values)


def with_worked(item: Item, model: ItemModel, chain: Chain, values: Mapping[str, Value]) -> Item:
    """Return an item with the lines of its worked solution, so that feedback needs no model."""
    solved = solution(item, model, chain, values)
    return item._replace(worked={part.name: solved.worked_facts(part.name) for part in item.parts})
