"""Drawing an item: values from a text, until a draw is plausible, fair and diagnosable."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from calclib.chains.factors import Factor, product_value
from calclib.errors.messages import BadInput, told_of
from calclib.formulary.amount import KG, Amount
from calclib.formulary.body import shipped_body
from calclib.formulary.records import AgeGroup
from calclib.items.as_ordered import is_as_ordered
from calclib.items.computed import Against, Refused, computed
from calclib.items.item import Item
from calclib.items.keys.keying import Unusable, keyed_item
from calclib.items.own_values.fitted_values import noted, with_own_values
from calclib.items.own_values.rows import fitting_rows
from calclib.items.recorded.unusual import unusual_of
from calclib.items.stream import ChoiceStream
from calclib.models.bank import is_of_bank
from calclib.models.devices import LEVEL, device, misreadings
from calclib.models.draws import drawn
from calclib.models.identity import ByIdentity
from calclib.models.model import AgeFor, Choices, Draw, Formula, FromRow, GivenModel, Grid, ItemModel, TableRow
from calclib.models.stated import Stated, clock_text, in_unit, read_own, read_stated, restated
from calclib.quantity.equivalences import read_equivalences
from calclib.quantity.policies import rounding_policy
from calclib.quantity.rounding import RoundingPolicy
from calclib.wording.facts import Fact, fact

MAX_DRAWS = 600
FEW_DRAWS = 8
SAME_REASON = 20
COINCIDENCES = 5
"""Draws that are left out because two mistakes coincide, before a model of faculty's takes one in which they do."""
LEAST_IN = {("volume", "L"): Fraction(1000)}
"""What is written in a unit only from so much on, in the working unit: a bag of 600 mL is not one of 0.6 L."""
MOST_IN = {("duration", "min"): Fraction(3)}
"""What is written in a unit only up to so much: 6.5 h is not 390 min."""


@dataclass(frozen=True)
class DrawReport:
    """What became of one draw: an item, or why it is not used.

    Args:
        item: The item, None if the draw is not used.
        against: What speaks against the draw, None for nothing.
        refused: The kind of reason, None where there is an item.
    """

    item: Item | None
    against: Fact | None = None
    refused: Refused | None = None


def draw_item(
    model: ItemModel,
    seed: str,
    *,
    policy: RoundingPolicy | None = None,
    given: Mapping[str, str] | None = None,
    use: Mapping[str, str] | None = None,
) -> Item:
    """Return the item that a seed text draws from a model: the first draw that is plausible, fair and diagnosable.

    In a model of faculty's two mistakes may lead to one wrong answer where that can hardly be avoided; both are then
    named as possible. No mistake leads to the right answer.

    Args:
        model: The item model.
        seed: Any text; equal texts give equal items.
        policy: The rounding policy; the default one if None.
        given: Values that a teacher fixes, by name, in any form in which a stem could state them. If no draw with them
            is fair and diagnosable, the best one is returned and says why.
        use: Values of equivalences, such as lb_per_kg = "2.2".

    Raises:
        BadInput: Unknown name, wrong dimension, or a value that is none; or the model has no fair draw.
    """
    policy = policy or rounding_policy()
    model, fixed = with_own_values(model, given or {})
    values = read_equivalences(use or {})
    best: Item | None = None
    reasons: dict[Refused | None, list[Fact]] = {}
    for report in draws(model, seed, policy, fixed, values):
        if report.against is not None:
            reasons.setdefault(report.refused, []).append(report.against)
        if report.item is None:
            continue
        if report.item.fair and (report.item.diagnosable or not fixed) and report.against is None:
            return noted(report.item, values)
        if best is None or (report.item.fair, report.item.diagnosable) > (best.fair, best.diagnosable):
            best = report.item
    if best is not None and fixed:
        return noted(best, values)
    why = _commonest(reasons)
    if fixed:
        raise BadInput(fact("errors_items.not_computed", model=model.id, why=why))
    raise BadInput(fact("errors_items.no_fair_draw", model=model.id, policy=policy.name, title=policy.title, why=why))


def _commonest(reasons: Mapping[Refused | None, Sequence[Fact]]) -> Fact:
    """What refused most draws; of those that were plausible if there are any, as constraints refuse some always."""
    telling = [*reasons.get(Refused.UNFAIR, ()), *reasons.get(Refused.AMBIGUOUS, ())]
    telling = telling or [reason for kind in reasons.values() for reason in kind]
    return Counter(telling).most_common(1)[0][0] if telling else fact("draw.no_short_form")


def draws(
    model: ItemModel, seed: str, policy: RoundingPolicy, fixed: Mapping[str, str], use: Mapping[str, Fraction]
) -> Iterator[DrawReport]:
    """Yield draws in the order in which they are tried; with a teacher's numbers also the first that is not to be used.

    Raises:
        BadInput: A fixed value is no value of its given.
    """
    kept: bool | None = None  # for a teacher's numbers: whether an item has been yielded, and a fair one
    again: list[Fact | None] = []
    coinciding: list[Mapping[str, Stated]] | None = None if is_of_bank(model.id) or fixed else []
    for stated in stated_draws(model, seed, fixed, use):
        report = _report(model, seed, policy, fixed, use, stated, bool(fixed) and kept is None)
        if report.refused is Refused.AMBIGUOUS and fixed and kept is False:
            report = _report(model, seed, policy, fixed, use, stated, True)
        if coinciding is not None and report.refused is Refused.AMBIGUOUS:
            coinciding.append(stated)
            if len(coinciding) >= COINCIDENCES:
                report = _report(model, seed, policy, fixed, use, stated, False, True)
        if report.item is not None:
            kept = kept or report.item.fair
        yield report
        again = [*(again if report.against in again else ()), report.against]
        if fixed and report.against is not None and len(again) == SAME_REASON:
            return  # it lies in the numbers that are fixed
    for stated in coinciding if coinciding and len(coinciding) < COINCIDENCES else ():
        yield _report(model, seed, policy, fixed, use, stated, False, True)


def stated_draws(
    model: ItemModel, seed: str, fixed: Mapping[str, str], use: Mapping[str, Fraction]
) -> Iterator[Mapping[str, Stated]]:
    """Yield the givens of a seed's draws in the order in which they are tried, each as it is stated, none twice.

    Raises:
        BadInput: A fixed value is no value of its given.
    """
    previous: set[tuple[tuple[str, str], ...]] = set()
    for attempt in range(MAX_DRAWS if _numbers_left(model, fixed) else FEW_DRAWS):
        stated = drawn_givens(model, ChoiceStream(f"{seed}|{model.id}|{model.version}|{attempt}"), fixed, use)
        if stated is None:
            continue
        shown = tuple((n, s.text) for n, s in sorted(stated.items()) if model.givens[n].role != "hidden")
        if shown not in previous:
            previous.add(shown)
            yield stated


def _numbers_left(model: ItemModel, fixed: Mapping[str, str]) -> bool:
    """Whether a number that matters is still to be drawn; else all draws are alike but for words."""
    return any(
        given.role == "stated" and given.kind not in ("text", "row") and name not in fixed
        for name, given in model.givens.items()
    )


def _report(
    model: ItemModel,
    seed: str,
    policy: RoundingPolicy,
    fixed: Mapping[str, str],
    use: Mapping[str, Fraction],
    stated: Mapping[str, Stated],
    allow_unfair: bool,
    may_coincide: bool = False,
) -> DrawReport:
    done = computed(model, policy, use, stated, fixed=bool(fixed))
    if isinstance(done, Against):
        return DrawReport(None, done.why, done.refused)
    try:
        item = keyed_item(
            done.model,
            seed,
            policy,
            done.ready,
            stated,
            done.done,
            done.variants,
            done.note,
            allow_unfair,
            may_coincide,
        )
    except BadInput as error:
        return DrawReport(None, fact("draw.not_computed", error=told_of(error)), Refused.NOT_COMPUTED)
    if isinstance(item, Unusable):
        return DrawReport(None, item.why, Refused.AMBIGUOUS if item.fair else Refused.UNFAIR)
    unusual = unusual_of(done.found)
    return DrawReport(item._replace(unusual=unusual) if done.found else item, done.note or done.stopped)


def drawn_givens(
    model: ItemModel, stream: ChoiceStream, fixed: Mapping[str, str], use: Mapping[str, Fraction]
) -> dict[str, Stated] | None:
    """Return all givens as they are stated; None where a value can't be stated in a short form.

    Raises:
        BadInput: A fixed value is no value of its given.
    """
    rows: dict[str, Mapping[str, object]] = {}
    stated: dict[str, Stated] = {}
    for name, given in model.givens.items():
        if isinstance(given.draw, TableRow):
            fitting = fitting_rows(model, name, fixed, use)
            rows[name] = fitting[stream.below(len(fitting))]
            continue
        if name in fixed:
            stated[name] = read_stated(given, fixed[name], use)
            continue
        if isinstance(given.draw, AgeFor):
            stated[name] = read_stated(given, _age(model, given.draw, stream, stated, rows))
            continue
        draw = _draw_of(given, rows)
        value = _drawn(given, draw, stream, rows, stated, use)
        if value is None or is_read_badly(given, value):
            return None
        if not is_as_ordered(model, given, value, draw, rows):
            return None
        stated[name] = value
    return stated


def _age(
    model: ItemModel,
    draw: AgeFor,
    stream: ChoiceStream,
    stated: Mapping[str, Stated],
    rows: Mapping[str, Mapping[str, object]],
) -> str:
    """An age that goes with the weight that is stated."""
    weight, unit = stated[draw.weight].working, model.givens[draw.weight].unit
    assert weight is not None and unit is not None
    in_kg = Amount(weight, unit).in_unit(KG)
    assert in_kg is not None
    row, _, column = draw.group.partition(".")
    group = AgeGroup(str(rows[row][column]) if column else draw.group)
    ages = (model.body or shipped_body()).ages_for(in_kg.value, group)
    return ages[stream.below(len(ages))]


def is_read_badly(given: GivenModel, value: Stated) -> bool:
    """Whether a level stands at a printed number, where nothing is left to read, or where two misreadings agree."""
    if not given.drawn_on or given.reads != LEVEL or value.working is None:
        return False
    of = device(given.drawn_on)
    read = [wrong for wrong, _, _ in misreadings(of, LEVEL, value.working)]
    return of.spaces > 1 and (not of.past(value.working) or len(set(read)) < len(read))


def _drawn(
    given: GivenModel,
    draw: Draw,
    stream: ChoiceStream,
    rows: Mapping[str, Mapping[str, object]],
    stated: Mapping[str, Stated],
    use: Mapping[str, Fraction],
) -> Stated | None:
    if isinstance(draw, Formula):
        factors = tuple(Factor(p.name, p.exponent, p.number) for p in draw.powers)
        env = {name: s.working for name, s in stated.items() if s.working is not None}
        value = product_value(factors, env)
        assert isinstance(value, Fraction)
        return _in_form(given, _in_working_unit(given, value), _forms(given, rows, stream))
    assert isinstance(draw, (Grid, Choices))
    place = stream.below(draw.size if isinstance(draw, Grid) else len(draw.texts))
    forms = _forms(given, rows, stream)
    return _stated_at(ByIdentity(given), ByIdentity(draw), place, forms, tuple(sorted(use.items())) if use else ())


def _draw_of(given: GivenModel, rows: Mapping[str, Mapping[str, object]]) -> Draw:
    draw = given.draw
    if not isinstance(draw, FromRow):
        return draw
    return _draw_of_cell(ByIdentity(given), ByIdentity(rows[draw.row]), draw.column)


def _forms(given: GivenModel, rows: Mapping[str, Mapping[str, object]], stream: ChoiceStream) -> tuple[str, str] | None:
    """The form in which a given is to be stated, and the first of its forms; None where it has none."""
    if given.unit is None or given.role in ("hidden", "column"):
        return None
    forms = given.forms
    if isinstance(forms, FromRow):
        forms = tuple(rows[forms.row][forms.column])  # type: ignore[arg-type]
    return (forms[stream.below(len(forms))], forms[0]) if forms else None


def _in_form(given: GivenModel, base: Stated, forms: tuple[str, str] | None) -> Stated | None:
    """A given stated in a form, or else in the first; None where neither is short."""
    if forms is None:
        return base
    chosen = forms[0] if _is_written(given, base, forms[0]) else forms[1]
    return restated(given, base, chosen) or restated(given, base, forms[1])


def _is_written(given: GivenModel, base: Stated, form: str) -> bool:
    """Whether an order writes so much in a unit."""
    if base.working is None or (given.kind, str(given.unit)) not in (("volume", "mL"), ("duration", "h")):
        return True
    least, most = LEAST_IN.get((given.kind, form)), MOST_IN.get((given.kind, form))
    return (least is None or base.working >= least) and (most is None or base.working <= most)


# A class's draws state few different values of a given.
@lru_cache(maxsize=8192)
def _stated_at(
    key: ByIdentity[GivenModel],
    drawn_from: ByIdentity[Grid | Choices],
    place: int,
    forms: tuple[str, str] | None,
    use: tuple[tuple[str, Fraction], ...],
) -> Stated | None:
    """The value at one place of a grid or a list, as it is stated."""
    given, draw = key.record, drawn_from.record
    if isinstance(draw, Choices):
        base = read_own(given, draw.texts[place], dict(use))
    elif given.kind == "clock":
        base = read_stated(given, clock_text(draw.at(place)), dict(use))
    else:
        base = _in_working_unit(given, draw.at(place))
    return _in_form(given, base, forms)


@lru_cache(maxsize=8192)
def _draw_of_cell(given: ByIdentity[GivenModel], row: ByIdentity[Mapping[str, object]], column: str) -> Draw:
    """What the chosen row says of a given, parsed once."""
    cell, of = row.record[column], given.record
    return drawn(of.name, cell if isinstance(cell, (list, dict)) else str(cell), of.unit, of.kind)


def _in_working_unit(given: GivenModel, value: Fraction) -> Stated:
    assert given.unit is not None
    return in_unit(given, value, given.unit, Fraction(1))
