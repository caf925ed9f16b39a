"""What an edit multiplies is what a new run of the chain comes to."""

from __future__ import annotations

from fractions import Fraction

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Factor, Names
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.product import Product
from calclib.chains.multiples import multiple_of, multiplied, raised
from calclib.quantity.rounding import RoundingBand, RoundingRule
from calclib.quantity.units import Unit

NONE = Unit(())
TENTHS = RoundingRule("tenths", "", (RoundingBand(None, Fraction(1, 10)),), "nearest", "half_up", "common_practice")
DONE = {"order": Fraction(30), "strength": Fraction(8), "hours": Fraction(4)}


def product(name: str, **powers: int) -> Product:
    """A product of values of the chain."""
    return Product(name, name, NONE, "", (), tuple(Factor(n, power) for n, power in powers.items()))


VOLUME = product("volume", order=1, strength=-1)
RATE = product("rate", volume=1, hours=-1)
SQUARE = product("square", rate=2)


def chain(*steps: Product | CountUp, rounded: dict[str, RoundingRule] | None = None) -> Chain:
    """A chain of these steps."""
    return Chain(steps, Names({}), rounded=rounded or {})


def test_a_value_off_by_ten_makes_each_product_off_by_its_power() -> None:
    """30/8 = 15/4, an hour's part 15/16, squared 225/256; a tenfold strength makes them 3/8, 3/32, 9/1024."""
    steps = chain(VOLUME, RATE, SQUARE)
    done = steps.evaluate(DONE)
    found = multiple_of(steps, Edit(scales={"strength": Fraction(10)}))

    assert found is not None
    assert dict(found.powers) == {"strength": 1, "volume": -1, "rate": -1, "square": -2}
    ratio = found.ratio(done)
    assert ratio == (10, 1)
    values = [multiplied(done[name], raised(ratio, found.powers[name])) for name in ("volume", "rate", "square")]  # type: ignore[arg-type]
    assert values == [Fraction(3, 8), Fraction(3, 32), Fraction(9, 1024)]


def test_a_product_turned_around_is_a_multiple_of_its_values() -> None:
    """8/30 for 30/8 multiplies by 8 x 8 / (30 x 30)."""
    steps = chain(VOLUME, RATE)
    found = multiple_of(steps, Edit(step=product("volume", order=-1, strength=1)))

    assert found is not None
    assert found.all_products
    top, bottom = found.ratio(steps.evaluate(DONE)) or (0, 1)
    assert Fraction(top, bottom) == Fraction(64, 900)


def test_what_comes_after_a_step_of_another_kind_is_left_out() -> None:
    """Whole vials are no multiple, and neither is what stands behind them."""
    vials = CountUp("vials", "vials", NONE, "", (), (Factor("volume", 1),))
    found = multiple_of(chain(VOLUME, vials, RATE), Edit(scales={"order": Fraction(10)}))

    assert found is not None
    assert dict(found.powers) == {"order": 1, "volume": 1}
    assert not found.all_products


def test_what_is_rounded_on_the_way_is_no_multiple() -> None:
    """A volume rounded before the rate does not grow with the order."""
    steps = chain(VOLUME, RATE, rounded={"volume": TENTHS})
    found = multiple_of(steps, Edit(scales={"order": Fraction(10)}))

    assert found is not None
    assert dict(found.powers) == {"order": 1}
    assert multiple_of(steps, Edit(step=product("volume", order=1))) is None


def test_a_value_that_is_not_above_zero_has_no_ratio() -> None:
    """Leaving out a factor of 0 multiplies by nothing that is known."""
    steps = chain(VOLUME)
    found = multiple_of(steps, Edit(step=product("volume", strength=-1)))

    assert found is not None
    assert found.ratio({**DONE, "order": Fraction(0)}) is None


def test_other_changes_are_no_multiple() -> None:
    """A value replaced and a result rounded are run again."""
    steps = chain(VOLUME, RATE)

    assert multiple_of(steps, Edit(values={"volume": Fraction(3)})) is None
    assert multiple_of(steps, Edit(rounding={"volume": TENTHS})) is None
