"""An order held against the formulary: what of it is beyond what is known, as records."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from calclib.formulary.amount import DAY, HOUR, KG, ML, Amount, shape_of
from calclib.formulary.body import BodyLimit, WeightForAge
from calclib.formulary.catalogue import drug_named
from calclib.formulary.edition import DrugNamed
from calclib.formulary.limits import (
    Bound,
    bounds,
    day_bound,
    in_all,
    least,
    matching_uses,
    rate_bound,
    single_bound,
    usual_least,
)
from calclib.formulary.order import Order, Patient
from calclib.formulary.records import AgeGroup, Citation, Drug, Form, Kind, Route, Use


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
    TOO_SELDOM = "less often than any interval"
    INFUSION_TIME = "time of one dose"
    WEIGHT_FOR_AGE = "weight for age"
    TOO_LITTLE = "smaller than any usual dose"
    OWN_LIMIT = "the order's own limit"


@dataclass(frozen=True)
class Finding:
    """One thing in which an order goes beyond what is known.

    Args:
        kind: In what.
        figure: What the order comes to.
        limit: What it should not pass.
        factor: How many times the limit it is, always above 1: for an interval, a time or too little, how many
            times too short or small.
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
        further: nothing is unusual, or sound, by memory alone. Nor is a small dose, which may be the first of several.
        """
        sourced = not self.citation.from_memory and not self.remembered
        return sourced and self.kind is not FindingKind.TOO_LITTLE


def order_findings(order: Order, drug_of: DrugNamed = drug_named) -> tuple[Finding, ...]:
    """Return in what an order goes beyond the formulary, empty if it is sound as far as is known.

    An order that names no indication is beyond only what no use allows: the use by which least is wrong counts. Figures
    from memory are looked at where no sourced use speaks of the order.

    Args:
        order: The order.
        drug_of: What finds the order's drug: among those that ship, or those recorded with a set.

    Raises:
        BadInput: The formulary has no such drug.
    """
    found = [*_of_itself(order), *_of_the_body(order)]
    order = _for_one_square_meter(order)
    if order.drug:
        drug = drug_of(order.drug)
        uses = tuple(matching_uses(drug, order.routes, order.patient, order.indication))
        measures = tuple(_measures(order))
        found += _of_amounts(order, measures, _speaking(order, measures, drug, uses))
        found += _of_too_little(order, uses)
        found += _of_concentration(order, drug, uses)
    return tuple(found)


def speaks_of(order: Order, *, sourced: bool) -> bool:
    """Tell whether any use limits the amounts of an order, by a source or else from memory.

    Raises:
        BadInput: The formulary has no such drug.
    """
    order = _for_one_square_meter(order)
    uses = matching_uses(drug_named(order.drug), order.routes, order.patient, order.indication)
    measures = tuple(_measures(order))
    return any(_speaks(measures, use, sourced=sourced) for use in uses)


def _for_one_square_meter(order: Order) -> Order:
    """An order for each m2 whose body surface isn't told, as for one m2: what is printed for each m2 compares so."""
    amounts = (order.dose, order.day, order.rate)
    each_area = any(one is not None and (s := shape_of(one.unit)) and s.per == "area" for one in amounts)
    if order.patient.area is not None or not each_area:
        return order
    return replace(order, patient=replace(order.patient, area=Fraction(1)))


def _speaks(measures: Sequence[_Measure], use: Use, *, sourced: bool) -> bool:
    return any(bound_of(use, sourced=sourced) is not None for _, _, bound_of in measures)


def _speaking(order: Order, measures: Sequence[_Measure], drug: Drug, uses: tuple[Use, ...]) -> tuple[Use, ...]:
    """The uses that limit the amounts of an order; where none does for a child, an adult's: a child gets no more."""
    if order.patient.group is AgeGroup.ADULT or any(
        _speaks(measures, use, sourced=sourced) for use in uses for sourced in (True, False)
    ):
        return uses
    grown = replace(order.patient, group=AgeGroup.ADULT, age=None)
    return tuple(matching_uses(drug, order.routes, grown, order.indication))


def _of_amounts(order: Order, measures: Sequence[_Measure], uses: tuple[Use, ...]) -> list[Finding]:
    """The findings of the use that fits best: the sourced ones first, else those from memory."""
    for sourced in (True, False):
        speaking = [use for use in uses if _speaks(measures, use, sourced=sourced)]
        tried = [_by_use(order, measures, use, sourced=sourced) for use in speaking]
        if not tried:
            continue
        best = min(tried, key=_worst)
        if best and sourced:
            best = _with_remembered(order, measures, uses, best)
        return best
    return []


def _worst(found: list[Finding]) -> tuple[list[Fraction], list[Fraction]]:
    """How far an order is beyond a use: by what decides first, then by all, the worst first."""
    deciding = sorted((one.factor for one in found if not one.citation.from_memory), reverse=True)
    return deciding, sorted((one.factor for one in found), reverse=True)


_OF_AMOUNT = (FindingKind.SINGLE_DOSE, FindingKind.DAY_TOTAL, FindingKind.RATE)


def _with_remembered(
    order: Order, measures: Sequence[_Measure], uses: tuple[Use, ...], found: list[Finding]
) -> list[Finding]:
    for use in uses:
        if _speaks(measures, use, sourced=False) and not _by_use(order, measures, use, sourced=False):
            return [replace(one, remembered=use.indication) if one.kind in _OF_AMOUNT else one for one in found]
    return found


def _by_use(order: Order, measures: Sequence[_Measure], use: Use, *, sourced: bool) -> list[Finding]:
    """What is wrong with an order if it means this use.

    A sourced use's other figures may be from memory: they narrow.
    """
    found: list[Finding] = []
    for kind, figure, bound_of in measures:
        for by_source in (True, False) if sourced else (False,):
            bound = bound_of(use, sourced=by_source)
            if bound is not None:
                found += _beyond(kind, figure, bound)
                break
    found += _off_the_intervals(order, use)
    for by_source in (True, False) if sourced else (False,):
        found += _too_fast(order, use, sourced=by_source)
    return found


_BoundOf = Callable[..., Bound | None]
_Measure = tuple[FindingKind, Amount, _BoundOf]


def _measures(order: Order) -> Iterator[_Measure]:
    """Each amount of an order, for this patient, with what bounds it."""
    rate_most, dose_most, day_most = (_once(bound, order.patient) for bound in (rate_bound, single_bound, day_bound))
    if order.rate is not None and (rate := in_all(order.rate, order.patient)):
        yield FindingKind.RATE, rate[0], rate_most
    if order.dose is not None and (dose := in_all(order.dose, order.patient)):
        yield FindingKind.SINGLE_DOSE, dose[0], dose_most
        doses = _doses_a_day(order)
        if doses is not None:
            yield FindingKind.DAY_TOTAL, Amount(dose[0].value * doses, dose[0].unit / DAY), day_most
    if order.day is not None and (day := in_all(order.day, order.patient)):
        yield FindingKind.DAY_TOTAL, day[0], day_most


def _once(bound_of: _BoundOf, patient: Patient) -> _BoundOf:
    """What bounds an amount for a patient, worked out once for each use: several questions ask for it."""
    found: dict[tuple[int, bool], Bound | None] = {}

    def kept(use: Use, *, sourced: bool) -> Bound | None:
        key = (id(use), sourced)
        if key not in found:
            found[key] = bound_of(use, patient, sourced=sourced)
        return found[key]

    return kept


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


def _off_the_intervals(order: Order, use: Use) -> Iterator[Finding]:
    """A dose sooner after the last one than the shortest interval, or later than the longest that is printed.

    A day's total may be divided at will, and what is given once has no next dose.
    """
    limit, doses = use.limit(Kind.INTERVAL), _doses_a_day(order)
    divided = use.limit(Kind.DOSE) is None and use.limit(Kind.WEEK) is None
    if limit is None or not limit.high or not doses or divided:
        return
    ordered = order.interval or Amount(Fraction(24) / doses, HOUR)
    rising = sorted(limit.high, key=lambda one: one.over(limit.high[0]) or 1)
    soon, late = rising[0].over(ordered), ordered.over(rising[-1])
    if soon is not None and soon > 1:
        yield Finding(FindingKind.INTERVAL, ordered, rising[0], soon, limit.citation, use.indication)
    if late is not None and late > 1 and not limit.words:
        yield Finding(FindingKind.TOO_SELDOM, ordered, rising[-1], late, limit.citation, use.indication)


_PLAUSIBLE_SHARE = Fraction(1, 2)
"""Less than this share of the least usual dose is implausible: common practice."""


def _of_too_little(order: Order, uses: tuple[Use, ...]) -> Iterator[Finding]:
    """A dose that is less than half of the least that is usual in any use."""
    dose = in_all(order.dose, order.patient) if order.dose is not None else None
    if dose is None:
        return
    smallest = least(bound for use in uses for bound in usual_least(use, order.patient))
    factor = smallest.most.over(dose[0]) if smallest is not None else None
    if smallest is not None and factor is not None and factor * _PLAUSIBLE_SHARE > 1:
        cited, use, typical = smallest.limit.citation, smallest.use.indication, smallest.typical
        yield Finding(FindingKind.TOO_LITTLE, dose[0], smallest.most, factor, cited, use, typical)


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


def _too_fast(order: Order, use: Use, *, sourced: bool) -> Iterator[Finding]:
    """One dose that runs faster than a use allows: by its least time, and by its speed."""
    if order.time is None or order.dose is None:
        return
    shortest = least(bounds(use, Kind.INFUSION_TIME, order.patient, sourced=sourced))
    factor = shortest.most.over(order.time) if shortest is not None else None
    if shortest is not None and factor is not None and factor > 1:
        cited = shortest.limit.citation
        yield Finding(FindingKind.INFUSION_TIME, order.time, shortest.most, factor, cited, use.indication)
    dose, hours = in_all(order.dose, order.patient), order.time.in_unit(HOUR)
    fastest = least(bounds(use, Kind.SPEED_MOST, order.patient, sourced=sourced))
    if dose is not None and hours is not None and hours.value and fastest is not None:
        speed = Amount(dose[0].value / hours.value, dose[0].unit / HOUR)
        yield from _beyond(FindingKind.SPEED, speed, fastest)


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
        limits = [patient.body.injected_volume(route, patient.group) for route in order.routes]
        known = [limit for limit in limits if limit is not None]
        if len(known) == len(limits):
            yield from _past(FindingKind.INJECTED_VOLUME, order.volume, max(known, key=lambda one: one.most.value))
    if order.flow is not None and Route.IV in order.routes and _goes_on(order):
        a_day = order.flow.in_unit(ML / DAY)
        limit = patient.body.fluid_a_day(patient.group)
        flat = in_all(limit.most, patient) if limit is not None else None
        if a_day is not None and limit is not None and flat is not None:
            yield from _past(FindingKind.FLUID, a_day, replace(limit, most=flat[0]))
    if patient.age is not None and patient.weight is not None:
        yield from _weight(patient.body.weight_for_age(patient.age), patient.weight)


_SHORTEST_COURSE = Fraction(6)
"""Hours from which a flow counts as one that goes on; a bolus or one bag may run faster."""


def _goes_on(order: Order) -> bool:
    hours = order.time.in_unit(HOUR) if order.time is not None else None
    return hours is None or hours.value >= _SHORTEST_COURSE


def _past(kind: FindingKind, figure: Amount, limit: BodyLimit) -> Iterator[Finding]:
    factor = figure.over(limit.most)
    if factor is not None and factor > 1:
        yield Finding(kind, figure, limit.most.in_unit(figure.unit) or limit.most, factor, limit.citation)


def _weight(known: WeightForAge | None, weight: Fraction) -> Iterator[Finding]:
    if known is None or known.low <= weight <= known.high:
        return
    heavy = weight > known.high
    limit = known.high if heavy else known.low
    factor = weight / limit if heavy else limit / weight
    yield Finding(FindingKind.WEIGHT_FOR_AGE, Amount(weight, KG), Amount(limit, KG), factor, known.citation)
