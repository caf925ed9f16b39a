"""An order as a pharmacist looks at it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.formulary.amount import Amount
from calclib.formulary.body import Body, shipped_body
from calclib.formulary.records import AgeGroup, Line, Route


@dataclass(frozen=True)
class Patient:
    """For whom an order is written; None is what the order doesn't say.

    Args:
        group: Adult, child or newborn.
        weight: Body weight [kg].
        area: Body surface [m2].
        age: Age [day].
        conditions: What the order says of the patient, in the words of `Use.condition`.
        recorded_body: What a body takes as it was recorded with a set; None takes what ships.
    """

    group: AgeGroup = AgeGroup.ADULT
    weight: Fraction | None = None
    area: Fraction | None = None
    age: Fraction | None = None
    conditions: tuple[str, ...] = ()
    recorded_body: Body | None = None

    @property
    def body(self) -> Body:
        """What this patient's body takes."""
        return self.recorded_body or shipped_body()


@dataclass(frozen=True)
class Order:
    """A drug or fluid, how much, how often, by which way; None is what the order doesn't say.

    Args:
        drug: The name of the drug, "" for a plain fluid.
        routes: The routes that the order leaves open; several for “by injection”.
        patient: For whom.
        dose: One dose, in all or for each kg or m2.
        day: The total of a day, where the order gives that in place of a dose.
        interval: From one dose to the next [time].
        doses_a_day: How many doses a day has.
        rate: A continuous dose [amount/time], in all or for each kg.
        flow: How fast the fluid runs [volume/time].
        concentration: Of what runs into the line; not of a vial that is still to be diluted.
        line: The line that is named.
        volume: The volume of one dose, as it is given.
        time: Over how long one dose runs [time].
        own_most: The fastest that the order itself allows [amount/time].
        indication: What it is for, "" if the order doesn't say.
    """

    drug: str
    routes: tuple[Route, ...]
    patient: Patient = Patient()
    dose: Amount | None = None
    day: Amount | None = None
    interval: Amount | None = None
    doses_a_day: Fraction | None = None
    rate: Amount | None = None
    flow: Amount | None = None
    concentration: Amount | None = None
    line: Line | None = None
    volume: Amount | None = None
    time: Amount | None = None
    own_most: Amount | None = None
    indication: str = ""
