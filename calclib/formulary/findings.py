"""An order held against the formulary: what of it is beyond what is known, as records."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from calclib.formulary.amount import DAY, HOUR, KG, ML, Amount
from calclib.formulary.body import BodyLimit, fluid_a_day, injected_volume, weight_for_age
from calclib.formulary.catalogue import drug_named
from calclib.formulary.limits import (
    AMOUNT_KINDS,
    RATE_KINDS,
    Bound,
    bounds,
    day_bound,
    in_all,
    least,
    matching_uses,
    rate_bound,
    single_bound,
)
from calclib.formulary.order import Order
from calclib.formulary.records import Citation, Drug, Form, Kind, Line, Route, Use


class FindingKind(StrEnum):
    """In what an order goes beyond what is known."""

    SINGLE_DOSE = "single dose"
    DAY_TOTAL = "day total"
    RATE = "rate"
    SPEED = "speed of one dose"
    CONCENTRATION = "concentration"
    INJECTED_VOLUME = "volume of one injection"
    FLUID = "fluid of a day"
    INTERVAL = "interval"
    INFUSION_TIME = "time of one dose"
    WEIGHT_FOR_AGE = "weight for age"
    OWN_LIMIT = "the order's own limit"


@dataclass(frozen=True)
class Finding:
    """One thing in which an order goes beyond what is known.

    Args:
        kind: In what.
        figure: What the order comes to.
        limit: What it should not pass.
        factor: How many times the limit it is, always above 1: for an interval or a time, how many times too short.
        citation: Where the limit comes from.
        indication: The use that the limit belongs to, "" for a limit of the body.
        typical: Whether a typical adult's weight stood in for one that the order leaves out.
        remembered: A use from memory by which the order would stand, "" if there is none.
    """

    kind: FindingKind
    figure: Amount
    limit: Amount
    factor: Fraction
    citation: Citation
    indication: str = ""
    typical: bool = False
    remembered: str = ""

    @property
    def decides(self) -> bool:
        """Whether the order may be called unusual by it.

        A limit from memory only narrows what is drawn, and so does a sourced one where a use is remembered that goes
        further: nothing is unusual, or sound, by memory alone.
        """
        return not self.citation.from_memory and not self.remembered


def order_findings(order: Order) -> tuple[Finding, ...]:
    """Return in what an order goes beyond the formulary, empty if it is sound as far as is known.

    An order that names no indication is beyond only what no use allows: the use by which least is wrong counts. Figures
    from memory are looked at where no sourced use speaks of the order.

    Args:
        order: The order.

    Raises:
        BadInput: The formulary has no such drug.
    """
    found = [*_of_itself(order), *_of_the_body(order)]
    if order.drug:
        drug = drug_named(order.drug)
        uses = tuple(matching_uses(drug, order.routes, order.patient, order.indication))
        found += _of_amounts(order, uses)
        found += _of_concentration(order, drug, uses)
        found += _of_time(order, uses)
    return tuple(found)


def speaks_of(order: Order, *, sourced: bool) -> bool:
    """Tell whether any use limits the amounts of an order, by a source or else from memory.

    Raises:
        BadInput: The formulary has no such drug.
    """
    uses = matching_uses(drug_named(order.drug), order.routes, order.patient, order.indication)
    return any(_speaks(order, use, sourced=sourced) for use in uses)


def _kinds(order: Order) -> tuple[Kind, ...]:
    if order.rate is not None:
        return RATE_KINDS
    return AMOUNT_KINDS if order.dose is not None or order.day is not None else ()


def _speaks(order: Order, use: Use, *, sourced: bool) -> bool:
    return any(bounds(use, kind, order.patient, sourced=sourced) for kind in _kinds(order))


def _of_amounts(order: Order, uses: tuple[Use, ...]) -> list[Finding]:
    """The findings of the use that fits best: the sourced ones first, else those from memory."""
    for sourced in (True, False):
        tried = [_by_use(order, use, sourced=sourced) for use in uses if _speaks(order, use, sourced=sourced)]
        if not tried:
            continue
        best = min(tried, key=_worst)
        if best and sourced:
            best = _with_remembered(order, uses, best)
        return best
    return []


def _worst(found: list[Finding]) -> tuple[Fraction, Fraction]:
    deciding = max((one.factor for one in found if not one.citation.from_memory), default=Fraction(0))
    return deciding, max((one.factor for one in found), default=Fraction(0))


def _with_remembered(order: Order, uses: tuple[Use, ...], found: list[Finding]) -> list[Finding]:
    for use in uses:
        if _speaks(order, use, sourced=False) and not _by_use(order, use, sourced=False):
            return [replace(one, remembered=use.indication) for one in found]
    return found


def _by_use(order: Order, use: Use, *, sourced: bool) -> list[Finding]:
    """What is wrong with an order if it means this use.

    A sourced use's other figures may be from memory: they narrow.
    """
    found: list[Finding] = []
    for kind, figure, bound_of in _measures(order):
        for by_source in (True, False) if sourced else (False,):
            bound = bound_of(use, order.patient, sourced=by_source)
            if bound is not None:
                found += _beyond(kind, figure, bound)
                break
    return found + list(_too_often(order, use, sourced=sourced))


_BoundOf = Callable[..., Bound | None]


def _measures(order: Order) -> Iterator[tuple[FindingKind, Amount, _BoundOf]]:
    """Each amount of an order, for this patient, with what bounds it."""
    if order.rate is not None and (rate := in_all(order.rate, order.patient)):
        yield FindingKind.RATE, rate[0], rate_bound
    if order.dose is not None and (dose := in_all(order.dose, order.patient)):
        yield FindingKind.SINGLE_DOSE, dose[0], single_bound
        doses = _doses_a_day(order)
        if doses is not None:
            yield FindingKind.DAY_TOTAL, Amount(dose[0].value * doses, dose[0].unit / DAY), day_bound
    if order.day is not None and (day := in_all(order.day, order.patient)):
        yield FindingKind.DAY_TOTAL, day[0], day_bound


def _doses_a_day(order: Order) -> Fraction | None:
    if order.doses_a_day is not None:
        return order.doses_a_day
    hours = order.interval.in_unit(HOUR) if order.interval is not None else None
    return None if hours is None else Fraction(24) / hours.value


def _beyond(kind: FindingKind, figure: Amount, bound: Bound) -> Iterator[Finding]:
    factor = figure.over(bound.most)
    if factor is not None and factor > 1:
        limit = bound.most.in_unit(figure.unit) or bound.most
        yield Finding(kind, figure, limit, factor, bound.limit.citation, bound.use.indication, bound.typical)


def _too_often(order: Order, use: Use, *, sourced: bool) -> Iterator[Finding]:
    limit = use.limit(Kind.INTERVAL)
    doses = _doses_a_day(order)
    if limit is None or not limit.high or not doses or (sourced and not limit.sourced and not use.limits):
        return
    ordered = order.interval or Amount(Fraction(24) / doses, HOUR)
    shortest = min(limit.high, key=lambda one: one.over(limit.high[0]) or 1)
    factor = shortest.over(ordered)
    if factor is not None and factor > 1:
        yield Finding(FindingKind.INTERVAL, ordered, shortest, factor, limit.citation, use.indication)


def _of_concentration(order: Order, drug: Drug, uses: tuple[Use, ...]) -> Iterator[Finding]:
    """A concentration beyond the widest limit that is known for its line.

    What is sold in this very concentration may run by its label, so no source decides against it; a limit from memory
    still narrows.
    """
    if order.concentration is None:
        return
    sold = any(
        presentation.form is Form.PREMIXED_BAG and presentation.strength.over(order.concentration) == 1
        for presentation in drug.presentations
    )
    for sourced in (False,) if sold else (True, False):
        found = _greatest(
            bound
            for use in uses
            for bound in bounds(use, Kind.CONCENTRATION, order.patient, sourced=sourced, line=order.line)
        )
        if found is not None:
            yield from _beyond(FindingKind.CONCENTRATION, order.concentration, found)
            return


def _greatest(found: Iterable[Bound]) -> Bound | None:
    best: Bound | None = None
    for one in found:
        if best is None or (one.most.over(best.most) or 0) > 1:
            best = one
    return best


def _of_time(order: Order, uses: tuple[Use, ...]) -> Iterator[Finding]:
    """One dose that runs faster than any use allows: by its least time, and by its speed."""
    if order.time is None:
        return
    for sourced in (True, False):
        times = [b for use in uses for b in bounds(use, Kind.INFUSION_TIME, order.patient, sourced=sourced)]
        if shortest := least(times):
            factor = shortest.most.over(order.time)
            if factor is not None and factor > 1:
                yield Finding(
                    FindingKind.INFUSION_TIME,
                    order.time,
                    shortest.most,
                    factor,
                    shortest.limit.citation,
                    shortest.use.indication,
                )
            break
    dose = in_all(order.dose, order.patient) if order.dose is not None else None
    hours = order.time.in_unit(HOUR)
    if dose is None or hours is None or not hours.value:
        return
    speed = Amount(dose[0].value / hours.value, dose[0].unit / HOUR)
    for sourced in (True, False):
        speeds = [b for use in uses for b in bounds(use, Kind.SPEED_MOST, order.patient, sourced=sourced)]
        if fastest := _greatest(b for b in speeds if speed.over(b.most) is not None):
            yield from _beyond(FindingKind.SPEED, speed, fastest)
            break


def _of_itself(order: Order) -> Iterator[Finding]:
    """A dose that the order's own limit doesn't allow: no source is needed to see that it contradicts itself."""
    if order.own_most is not None and order.rate is not None and (rate := in_all(order.rate, order.patient)):
        factor = rate[0].over(order.own_most)
        if factor is not None and factor > 1:
            yield Finding(FindingKind.OWN_LIMIT, rate[0], order.own_most, factor, Citation("common_practice"))


def _of_the_body(order: Order) -> Iterator[Finding]:
    """What no body takes, whatever the drug."""
    patient = order.patient
    if order.volume is not None and order.routes:
        limits = [injected_volume(route, patient.group) for route in order.routes]
        known = [limit for limit in limits if limit is not None]
        if len(known) == len(limits):
            yield from _past(FindingKind.INJECTED_VOLUME, order.volume, max(known, key=lambda one: one.most.value))
    if order.flow is not None and Route.IV in order.routes and _goes_on(order):
        a_day = order.flow.in_unit(ML / DAY)
        limit = fluid_a_day(patient.group)
        flat = in_all(limit.most, patient) if limit is not None else None
        if a_day is not None and limit is not None and flat is not None:
            yield from _past(FindingKind.FLUID, a_day, replace(limit, most=flat[0]))
    if patient.age is not None and patient.weight is not None:
        yield from _weight(patient.age, patient.weight)


_SHORTEST_COURSE = Fraction(6)
"""Hours from which a flow counts as one that goes on; a bolus or one bag may run faster."""


def _goes_on(order: Order) -> bool:
    hours = order.time.in_unit(HOUR) if order.time is not None else None
    return hours is None or hours.value >= _SHORTEST_COURSE


def _past(kind: FindingKind, figure: Amount, limit: BodyLimit) -> Iterator[Finding]:
    factor = figure.over(limit.most)
    if factor is not None and factor > 1:
        yield Finding(kind, figure, limit.most.in_unit(figure.unit) or limit.most, factor, limit.citation)


def _weight(age: Fraction, weight: Fraction) -> Iterator[Finding]:
    known = weight_for_age(age)
    if known is None or known.low <= weight <= known.high:
        return
    heavy = weight > known.high
    limit = known.high if heavy else known.low
    factor = weight / limit if heavy else limit / weight
    yield Finding(FindingKind.WEIGHT_FOR_AGE, Amount(weight, KG), Amount(limit, KG), factor, known.citation)


__all__ = ["Finding", "FindingKind", "Line", "order_findings", "speaks_of"]
