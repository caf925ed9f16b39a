"""An item model: the symbolic description of a kind of problem, read once and never changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from typing import Any

from calclib.chains.expression import Power
from calclib.chains.kinds.decide import names_in
from calclib.errors.messages import BadInput
from calclib.formulary.body import Body
from calclib.formulary.records import Review
from calclib.models.devices import LEVEL
from calclib.models.orders import OrderModel
from calclib.models.papers import HOLE, Paper
from calclib.quantity.units import Unit
from calclib.wording.facts import fact

SETUP = "setup"
# Devices on which an answer is set, in one unit.
SET_ON = ("pump",)
"""The kind of a part that asks for the set-up and not for its value."""


@dataclass(frozen=True)
class Choices:
    """One of some texts, each as a stem could state it or a bare number in the working unit."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Grid:
    """A number from `start` to `end` in steps, in the working unit."""

    start: Fraction
    end: Fraction
    step: Fraction

    @cached_property
    def size(self) -> int:
        """How many numbers the grid has."""
        return int((self.end - self.start) / self.step) + 1

    def at(self, place: int) -> Fraction:
        """Return the number at a place, counted from 0."""
        return self.start + place * self.step


@dataclass(frozen=True)
class Formula:
    """A value computed from other givens."""

    powers: tuple[Power, ...]


@dataclass(frozen=True)
class AgeFor:
    """An age, in words, that goes with a weight.

    Args:
        weight: The given of the weight.
        group: The age group, "child" or "adult", or the column of a row that says it.
    """

    weight: str
    group: str


@dataclass(frozen=True)
class FromRow:
    """A draw that the chosen row of a table describes in one of its columns."""

    row: str
    column: str


@dataclass(frozen=True)
class TableRow:
    """One of the rows of a table, all equally likely."""

    table: str


Draw = Choices | Grid | Formula | AgeFor | FromRow | TableRow


@dataclass(frozen=True)
class GivenModel:
    """One value that a stem states or that helps to draw others.

    Args:
        name: Its name; "row.column" for the column of a table row.
        kind: The kind of quantity (kinds.toml).
        unit: The working unit in which steps see it; None for text, rows and clock times.
        draw: How it is drawn.
        forms: How a stem may state it, the usual way first: units, or the words of `stated.FORMS`.
        role: stated, distractor (stated, not used) or hidden (used to draw others, not stated).
        mistaken: Values, as texts, that it may be mistaken for.
        says: The words for it.
        line: The line of the file that declares it.
        drawn_on: The device on which it is drawn, "" if the stem states it.
        reads: What is read from the device: its level, or the worth of a small mark.
    """

    name: str
    kind: str
    unit: Unit | None
    draw: Draw
    forms: tuple[str, ...] | FromRow = ()
    role: str = "stated"
    mistaken: tuple[str, ...] | FromRow = ()
    says: str = ""
    line: int | None = None
    drawn_on: str = ""
    reads: str = LEVEL


@dataclass(frozen=True)
class StepModel:
    """One step as the file has it; compiled when the forms of the givens are known."""

    name: str
    kind: str
    says: str
    unit: Unit
    quantity: str
    sources: tuple[str, ...]
    fields: Mapping[str, Any]
    line: int | None = None


@dataclass(frozen=True)
class Condition:
    """A constraint on a draw: a product compared with another, or with a multiple of it."""

    left: tuple[Power, ...]
    relation: str
    right: tuple[Power, ...]
    right_amount: tuple[Fraction, Unit] | None
    text: str
    line: int | None = None


@dataclass(frozen=True)
class PartModel:
    """One question of an item.

    Args:
        name: Its name.
        asks: The step whose value is asked.
        asked: The question.
        unit: The unit of the answer ("" for a time of day or a choice).
        rounding: The name of the rule of the policy.
        points: What it is worth.
        from_entered: Earlier parts from whose rounded answers it may be computed.
        kind: "setup" where the set-up is asked, "" where the value of the step is.
        set_on: The device on which the answer is set, so that it has one unit: "pump", "" for none.
    """

    name: str
    asks: str
    asked: str
    unit: Unit
    rounding: str
    points: int
    from_entered: tuple[str, ...] = ()
    line: int | None = None
    kind: str = ""
    set_on: str = ""


class Level(StrEnum):
    """Where in a nurse's training, or with which patients, a kind of problem belongs."""

    FOUNDATION = "foundation"
    WARD = "ward"
    PEDIATRIC = "pediatric"
    CRITICAL_CARE = "critical care"


@dataclass(frozen=True)
class ItemModel:
    """A kind of problem.

    Args:
        id: Stable name in kebab case.
        version: Goes up with every change that alters draws or keys.
        title: A few words.
        topic: The topic that it belongs to.
        skill: What it exercises.
        order: Its place in the order of learning.
        sources: Keys of its sources.
        caution: A caution that is printed with the item.
        states: Equivalences that the stem prints and that are then the only right ones.
        stem: The text with {names} of givens.
        text: The whole file, kept with every sealed draw.
        hash: SHA-256 of the text.
        columns: For each row given the columns that it declares.
        few: Why it has fewer than the usual number of different draws, "" if it has enough.
        words: What constants are called in a sentence, by name.
        reviews: Who reviewed it; empty as it ships.
        orders: The orders that its stem states, or that its answers come to.
        formulary: The hash of the text of each drug that its orders may name or its tables select, by generic name.
        papers: The order, the record and the labels that are drawn beside the stem.
        recorded: The texts of these drugs where the model is read from a record; else those that ship hold.
        body: What a body takes where the model is read from a record; None takes what ships.
        body_row: The hash of the text of what a body takes, "" where the model states no order.
        level: Where in training it belongs, None where a file of faculty's own doesn't say.
        places: For each row of a table its place in the file; rows that one selection gives have the same.
    """

    id: str
    version: int
    title: str
    topic: str
    skill: str
    order: int
    sources: tuple[str, ...]
    caution: str
    states: tuple[str, ...]
    stem: str
    givens: Mapping[str, GivenModel]
    rows: Mapping[str, tuple[Mapping[str, Any], ...]]
    constants: Mapping[str, tuple[Fraction, Unit]]
    steps: tuple[StepModel, ...]
    where: tuple[Condition, ...]
    parts: tuple[PartModel, ...]
    text: str
    hash: str
    columns: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    few: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    reviews: tuple[Review, ...] = ()
    orders: tuple[OrderModel, ...] = ()
    formulary: Mapping[str, str] = field(default_factory=dict)
    recorded: Mapping[str, str] = field(default_factory=dict)
    body: Body | None = None
    body_row: str = ""
    places: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    papers: tuple[Paper, ...] = ()
    level: Level | None = None

    @cached_property
    def recorded_names(self) -> frozenset[str]:
        """The names of the givens whose texts are recorded with an item, so that it can be keyed again."""
        rows = (row for step in self.steps if step.kind == "decide" for row in step.fields["rows"] if "that" in row)
        compared = {name for row in rows for name in names_in(row["that"])}
        texts = {name for name, given in self.givens.items() if given.kind == "text" and name in compared}
        stated = {n for n, g in self.givens.items() if g.role in ("stated", "distractor") and g.kind != "row"}
        return frozenset(texts | stated) | (self.printed & frozenset(self.givens))

    @cached_property
    def printed(self) -> frozenset[str]:
        """The names of the givens that its stem and its papers print."""
        texts = (self.stem, *(text for paper in self.papers for text in paper.texts))
        return frozenset(name for text in texts for name in HOLE.findall(text))

    def part(self, name: str) -> PartModel:
        """Return one part.

        Raises:
            BadInput: There is no part of that name.
        """
        for part in self.parts:
            if part.name == name:
                return part
        raise BadInput(fact("errors_models.no_part", model=self.id, name=name, known=tuple(p.name for p in self.parts)))

    def given_named(self, name: str) -> GivenModel:
        """Return a given by its full name, or by a column's name where only one row has it.

        Raises:
            BadInput: There is none, or more than one.
        """
        if name in self.givens:
            return self.givens[name]
        found = [g for n, g in self.givens.items() if n.endswith(f".{name}")]
        if len(found) == 1:
            return found[0]
        raise BadInput(
            fact(
                "errors_models.no_given",
                model=self.id,
                name=name,
                known=tuple(n for n, g in self.givens.items() if g.kind != "row" and g.role != "hidden"),
            )
        )
