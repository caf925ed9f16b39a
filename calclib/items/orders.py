"""The orders of one item, with its numbers, and in what they go beyond the formulary."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain
from calclib.chains.expression import Power
from calclib.chains.factors import Value
from calclib.chains.kinds.decide import ACT, Decide
from calclib.errors.messages import BadInput
from calclib.formulary.amount import DAY, DAYS_OF_YEAR, KG, SQUARE_METER, Amount, age_in_days, amount
from calclib.formulary.catalogue import drug_named
from calclib.formulary.edition import UnknownDrug, recorded_drugs
from calclib.formulary.findings import Finding, order_findings
from calclib.formulary.order import Order, Patient
from calclib.formulary.order_words import doses_a_day_named, routes_named
from calclib.formulary.records import AgeGroup, Line
from calclib.models.model import FromRow, GivenModel, ItemModel, TableRow
from calclib.models.orders import OrderModel
from calclib.models.stated import Stated
from calclib.quantity.units import Unit

NO_UNIT = Unit(())
OF_AGE = 18 * DAYS_OF_YEAR
LIGHTEST_ADULT = 35
"""Kilograms below which a patient whose age nobody tells is taken for a child."""


@dataclass(frozen=True)
class Beyond:
    """One thing in which an order goes beyond the formulary."""

    order: Order
    finding: Finding


def orders_of(model: ItemModel, stated: Mapping[str, Stated], chain: Chain, done: Mapping[str, Value]) -> list[Order]:
    """Return the orders of an item that its right answers carry out.

    Args:
        model: The item model.
        stated: The givens as they are stated.
        chain: The compiled steps.
        done: The values of all steps.
    """
    values = _Values(model, stated, chain, done)
    acts = (step for step in chain.steps if isinstance(step, Decide) and step.column == ACT)
    held = any(done[step.name] != step.proceed for step in acts)
    return [
        values.order(one)
        for one in model.orders
        if not any(done.get(step) in labels for step, labels in one.unless.items()) and not held
    ]


def beyond(model: ItemModel, orders: Sequence[Order]) -> Iterator[Beyond]:
    """Yield in what orders of a model go beyond the formulary; a drug that it doesn't have has no limits."""
    drug_of = recorded_drugs(model.recorded) if model.recorded else drug_named
    for order in orders:
        try:
            yield from (Beyond(order, finding) for finding in order_findings(order, drug_of))
        except UnknownDrug:
            continue


@dataclass(frozen=True)
class _Values:
    model: ItemModel
    stated: Mapping[str, Stated]
    chain: Chain
    done: Mapping[str, Value]

    def order(self, of: OrderModel) -> Order:
        found = {name: self.product(powers) for name, powers in of.amounts.items()}
        drug, route = self.words(of, "drug"), self.words(of, "route")
        line = self.words(of, "line")
        return Order(
            drug=drug,
            routes=routes_named(route),
            patient=self.patient(of, found),
            dose=found.get("dose"),
            day=found.get("day"),
            doses_a_day=self.doses_a_day(of, found.get("times")),
            rate=found.get("rate"),
            flow=found.get("flow"),
            concentration=found.get("concentration"),
            line=Line(line) if line else None,
            volume=found.get("volume"),
            time=found.get("time"),
            own_most=found.get("most"),
            indication=self.words(of, "indication"),
        )

    def words(self, of: OrderModel, name: str) -> str:
        said = of.words.get(name, "")
        return self.text(said) if said in self.model.givens else said

    def text(self, name: str) -> str:
        """What a text given says; of a column that no stem prints, what the row holds whose words are printed."""
        stated = self.stated.get(name)
        if stated is not None and stated.text:
            return stated.text
        cells = {str(row[self.column(name)]) for row in self.rows(name)}
        return cells.pop() if len(cells) == 1 else ""

    def column(self, name: str) -> str:
        draw = self.model.givens[name].draw
        return draw.column if isinstance(draw, FromRow) else ""

    def rows(self, name: str) -> Iterator[Mapping[str, object]]:
        """The rows from which a column may come, by the words of the same row that are stated."""
        draw = self.model.givens[name].draw
        if not isinstance(draw, FromRow) or not isinstance(table := self.model.givens[draw.row].draw, TableRow):
            return
        said = {
            self.column(other): stated.text
            for other, stated in self.stated.items()
            if stated.text and self.model.givens[other].kind == "text" and _of_row(self.model.givens[other], draw.row)
        }
        for row in self.model.rows[table.table]:
            if all(text == row[column] for column, text in said.items()):
                yield row

    def patient(self, of: OrderModel, found: Mapping[str, Amount | None]) -> Patient:
        age = _age(found.get("age"))
        weight, area = _in(found.get("weight"), KG), _in(found.get("area"), SQUARE_METER)
        young = age < OF_AGE if age is not None else weight is not None and weight < LIGHTEST_ADULT
        group = AgeGroup(self.words(of, "group") or (AgeGroup.CHILD if young else AgeGroup.ADULT))
        condition = of.words.get("condition", "")
        return Patient(group, weight, area, age, (condition,) if condition else (), self.model.body)

    def doses_a_day(self, of: OrderModel, times: Amount | None) -> Fraction | None:
        """By the unit of a frequency (dose/day, dose/h), as a number, or in the words of a text."""
        powers = of.amounts.get("times", ())
        if len(powers) == 1 and self.stated.get(powers[0].name) and times is None:
            return doses_a_day_named(self.stated[powers[0].name].text)
        if times is None or not times.unit.powers:
            return None if times is None else times.value
        return _in(times, DAY**-1)

    def product(self, powers: tuple[Power, ...]) -> Amount | None:
        """The value of a product, None where it has none: a word, or a number that no fraction tells."""
        top = bottom = 1
        unit = NO_UNIT
        for power in powers:
            one = Amount(power.number, NO_UNIT) if power.number is not None else self.amount(power.name)
            if one is None or (power.exponent < 0 and not one.value):
                return None
            above, below = one.value.as_integer_ratio()
            exponent = power.exponent
            if exponent < 0:
                above, below, exponent = below, above, -exponent
            top, bottom, unit = top * above**exponent, bottom * below**exponent, unit * one.unit**power.exponent
        return Amount(Fraction(top, bottom), _without_doses(unit))

    def amount(self, name: str) -> Amount | None:
        if name in self.stated:
            given, stated = self.model.givens[name], self.stated[name]
            if stated.working is not None:
                return Amount(stated.working, given.unit or NO_UNIT)
            return _written(stated.text or self.text(name))
        if name in self.model.constants:
            return Amount(*self.model.constants[name])
        found = self.done.get(name)
        return Amount(found, self.chain.by_name[name].unit) if isinstance(found, Fraction) else None


def _of_row(given: GivenModel, row: str) -> bool:
    return isinstance(given.draw, FromRow) and given.draw.row == row


def _written(text: str) -> Amount | None:
    """An amount in a column of words, such as “1 g”; None where the words are none."""
    try:
        return amount(text)
    except BadInput:
        return None


@lru_cache(maxsize=1024)
def _without_doses(unit: Unit) -> Unit:
    """What is for each dose is an amount: 5 mg/dose, taken once, is 5 mg."""
    return Unit.of((symbol, power) for symbol, power in unit.powers if symbol != "dose")


def _age(found: Amount | None) -> Fraction | None:
    return None if found is None else age_in_days(found)


def _in(found: Amount | None, unit: Unit) -> Fraction | None:
    same = None if found is None else found.in_unit(unit)
    return None if same is None else same.value
