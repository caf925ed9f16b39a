"""Which uses an order may mean, and the limits that hold for its patient."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from calclib.formulary.amount import DAY, DAYS_OF_YEAR, HOUR, KG, SQUARE_METER, Amount, shape_of
from calclib.formulary.catalogue import drug_named
from calclib.formulary.order import Patient
from calclib.formulary.records import AgeGroup, Drug, Kind, Limit, Line, Manner, Route, Use


@dataclass(frozen=True)
class Bound:
    """What a limit comes to for one patient.

    Args:
        most: The amount.
        limit: The figure that it comes from.
        use: The use that the figure belongs to.
        typical: Whether a typical adult's weight stood in for one that the order leaves out.
    """

    most: Amount
    limit: Limit
    use: Use
    typical: bool = False


def matching_uses(drug: Drug, routes: Iterable[Route], patient: Patient, indication: str = "") -> Iterator[Use]:
    """Yield the uses that an order for this patient may mean.

    Args:
        drug: The drug.
        routes: The routes that the order leaves open.
        patient: For whom; a weight that isn't known excludes nothing.
        indication: Words that the indication must have.
    """
    ways, words = set(routes), indication.lower().split()
    for use in drug.uses:
        if (
            ways.intersection(use.routes)
            and use.group is patient.group
            and (not use.condition or use.condition in patient.conditions)
            and _age_fits(use, patient)
            and (patient.weight is None or use.weights.holds(patient.weight))
            and all(word in use.indication.lower() for word in words)
        ):
            yield use


OLD_AGE = 60 * DAYS_OF_YEAR
"""From this age on figures are for the elderly: an adult whose age an order leaves out isn't taken for one."""


def _age_fits(use: Use, patient: Patient) -> bool:
    if patient.age is None:
        return use.ages.low is None or use.ages.low < OLD_AGE
    return use.ages.holds(patient.age)


def in_all(amount: Amount, patient: Patient) -> tuple[Amount, bool] | None:
    """Return an amount for this patient, no longer for each kg or m2, and whether a typical weight stood in.

    Returns:
        None where the weight or body surface isn't known.
    """
    shape = shape_of(amount.unit)
    if shape is None or not shape.per:
        return amount, False
    if shape.per == "area":
        return None if patient.area is None else (amount.times(patient.area, SQUARE_METER), False)
    weight, typical = patient.weight, False
    if weight is None and patient.group is AgeGroup.ADULT:
        kilograms = patient.body.typical_adult().most.in_unit(KG)
        weight, typical = None if kilograms is None else kilograms.value, True
    return None if weight is None else (_of_kilograms(amount, weight), typical)


def _of_kilograms(amount: Amount, weight: Fraction) -> Amount:
    each = amount.unit
    for symbol, power in amount.unit.powers:
        if power == -1 and symbol in ("kg", "lb", "g_weight", "oz_weight"):
            factor = Amount(weight, KG)
            same = factor.in_unit(type(each).of([(symbol, 1)]))
            assert same is not None
            return amount.times(same.value, same.unit)
    return amount


def bounds(use: Use, kind: Kind, patient: Patient, *, sourced: bool, line: Line | None = None) -> tuple[Bound, ...]:
    """Return what the figures of a kind come to for this patient.

    Args:
        use: The use.
        kind: The kind of figure.
        patient: For whom.
        sourced: Whether figures from memory are left out (true) or are the only ones wanted (false).
        line: For a concentration: the line that the order names. One that isn't named is taken for a peripheral one.
    """
    figures = use.figures(kind, sourced=sourced)
    if not figures:
        return ()
    found = []
    for limit in figures:
        if limit.line is Line.CENTRAL and line is not Line.CENTRAL:
            continue
        for amount in limit.high:
            flat = in_all(amount, patient)
            if flat is not None:
                found.append(Bound(flat[0], limit, use, flat[1]))
    return tuple(found)


def least(found: Iterable[Bound]) -> Bound | None:
    """Return the bound that is reached first, None if there is none; those in another dimension are left out."""
    best: Bound | None = None
    for one in found:
        if best is None or (one.most.over(best.most) or 1) < 1:
            best = one
    return best


_PAIRS = {Kind.DOSE: Kind.DOSE_MOST, Kind.DAY: Kind.DAY_MOST, Kind.WEEK: Kind.WEEK_MOST, Kind.RATE: Kind.RATE_MOST}


def _most_of(use: Use, usual: Kind, patient: Patient, *, sourced: bool) -> Bound | None:
    """The maximum that is printed, else the top of what is usual.

    A maximum in all does not take the place of so much for each kg: then both hold.
    """
    most, top = _PAIRS[usual], use.limit(usual)
    caps = bounds(use, most, patient, sourced=sourced)
    usually = bounds(use, usual, patient, sourced=sourced)
    per = _per(top)
    if not caps or (per and per != _per(use.limit(most))):
        caps = (*caps, *usually)
    return least(caps)


def _per(limit: Limit | None) -> str:
    shape = shape_of(limit.high[0].unit) if limit is not None and limit.high else None
    return shape.per if shape is not None else ""


def single_bound(use: Use, patient: Patient, *, sourced: bool) -> Bound | None:
    """Return the most that one dose may be by a use.

    A dose that is printed comes first, or the most of a day where it is given once a day; where only a day's total is
    printed, it is shared among the fewest doses that the intervals allow.
    """
    doses = use.doses_a_day
    found = _most_of(use, Kind.DOSE, patient, sourced=sourced)
    if found is not None:
        once = doses is not None and doses[1] <= 1 and use.limit(Kind.DOSE_MOST) is None and not _per(found.limit)
        day = least(bounds(use, Kind.DAY_MOST, patient, sourced=sourced)) if once else None
        return found if day is None else _one_dose(day)
    if use.limit(Kind.RATE) or use.limit(Kind.RATE_MOST):
        return None  # an infusion that goes on has no single dose
    for kind in (Kind.WEEK, Kind.DAY):
        if found := _most_of(use, kind, patient, sourced=sourced):
            often = max(Fraction(1), doses[0]) if doses and kind is Kind.DAY else Fraction(1)
            return _one_dose(found, often)
    return None


def _one_dose(found: Bound, doses: Fraction = Fraction(1)) -> Bound:
    shape = shape_of(found.most.unit)
    time = shape.time if shape else ""
    if not time:
        return found
    unit = found.most.unit * type(found.most.unit).of([(time, 1)])
    return replace(found, most=Amount(found.most.value / doses, unit))


def day_bound(use: Use, patient: Patient, *, sourced: bool) -> Bound | None:
    """Return the most of a day by a use: as printed, or the most of one dose as often as the intervals allow.

    Where a dose goes by weight and the day's maximum does not, both hold.
    """
    printed = _most_of(use, Kind.DAY, patient, sourced=sourced)
    if printed is not None and (_per(printed.limit) or not _per(use.limit(Kind.DOSE))):
        return printed
    single, doses = single_bound(use, patient, sourced=sourced), use.doses_a_day
    if single is None or doses is None:
        return printed
    often = max(Fraction(1), doses[1])
    shared = replace(single, most=Amount(single.most.value * often, single.most.unit / DAY))
    return shared if printed is None else least((printed, shared))


def usual_least(use: Use, patient: Patient) -> Iterator[Bound]:
    """Yield the least that one dose usually is by a use; a day's least is shared among the most doses that it has."""
    doses = use.doses_a_day
    for kind in (Kind.DOSE, Kind.DAY, Kind.WEEK):
        limit = use.limit(kind)
        flat = in_all(limit.low, patient) if limit is not None and limit.low is not None else None
        if limit is not None and flat is not None:
            often = max(Fraction(1), doses[1]) if doses and kind is Kind.DAY else Fraction(1)
            yield _one_dose(Bound(flat[0], limit, use, flat[1]), often)
            return


def rate_bound(use: Use, patient: Patient, *, sourced: bool) -> Bound | None:
    """Return the fastest continuous dose by a use: as printed, or the total of a day of infusion, hour by hour."""
    if found := _most_of(use, Kind.RATE, patient, sourced=sourced):
        return found
    day = _most_of(use, Kind.DAY, patient, sourced=sourced) if use.manner is Manner.INFUSION else None
    return None if day is None else replace(day, most=Amount(day.most.value / 24, day.most.unit * DAY / HOUR))


def limits_for(
    drug: str,
    *,
    route: Route,
    group: AgeGroup,
    weight: Fraction | None = None,
    area: Fraction | None = None,
    age: Fraction | None = None,
    indication: str = "",
    line: Line | None = None,
) -> Mapping[Kind, Bound]:
    """Return the least permissive sourced limits for a patient, by kind.

    In each use the limit that is reached first holds: so much for each kg, but no more than so much in all. Where the
    order names no indication, an order is beyond only what no use allows, so the use that allows most counts.

    Args:
        drug: The name of the drug.
        route: The route.
        group: The age group.
        weight: Body weight [kg].
        area: Body surface [m2].
        age: Age [day].
        indication: Words that the indication must have.
        line: The line, for a concentration.

    Returns:
        `DOSE_MOST`, `DAY_MOST`, `RATE_MOST`, `SPEED_MOST`, `CONCENTRATION`, as far as they are known.

    Raises:
        BadInput: The formulary has no such drug.
    """
    patient = Patient(group, weight, area, age)
    uses = tuple(matching_uses(drug_named(drug), (route,), patient, indication))
    found: dict[Kind, Bound] = {}
    for use in uses:
        each = {
            Kind.DOSE_MOST: single_bound(use, patient, sourced=True),
            Kind.DAY_MOST: day_bound(use, patient, sourced=True),
            Kind.RATE_MOST: rate_bound(use, patient, sourced=True),
            Kind.SPEED_MOST: least(bounds(use, Kind.SPEED_MOST, patient, sourced=True)),
            Kind.CONCENTRATION: least(bounds(use, Kind.CONCENTRATION, patient, sourced=True, line=line)),
        }
        for kind, bound in each.items():
            if bound is not None and (kind not in found or (bound.most.over(found[kind].most) or 0) > 1):
                found[kind] = bound
    return found
