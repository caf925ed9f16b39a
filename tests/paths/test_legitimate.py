"""The legitimate ways to an answer, and that items are used only where they agree."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.items import Item, draw_item, solution_of
from calclib.models import item_model
from calclib.paths.legitimate import legitimate_paths
from calclib.quantity.policies import rounding_policies, rounding_policy
from calclib.quantity.rounding import RoundingPolicy
from calclib.wording import sentence
from tests.items.drawn import MODELS, drawn_items, model

LB = (Fraction(11, 5), Fraction(110231, 50000))
# A value keeps a twentieth of a step between itself and the point where its rounding changes.
MARGIN = Fraction(1, 20)


EXACT = "every step exact, rounded once at the end"


def paths(item: Item, policy: RoundingPolicy, variants: dict[str, tuple[Fraction, ...]]) -> tuple[str, ...]:
    """The ways to an item's answer in words."""
    solution = solution_of(item, model(item.model_id))
    steps = {s.name: s.quantity for s in solution.chain.steps}
    allowed = {n: r.rule for n, q in steps.items() if (r := policy.intermediate.get(q)) and r.when == "allowed"}
    found = legitimate_paths(solution.chain, variants=variants, allowed=allowed, from_entered=False)
    return tuple(sentence(path.way) for path in found)


def test_every_value_of_a_conversion_is_a_way() -> None:
    """Each value that counts as right for a conversion is a way of its own, the key's first."""
    item = draw_item(item_model("weight-dose-volume"), "ways", given={"weight": "62 lb"})
    plain = rounding_policy("exact")

    assert paths(item, plain, {"lb_per_kg": LB[:1]}) == (EXACT,)
    assert paths(item, plain, {"lb_per_kg": LB}) == (EXACT, "with 1 kg = 2.20462 lb")


def test_an_allowed_rounding_doubles_the_ways() -> None:
    """A rounding on the way that a policy lets pass may be done or not, with each value of a conversion."""
    item = draw_item(item_model("weight-dose-volume"), "ways", given={"weight": "62 lb"})
    allowing = [p for p in rounding_policies().values() if _allows_weight(p)]
    assert allowing
    found = paths(item, allowing[0], {"lb_per_kg": LB})

    assert len(found) == 4 and len(set(found)) == 4
    assert "body weight rounded first" in found


def _allows_weight(policy: RoundingPolicy) -> bool:
    rule = policy.intermediate.get("body_weight")
    return rule is not None and rule.when == "allowed"


@pytest.mark.parametrize("name", MODELS)
def test_an_item_that_is_used_is_fair(name: str) -> None:
    """One answer is accepted, and the exact value keeps its distance from every rounding boundary."""
    for item in drawn_items(name):
        for part in item.parts:
            if part.kind == "choice":
                assert part.accepted_choice == part.answer
                continue
            if part.kind == "setup":  # its product is not rounded
                continue
            assert part.rule is not None and part.exact is not None
            assert {(a.low, a.high) for a in part.accepted} == {(part.key, part.key)}
            assert part.rule.rounded(part.exact) == part.key
            assert part.rule.steps_from_boundary(part.exact) >= MARGIN


@pytest.mark.parametrize(("name", "other"), [("pump-tenths", "2.20462"), ("ties-to-even", "2.2046")])
def test_ways_agree_when_walked_by_hand(name: str, other: str) -> None:
    """Under a policy by which two values of a pound count, the key is reached again with the other one."""
    policy = rounding_policy(name)
    chosen = item_model("titrated-rate")
    drawn = (draw_item(chosen, f"pounds {n}", policy=policy) for n in range(40))
    item = next(item for item in drawn if "lb_per_kg" in item.equivalences)
    converted = item._replace(equivalences={**item.equivalences, "lb_per_kg": other})
    (part,) = item.parts

    value = solution_of(converted, chosen, policy).values["rate"]
    assert isinstance(value, Fraction) and part.rule is not None
    assert part.rule.rounded(value) == part.key and value != part.exact


def test_numbers_on_which_ways_disagree_are_said_to_be_unfair() -> None:
    """A teacher's numbers that stand on a tie, or on which ways disagree, are answered with the reason."""
    given = {"order": "42.5 mg", "strength": "50 mg/mL"}
    policy = rounding_policy("tenths-and-wholes")
    tie = draw_item(item_model("injection-volume"), "unfair", given=given, policy=policy)

    assert not tie.fair
    assert any("the value is exactly 0.85 mL, where the rounding changes" in sentence(why) for why in tie.why)
    assert tie.part("volume").answer == "0.9 mL"
