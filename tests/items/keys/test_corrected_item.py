import json
from dataclasses import replace
from fractions import Fraction

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.answers.carrying import carried_from
from calclib.answers.judging_by_keys import judge_keyed
from calclib.errors import BadInput
from calclib.items import Item, draw_item, item_from_record
from calclib.items.keys.corrected_item import corrected_item
from calclib.models import bank, item_model
from calclib.quantity import RoundingPolicy, rounding_policy
from calclib.quantity.writing import write_number, write_quantity
from calclib.wording import fact, sentence
from tests.items.drawn import A_FIFTH


def recorded(item: Item) -> Item:
    """The item as it comes back from a gradebook."""
    return item_from_record(json.loads(json.dumps(item.to_record())))


def given(model: str, policy: str = "by-size", **values: str) -> Item:
    """An item with a teacher's own numbers, recorded."""
    return recorded(draw_item(item_model(model), "s", policy=rounding_policy(policy), given=values))


def right(item: Item, *texts: str) -> list[str]:
    """The verdicts on several answers to an item's only part."""
    (part,) = item.parts
    return [judge_item(item, {part.name: text}, marking_policy("homework"))[0].verdict for text in texts]


@pytest.mark.parametrize("name", A_FIFTH)
def test_corrected_item_by_its_own_policy_an_item_is_what_it_was(name: str) -> None:
    """From the record alone: stem, givens, keys, accepted answers, faults and worked solution."""
    item = draw_item(item_model(name), "1")
    found = corrected_item(recorded(item), item_model(name), rounding_policy(), printed=False)
    assert (found.item, found.notes) == (item, ())


def test_what_was_printed_stays_right_beside_the_new_key() -> None:
    """250 mL in 90 min with 10 gtt/mL is 27.7... gtt/min: 28 as printed, 27.8 by tenths; the stem stays."""
    item = given("drop-rate", volume="250 mL", time="90 min", drop_factor="10 gtt/mL")
    rekeyed = corrected_item(item, item_model("drop-rate"), rounding_policy("tenths"), printed=True).item
    assert right(item, "28 gtt/min", "27.8 gtt/min") == ["right", "right_before_rounding"]
    assert right(rekeyed, "28 gtt/min", "27.8 gtt/min") == ["right", "right"]
    assert "right" not in right(rekeyed, "27 gtt/min", "27.7 gtt/min", "29 gtt/min")
    (part,) = rekeyed.parts
    assert (part.answer, part.key, rekeyed.stem, rekeyed.givens) == (
        "27.8 gtt/min",
        Fraction(139, 5),
        item.stem,
        item.givens,
    )
    printed = fact("way.printed_rule", rule="Round to the nearest whole gtt/min.")
    assert part.accepted[-1].by == fact("way.rekeyed", why=printed)
    assert sentence(rekeyed.worked["drops"][-1]).endswith("Answer: 27.8 gtt/min.")
    assert recorded(rekeyed) == rekeyed


def test_neither_the_printed_rule_nor_a_way_that_parts_costs_anything() -> None:
    """Also by a marking policy that takes something off for another path than the key's."""
    costly = replace(marking_policy("strict-exam"), another_path_costs=Fraction(1, 2))
    item = given("drop-rate", volume="250 mL", time="90 min", drop_factor="10 gtt/mL")
    rekeyed = corrected_item(item, item_model("drop-rate"), rounding_policy("tenths"), printed=True).item
    (verdict,) = judge_item(rekeyed, {"drops": "28 gtt/min"}, costly)
    assert (verdict.verdict, verdict.score, verdict.notices) == ("right", 1, ())


def test_instead_the_printed_rule_no_longer_counts() -> None:
    """The same numbers: 28 is now rounded to fewer digits than asked."""
    item = given("drop-rate", volume="250 mL", time="90 min", drop_factor="10 gtt/mL")
    rekeyed = corrected_item(item, item_model("drop-rate"), rounding_policy("tenths"), printed=False).item
    assert right(rekeyed, "28 gtt/min", "27.8 gtt/min") == ["rounded_wrongly", "right"]


def test_where_ways_part_all_of_them_and_the_old_answer_are_right() -> None:
    """The doubt is the student's gain, also where the printed rule no longer counts; and the note says so."""
    model = item_model("dexmedetomidine-load")
    drawn = [recorded(draw_item(model, str(seed))) for seed in range(20)]
    found = [corrected_item(item, model, rounding_policy("hundredths"), printed=False) for item in drawn]
    before, one = next(
        two for two in zip(drawn, found, strict=True) if "leads to" in " ".join(map(sentence, two[1].notes))
    )
    assert not one.item.fair
    for part in one.item.parts:
        ways = {write_quantity(way.low, part.unit) for way in part.accepted}
        note = next((sentence(note) for note in one.notes if note.field("asked") == part.asked), "")
        assert (len(ways) > 1) == bool(note)
        assert not note or before.part(part.name).answer in ways
        for way in ways:
            answers = {other.name: other.answer for other in one.item.parts} | {part.name: way}
            verdicts = judge_item(one.item, answers, marking_policy("homework"))
            assert {verdict.verdict for verdict in verdicts} == {"right"}
            assert not note or way in note


def test_both_sides_of_a_boundary_that_is_near_are_right() -> None:
    """39.45 gtt/min is a tie: 39.5 by the rule, and 39.4 for whom a calculator's last digit was a little less."""
    model = item_model("drop-rate")
    item = given("drop-rate", volume="263 mL", time="100 min", drop_factor="15 gtt/mL")
    found = corrected_item(item, model, rounding_policy("tenths"), printed=False)
    assert right(found.item, "39.5 gtt/min", "39.4 gtt/min") == ["right", "right"]
    assert "39.5 gtt/min" in sentence(found.notes[0]) and "39.4 gtt/min" in sentence(found.notes[0])
    assert right(found.item, "39.3 gtt/min", "39.6 gtt/min") == ["wrong_with_cause"] * 2


def test_a_mistake_is_carried_forward_by_either_rule() -> None:
    """From a wrong amount on, a volume by the printed tenths counts as much as one by the new hundredths."""
    model = item_model("weight-dose-volume")
    item = recorded(draw_item(model, "1", policy=rounding_policy("tenths-and-wholes")))
    rekeyed = corrected_item(item, model, rounding_policy("hundredths"), printed=True).item
    amount, volume = (part.name for part in item.parts)
    keyed = [carried_from(item, model, rounding_policy(name)) for name in ("tenths-and-wholes", "hundredths")]
    for times in range(2, 40):
        wrong = Fraction(7 * times, 100)
        tenths, hundredths = (one and one(volume, {amount: wrong}) for one in keyed)
        assert tenths and hundredths
        if tenths.key != hundredths.key:
            break
    texts = {amount: f"{write_number(wrong)} {item.part(amount).unit}", volume: tenths.answer}

    def verdict(*policies: RoundingPolicy) -> str:
        """Of the volume, judged by some policies."""
        ways = [(model, policy) for policy in policies]
        return judge_keyed(rekeyed, texts, marking_policy("homework"), ways)[1].verdict

    assert verdict(rounding_policy("hundredths"), rounding_policy("tenths-and-wholes")) == "carried_forward"
    assert verdict(rounding_policy("hundredths")) != "carried_forward"


def test_a_value_without_end_keeps_its_key_where_nothing_is_rounded() -> None:
    """A body surface is irrational: the policy that rounds nothing can't key it."""
    model = next(m for m in bank().values() if any(step.kind == "root" for step in m.steps))
    item = recorded(draw_item(model, "1"))
    found = corrected_item(item, model, rounding_policy("exact"), printed=False)
    assert found.item == item
    assert sentence(found.notes[0]).endswith("the old key stays.")


def test_another_model_is_refused() -> None:
    """By its id, which a mended version keeps."""
    item = recorded(draw_item(item_model("drop-rate"), "1"))
    with pytest.raises(BadInput, match="drawn from “drop-rate”"):
        corrected_item(item, item_model("infusion-end-time"), rounding_policy("tenths"), printed=True)
