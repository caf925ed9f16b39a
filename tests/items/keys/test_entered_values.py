"""Parts that use the answer of an earlier one may go on from it as it was entered, rounded."""

from __future__ import annotations

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.items import draw_item
from calclib.models import bank, item_model

GOING_ON = sorted(model.id for model in bank().values() if any(part.from_entered for part in model.parts))
NATURAL = """
    controlled-drug-waste divided-doses fluid-bolus glucose-rate maintenance-fluid-daily nominal-and-true-dose
    secondary-infusion-entries tubing-drug-left tubing-drug-left-back-primed tubing-rinse vancomycin-by-clearance
    weight-dose-volume
""".split()


@pytest.mark.parametrize("model", NATURAL)
def test_models_whose_second_answer_is_computed_from_the_first_say_so(model: str) -> None:
    """The rounded dose is drawn up and wasted, the rounded volume is programmed."""
    assert model in GOING_ON


@pytest.mark.parametrize("model", GOING_ON)
def test_who_goes_on_from_rounded_answers_is_right(model: str) -> None:
    """Values on the way of entered answers round to the key in every draw, and all keys together are right."""
    for seed in range(4):
        item = draw_item(item_model(model), f"entered {seed}")
        assert item.fair
        for part in item.parts:
            for exact, way in part.other_exact:
                if "as entered" in way:
                    assert part.rule is not None
                    assert part.rule.rounded(exact) == part.key
        answers = {part.name: part.answer for part in item.parts}
        assert all(verdict.right for verdict in judge_item(item, answers, marking_policy("strict-exam")))
