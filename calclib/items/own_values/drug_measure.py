"""A model whose drug is measured in another way: an order in units or mEq where the model draws mg."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.items.item import Item
from calclib.models.identity import ByIdentity
from calclib.models.model import Choices, Condition, GivenModel, ItemModel, PartModel, StepModel
from calclib.quantity.units import Unit, unit_table
from calclib.wording.facts import fact

MEASURES = {"drug mass": "mg", "drug activity": "units", "drug charge": "mEq", "drug substance": "mmol"}
"""What a drug may be measured by, and the working unit of each."""

PLAIN_STEPS = ("product", "sum", "limit", "compare", "count_up", "clock", "between", "round", "root", "power")
"""Kinds of step that hold no amounts of their own."""

UNIT_RULES = {"drug_amount": "dose_units", "per_dose": "dose_units", "small_drug_amount": "dose_units"}
ANY_DRUG = "the ordered medicine"

_WORDS = {
    "drug mass": r"k?g|mg|mcg|ng|micrograms?|milligrams?|grams?|grains?|gr|%",
    "drug activity": r"(?:million |milli)?units?|U|IU|mU",
    "drug charge": r"mEq|meq|milliequivalents?",
    "drug substance": r"m?mol|micromol|(?:milli)?moles?|m?M",
}
_WORD = {measure: re.compile(rf"(?<![A-Za-z])(?:{words})(?![A-Za-z])") for measure, words in _WORDS.items()}


_NEVER_DRAWN = Choices(())
"""The draw of a given whose text is always stated."""


def as_measured(item: Item, model: ItemModel) -> ItemModel:
    """Return the model of an item with its drug measured as the item states it."""
    return measured_alike(model, {given.name: given.text for given in item.givens})


def measured_alike(model: ItemModel, texts: Mapping[str, str]) -> ItemModel:
    """Return a model with its drug measured as some texts state it; the model itself where it is so already.

    Args:
        model: The item model.
        texts: What is stated, by the givens' names.

    Raises:
        BadInput: The model has amounts of its own, or a drug amount is stated in one measure and another is not stated.
    """
    own = _measured(ByIdentity(model))
    if own is None:
        return model
    measure, names = own
    stated = names.intersection(texts)
    found = {m for name in stated for m, words in _WORD.items() if words.search(_above(texts[name]))}
    if len(found) != 1 or found == {measure}:
        return model
    return _in_another(ByIdentity(model), found.pop(), stated, frozenset(texts))


def distractor_texts(model: ItemModel, texts: Mapping[str, str]) -> dict[str, str]:
    """Return what distractors say whose drug is measured in another way: a stated amount of the same kind.

    Args:
        model: The item model as it measures its drug.
        texts: What is stated, by the givens' names.
    """
    own = _measured(ByIdentity(model))
    names = own[1] if own else frozenset()
    like = {model.givens[name].kind: texts[name] for name in sorted(names & texts.keys(), reverse=True)}
    return {
        name: like[model.givens[name].kind]
        for name in names - texts.keys()
        if model.givens[name].role == "distractor" and model.givens[name].kind in like
    }


def _above(text: str) -> str:
    """The drug's part of a text: 40 mg of “40 mg/kg”."""
    return re.split(r"/| per | in ", text)[0]


@lru_cache(maxsize=1024)
def _measured(key: ByIdentity[ItemModel]) -> tuple[str, frozenset[str]] | None:
    """By what a model measures its drug, and the givens that hold an amount of it; None if by two things or none."""
    names = {name: _measure(given.unit) for name, given in key.record.givens.items() if given.unit is not None}
    drug = {name: measure for name, measure in names.items() if measure}
    return (next(iter(drug.values())), frozenset(drug)) if len(set(drug.values())) == 1 else None


def _measure(unit: Unit) -> str:
    dimension_of = unit_table().dimension_of
    return next((dimension_of[s] for s, _ in unit.powers if dimension_of[s] in MEASURES), "")


# By the names of what is stated, not by the values: a model in another measure is compiled once, whatever its numbers.
@lru_cache(maxsize=256)
def _in_another(key: ByIdentity[ItemModel], measure: str, stated: frozenset[str], fixed: frozenset[str]) -> ItemModel:
    model = key.record
    own = _on_own_amounts(model)
    parts = tuple(part for part in model.parts if part.asks not in own)
    if not parts or not all(step.kind in PLAIN_STEPS for step in model.steps):
        raise BadInput(fact("errors_items.own_amounts", model=model.id, unit=MEASURES[measure]))
    givens, dropped = _givens(model, measure, stated, fixed)
    return replace(
        model,
        givens=givens,
        constants={name: value for name, value in model.constants.items() if name not in own},
        steps=tuple(_step(step, measure) for step in model.steps if step.name not in own),
        where=tuple(c for c in model.where if not _names_amounts(c, dropped | own)),
        parts=tuple(_part(part, measure) for part in parts),
    )


def _on_own_amounts(model: ItemModel) -> frozenset[str]:
    """Constants that hold an amount of drug, such as 10 mg/mL for each percent, and the steps that depend on them."""
    names = {name for name, (_, unit) in model.constants.items() if _measure(unit)}
    for step in model.steps:
        text = " ".join(str(value) for value in step.fields.values())
        if any(re.search(rf"\b{name}\b", text) for name in names):
            names.add(step.name)
    return frozenset(names)


def _givens(
    model: ItemModel, measure: str, stated: frozenset[str], fixed: frozenset[str]
) -> tuple[dict[str, GivenModel], frozenset[str]]:
    givens: dict[str, GivenModel] = {}
    dropped = set()
    kinds = {model.givens[name].kind for name in stated}
    for name, given in model.givens.items():
        if given.unit is None or not _measure(given.unit):
            medicine = given.kind == "text" and name.endswith(".drug") and name not in fixed
            givens[name] = replace(given, draw=Choices((ANY_DRUG,))) if medicine else given
        elif name in stated or (given.role == "distractor" and given.kind in kinds):
            unit = in_measure(given.unit, measure)
            givens[name] = replace(given, unit=unit, draw=_NEVER_DRAWN, forms=(), mistaken=())
        elif given.role in ("column", "hidden") and name not in model.printed:
            dropped.add(name)
        else:
            raise BadInput(fact("errors_items.amount_missing", name=name, unit=MEASURES[measure]))
    return givens, frozenset(dropped)


def in_measure(unit: Unit, measure: str) -> Unit:
    """Return a unit with the drug measured in another way: units/mL for mg/mL."""
    dimension_of = unit_table().dimension_of
    return Unit.of((MEASURES[measure] if dimension_of[s] in MEASURES else s, e) for s, e in unit.powers)


def _step(step: StepModel, measure: str) -> StepModel:
    return replace(step, unit=in_measure(step.unit, measure))


def _part(part: PartModel, measure: str) -> PartModel:
    if not _measure(part.unit):
        return part
    asked = re.sub(r"\b(?:mg|mcg|g|units|mEq)\b", MEASURES[measure], part.asked)
    rounding = UNIT_RULES.get(part.rounding, part.rounding) if measure == "drug activity" else part.rounding
    return replace(part, unit=in_measure(part.unit, measure), asked=asked, rounding=rounding)


def _names_amounts(condition: Condition, dropped: frozenset[str]) -> bool:
    """Whether a constraint speaks of amounts of the model's own drug."""
    names = {power.name for power in (*condition.left, *condition.right)}
    return bool(names & dropped) or (condition.right_amount is not None and _measure(condition.right_amount[1]) != "")
