"""Decisions about an order: one finding at a time, an act and a reason, and both kinds of mistakes named."""

from __future__ import annotations

import pytest

from calclib.errors.messages import BadInput
from calclib.items import draw_item, item_from_record
from calclib.items.item import Item
from calclib.models import read_item_model
from calclib.models.bank import bank
from calclib.models.model import ItemModel
from calclib.plots import paper_svg
from calclib.proving.standing import standing_problems
from calclib.wording import sentence

DECISIONS = [one for one in bank().values() if any(step.kind == "decide" for step in one.steps)]
LARGEST = 25_000
ON_A_PHONE = 412  # pixels wide: on the 330 that a phone leaves, its letters of 15 pixels are still 12


@pytest.mark.parametrize("model", DECISIONS, ids=lambda model: model.id)
def test_about_half_of_the_orders_are_sound(model: ItemModel) -> None:
    """Neither giving every order nor refusing every one earns the marks, and each reason comes up."""
    drawn = [draw_item(model, f"half {number}").part("reason") for number in range(60)]
    sound = sum(part.answer == part.proceed for part in drawn)
    assert 15 <= sound <= 45
    assert {part.answer for part in drawn} == set(drawn[0].choices)


def _mistakes(item: Item, part: str) -> dict[str, str]:
    return {str(one.choice): one.fault for one in item.part(part).faults}


def test_refusing_a_sound_order_and_giving_an_unsound_one_are_mistakes_of_their_own() -> None:
    """Each act that is not the key is told by what it does with the order."""
    model = bank()["decide-split-tablet"]
    items = [draw_item(model, f"named {number}") for number in range(12)]
    sound = next(item for item in items if item.part("act").answer == "Give it as ordered")
    unsound = next(item for item in items if item.part("act").answer == "Hold it and call the pharmacy")
    assert set(_mistakes(sound, "act").values()) == {"sound order refused"}
    assert set(_mistakes(sound, "reason").values()) == {"finding imagined"}
    found = _mistakes(unsound, "act")
    assert found.pop("Give it as ordered") == "unsound order given"
    assert set(found.values()) == {"other act"}


def test_two_findings_at_once_are_not_drawn() -> None:
    """A pulse too low on a label that is past its date would have two answers: no such order is drawn."""
    model = bank()["decide-by-pulse"]
    for number in range(20):
        item = draw_item(model, f"one {number}")
        given = {one.name: one.text for one in item.givens}
        low = int(given["value"]) < int(given["limit"])
        assert not (low and item.part("reason").answer == "The medicine is past its expiration date")


def test_papers_are_recorded_small_and_told_in_words() -> None:
    """A record draws the same papers again; each is small, and its words hold all that is printed on it."""
    for model in DECISIONS[::4]:
        item = draw_item(model, "papers")
        again = item_from_record(item.to_record())
        assert again.papers == item.papers != ()
        for paper in item.papers:
            assert len(paper_svg(paper)) < LARGEST
            assert int(paper_svg(paper).split(b'"', 4)[3]) <= ON_A_PHONE
            assert all(text in paper.alt for text in paper.texts)


def test_an_act_that_nobody_knows_is_refused() -> None:
    """A finding whose act is none of those that are offered is said to be wrong."""
    text = bank()["decide-route"].text.replace('act = "prescriber"', 'act = "shrug"')
    with pytest.raises(BadInput, match="act"):
        draw_item(read_item_model(text.partition("[formulary]")[0], "own.toml"), "1")


def test_an_answer_that_hangs_on_a_text_nobody_can_see_is_refused() -> None:
    """A class that follows from the printed drug may decide; a route that no label prints may not."""
    seen, unseen = bank()["decide-allergy-class"], bank()["decide-route"]
    assert list(standing_problems(seen)) == []
    text = unseen.text.partition("[formulary]")[0].replace('"For {right} use only", ', "")
    text = text.replace('draw = "case.right"\n', 'draw = "case.right"\nrole = "hidden"\n')
    text = text.replace('right = ["IM"]', 'right = ["IV"]', 1)  # now the drug alone doesn't tell the route
    problems = [sentence(said) for _, said in standing_problems(read_item_model(text, "own.toml"))]
    assert any("an answer depends on right" in said for said in problems), problems


def test_every_act_settles_something_and_reasons_are_many() -> None:
    """Each act is the right one somewhere, and the bank has at least 25 models and ten distinct reasons."""
    rows = [row for model in DECISIONS for row in model.rows["findings"]]
    assert {row["act"] for row in rows} == {"give", "assess", "prescriber", "pharmacy", "discard"}
    assert len(DECISIONS) >= 25
    assert len({row["reason"] for row in rows}) >= 10
