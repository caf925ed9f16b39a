import json
from dataclasses import replace
from fractions import Fraction

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.answers.judging_by_keys import judge_keyed
from calclib.errors import BadInput
from calclib.items import Item, draw_item, item_from_record
from calclib.items.keys.corrected_item import corrected_item
from calclib.models import item_model, read_item_model
from calclib.models.model import ItemModel
from calclib.quantity import rounding_policy
from calclib.wording import fact, sentence

RIGHT = item_model("secondary-infusion-entries")
STRICT = replace(marking_policy("strict-exam"), another_path_costs=Fraction(1, 2))


def changed(name: str, *changes: tuple[str, str], version: int = 9) -> ItemModel:
    """A model of the bank in another version, with texts changed that it must hold."""
    model = item_model(name)
    text = model.text.replace(f"version = {model.version}\n", f"version = {version}\n", 1)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return read_item_model(text, f"{name}.toml")


WRONG = changed("secondary-infusion-entries", ('of = "total / time"', 'of = "bag / time"'), version=1)

LINE = """\
[[step]]
name = "filled"
kind = "sum"
of = "total + line"
unit = "mL"
constants = { line = "10 mL" }

[[step]]
name = "runs"
kind = "product"
of = "filled / rate"
"""
LONGER = changed(
    "secondary-infusion-entries", ('[[step]]\nname = "runs"\nkind = "product"\nof = "total / rate"\n', LINE), version=1
)


def handed_out(model: ItemModel, policy: str = "by-size", **values: str) -> Item:
    """An item as it comes back from a gradebook."""
    item = draw_item(model, "s", policy=rounding_policy(policy), given=values)
    return item_from_record(json.loads(json.dumps(item.to_record())))


def secondary(model: ItemModel = WRONG) -> Item:
    """100 mL bag and 20 mL of drug in 55 min, by the model that leaves the drug's volume out of the rate."""
    values = {"medicine.drug": "piperacillin-tazobactam", "medicine.dose": "4.5 g"}
    return handed_out(model, **values, bag="100 mL", added="20 mL", time="55 min")


def verdicts(item: Item, **answers: str) -> list[str]:
    """The verdicts of a strict policy on answers by part."""
    return [one.verdict for one in judge_item(item, answers, STRICT) if one.part in answers]


def test_the_mended_key_counts_and_so_does_the_one_handed_out() -> None:
    """120 mL in 55 min is 130.9... mL/h, so 131 mL/h; 109 mL/h, the bag's 100 mL alone, was the key that went out."""
    item = secondary()
    assert item.part("rate").answer == "109 mL/h"
    rekeyed = corrected_item(item, RIGHT, rounding_policy(), printed=True).item
    assert rekeyed.part("rate").answer == "131 mL/h"
    for text in ("131 mL/h", "109 mL/h", "130.91 mL/h", "109.09 mL/h"):
        (verdict,) = (one for one in judge_item(rekeyed, {"rate": text}, STRICT) if one.part == "rate")
        assert (verdict.right, verdict.notices) == (True, ()), text
    assert verdicts(rekeyed, rate="120 mL/h")[0].startswith("wrong")
    handed_out = fact("way.rekeyed", why=fact("way.handed_out_key", version="1"))
    assert handed_out in [way.by for way in rekeyed.part("rate").accepted]
    assert (rekeyed.model_version, rekeyed.model_hash) == (RIGHT.version, RIGHT.hash)


def test_what_the_notebook_shows_stays() -> None:
    """Stem, numbers, questions, caution; the worked solution is the mended one's, and the record gives it all back."""
    item = secondary()
    rekeyed = corrected_item(item, RIGHT, rounding_policy(), printed=True).item
    assert (rekeyed.stem, rekeyed.caution, rekeyed.drawings) == (item.stem, item.caution, item.drawings)
    assert [(given.name, given.text) for given in rekeyed.givens] == [(given.name, given.text) for given in item.givens]
    assert [part.asked for part in rekeyed.parts] == [part.asked for part in item.parts]
    assert sentence(rekeyed.worked["rate"][-1]).endswith("Answer: 131 mL/h.")
    assert item_from_record(json.loads(json.dumps(rekeyed.to_record()))) == rekeyed


def test_instead_the_key_that_was_handed_out_no_longer_counts() -> None:
    """Neither rounded nor with more digits."""
    rekeyed = corrected_item(secondary(), RIGHT, rounding_policy(), printed=False).item
    assert verdicts(rekeyed, rate="131 mL/h") == ["right"]
    for text in ("109 mL/h", "109.09 mL/h"):
        assert verdicts(rekeyed, rate=text)[0].startswith("wrong")


def test_who_rounded_the_old_key_wrongly_keeps_what_that_is_worth() -> None:
    """110 mL/h is 109.09 rounded up: a slip in rounding by the key that went out, and so it stays."""
    item = secondary()
    rekeyed = corrected_item(item, RIGHT, rounding_policy(), printed=True).item
    assert verdicts(item, rate="110 mL/h") == verdicts(rekeyed, rate="110 mL/h") == ["rounded_wrongly"]


def test_a_mended_model_and_another_policy_together() -> None:
    """By tenths 130.9 and 109.1 mL/h beside what was printed; each of the two that is no longer to count goes alone."""
    item, tenths, wholes = secondary(), rounding_policy("tenths"), rounding_policy()
    both = corrected_item(item, RIGHT, tenths, printed=True, beside=[(RIGHT, wholes), (WRONG, tenths)]).item
    rule = corrected_item(item, RIGHT, tenths, printed=False, beside=[(RIGHT, wholes)]).item
    model = corrected_item(item, RIGHT, tenths, printed=False, beside=[(WRONG, tenths)]).item
    neither = corrected_item(item, RIGHT, tenths, printed=False).item
    texts = ("130.9 mL/h", "131 mL/h", "109.1 mL/h", "109 mL/h")
    right = [[text for text in texts if verdicts(one, rate=text) == ["right"]] for one in (both, rule, model, neither)]
    assert right == [list(texts), ["130.9 mL/h", "131 mL/h"], ["130.9 mL/h", "109.1 mL/h"], ["130.9 mL/h"]]


def test_a_mistake_is_carried_forward_by_either_model() -> None:
    """From a wrong 110 mL, 110 mL in 55 min is 120 mL/h; the model that went out went on from the bag's 100 mL."""
    rekeyed = corrected_item(secondary(), RIGHT, rounding_policy(), printed=True).item

    def carried(*models: ItemModel) -> list[str]:
        """Verdicts on the rate by some models, where the volume is wrong."""
        ways = [(model, rounding_policy()) for model in models]
        every = (
            judge_keyed(rekeyed, {"volume": "110 mL", "rate": text}, STRICT, ways) for text in ("120 mL/h", "109 mL/h")
        )
        return [verdicts[1].verdict for verdicts in every]

    assert carried(RIGHT, WRONG) == carried(RIGHT) == ["carried_forward", "right"]
    # The other model that went out adds 10 mL of line: 110 mL and 10 mL at 100 mL/h is 72 min, without them 66 min.
    other = corrected_item(secondary(LONGER), RIGHT, rounding_policy(), printed=True).item
    texts = {"volume": "110 mL", "rate": "100 mL/h", "time": "72 min"}
    for models, expected in (((RIGHT, LONGER), "carried_forward"), ((RIGHT,), "wrong")):
        ways = [(model, rounding_policy()) for model in models]
        assert judge_keyed(other, texts, STRICT, ways)[2].verdict.startswith(expected)


def test_both_choices_are_right_where_the_mended_model_has_another() -> None:
    """An order below the range, of which the key that went out said above; neither is critical. Instead, one is."""
    below, above = (f"Hold it and call: {word} the range" for word in ("below", "above"))
    swapped = changed(
        "safe-dose-range", (f'below = "{below}"', 'below = "@"'), (above, below), ('"@"', f'"{above}"'), version=1
    )
    mended = changed("safe-dose-range")
    drawn = (draw_item(swapped, str(seed)) for seed in range(100))
    item = next(one for one in drawn if one.part("verdict").accepted_choice == above)
    both, one = (corrected_item(item, mended, rounding_policy(), printed=printed).item for printed in (True, False))
    assert both.part("verdict").answer == below
    assert verdicts(both, verdict=below) == verdicts(both, verdict=above) == verdicts(one, verdict=below) == ["right"]
    assert verdicts(one, verdict=above)[0].startswith("wrong")
    assert item_from_record(json.loads(json.dumps(both.to_record()))) == both


def test_either_time_is_right_each_on_its_own_day() -> None:
    """500 mL at 100 mL/h from 2300 end at 0400 the next day; the model that went out counted back to 1800."""
    back = changed("infusion-end-time", ('add = "duration"', 'subtract = "duration"'), version=1)
    item = handed_out(back, volume="500 mL", rate="100 mL/h", start="2300")
    assert item.part("end").answer == "1800"
    rekeyed = corrected_item(item, item_model("infusion-end-time"), rounding_policy(), printed=True).item
    for text in ("0400 the next day", "0400", "1800"):
        (verdict,) = judge_item(rekeyed, {"end": text}, STRICT)
        assert (verdict.verdict, verdict.score, verdict.notices) == ("right", 1, ()), text
    assert verdicts(rekeyed, end="1800 the next day") == ["wrong_with_cause"]


def test_a_set_up_is_right_by_either_model() -> None:
    """1,000 mL with 15 gtt/mL over 8 h; the model that went out took half of it, and so did who set it up that way."""
    two = 'unit = "gtt/min"\nconstants = { two = "2" }\nsays'
    half = changed(
        "setup-drop-rate", ("factor / time", "factor / time / two"), ('unit = "gtt/min"\nsays', two), version=1
    )
    mended = changed("setup-drop-rate")
    item = handed_out(half, volume="1,000 mL", time="8 h", drop_factor="15 gtt/mL")
    rekeyed = corrected_item(item, mended, rounding_policy(), printed=True).item
    whole = "1000 mL * 15 gtt/mL / 8 h * 1 h / 60 min"

    def verdict(text: str, *models: ItemModel) -> str:
        """Of a set-up, judged by some models."""
        ways = [(model, rounding_policy()) for model in models]
        return judge_keyed(rekeyed, {"setup": text}, STRICT, ways)[0].verdict

    assert [verdict(text, mended, half) for text in (whole, f"{whole} / 2")] == ["right", "right"]
    assert verdict(f"{whole} / 2", mended) != "right"
    assert verdict(f"{whole} / 3", mended, half).startswith("wrong")


def test_a_conversion_that_only_the_mended_model_needs() -> None:
    """154 lb is 70 kg by the 2.2 lb that the policy has; a flat dose went out, and the weight was a distractor."""
    text = FLAT.replace('role = "distractor"\n', "").replace('of = "dose * twice"', 'of = "dose * weight / kilogram"')
    flat = read_item_model(FLAT, "flat.toml")
    item = handed_out(flat, dose="3 mg", weight="154 lb")
    mended = read_item_model(
        text.replace("version = 1", "version = 2").replace('twice = "2"', 'kilogram = "1 kg"'), "m.toml"
    )
    rekeyed = corrected_item(item, mended, rounding_policy(), printed=True).item
    assert (item.part("amount").answer, rekeyed.part("amount").answer) == ("6 mg", "210 mg")
    assert verdicts(rekeyed, amount="210 mg") == verdicts(rekeyed, amount="6 mg") == ["right"]
    assert rekeyed.equivalences == {"lb_per_kg": "11/5"}
    assert {given.role for given in rekeyed.givens} == {"stated"}


FLAT = """\
id = "flat-or-by-weight"
version = 1
title = "A dose"
topic = "own"
skill = "own"
order = 1
sources = ["common_practice"]
stem = "Order: {dose} for each kg. The patient weighs {weight}."
constants = { twice = "2" }

[given.dose]
kind = "drug_amount"
unit = "mg"
draw = ["3 mg", "4 mg"]

[given.weight]
kind = "body_weight"
unit = "kg"
role = "distractor"
forms = ["lb"]
draw = ["70", "80"]

[[step]]
name = "amount"
kind = "product"
of = "dose * twice"
unit = "mg"

[[part]]
name = "amount"
asks = "amount"
asked = "How many mg?"
unit = "mg"
rounding = "drug_amount"
"""


def test_both_sides_of_a_boundary_that_is_near_are_right() -> None:
    """263 mL with 15 gtt/mL in 100 min is a tie by tenths, 39.45; the model that went out divided by twice the time."""
    two = 'unit = "gtt/min"\nconstants = { two = "2" }\nsays'
    half = changed("drop-rate", ("drop_factor / time", "drop_factor / time / two"), ('unit = "gtt/min"\nsays', two))
    item = handed_out(half, "tenths", volume="263 mL", time="100 min", drop_factor="15 gtt/mL")
    found = corrected_item(item, changed("drop-rate", version=10), rounding_policy("tenths"), printed=False)
    texts = ("39.5 gtt/min", "39.4 gtt/min", item.part("drops").answer)
    assert [verdicts(found.item, drops=text) for text in texts] == [["right"]] * 3
    assert "not fair by version 10 of the item model" in sentence(found.notes[0])
    assert all(text in sentence(found.notes[0]) for text in texts)


RACK = '[given.rack]\nkind = "number"\nunit = ""\ndraw = ["1", "2"]\nrole = "distractor"\n\n[[step]]\nname = "total"'
UNLIKE: dict[str, tuple[str, tuple[tuple[str, str], ...], str]] = {
    "a given less": (
        "secondary-infusion-entries",
        (("[given.added]", "[given.extra]"), ("{added}", "{extra}"), ("+ added", "+ extra")),
        "lacks the given “added”",
    ),
    "a given more": (
        "secondary-infusion-entries",
        (('[[step]]\nname = "total"', RACK), ("{bag} bag", "{bag} bag of shelf {rack}")),
        "adds the given “rack”",
    ),
    "a part less": ("secondary-infusion-entries", (('[[part]]\nname = "time"', "@"),), "lacks the part “time”"),
    "a part renamed": (
        "drop-rate",
        (('[[part]]\nname = "drops"', '[[part]]\nname = "rate"'),),
        "lacks the part “drops”",
    ),
    "another unit": (
        "drop-rate",
        (('unit = "gtt/min"\nrounding = "drop_rate"', 'unit = "gtt/h"\nrounding = "drop_rate"'),),
        "its unit was gtt/min, and now is gtt/h",
    ),
    "other choices": ("safe-dose-range", (("Give it: within", "Give: within"),), "“verdict” differently.*choices"),
    "another device": (
        "draw-up-mark",
        (('drawn_on = "syringe_10_mL"', 'drawn_on = "syringe_5_mL"'),),
        "draws the given",
    ),
}


@pytest.mark.parametrize("name", UNLIKE)
def test_a_model_that_states_or_asks_something_else_is_refused(name: str) -> None:
    """By what differs, in one sentence."""
    of, changes, said = UNLIKE[name]
    item = handed_out(item_model(of))
    text = changed(of).text
    for old, new in changes:
        assert old in text
        text = text[: text.index(old)] + text[text.index("[[table.") :] if new == "@" else text.replace(old, new)
    with pytest.raises(BadInput, match=said) as caught:
        corrected_item(item, read_item_model(text, "mended.toml"), rounding_policy(), printed=True)
    assert "\n" not in str(caught.value)


def test_a_right_volume_is_no_reason_to_lose_the_rate() -> None:
    """By the model that went out the volume is 110 mL and the rate twice as fast: 120 mL was wrong, its 262 mL/h right.

    Now 120 mL is right. 262 mL/h follows from it by the model that went out as before; 250 mL/h by neither.
    """
    fast = changed(
        "secondary-infusion-entries",
        ('kind = "sum"\nof = "bag + added"', 'kind = "sum"\nof = "bag + added - line"\nconstants = { line = "10 mL" }'),
        ('of = "total / time"', 'of = "total * two / time"\nconstants = { two = "2" }'),
        version=1,
    )
    item = secondary(fast)
    assert [part.answer for part in item.parts[:2]] == ["110 mL", "240 mL/h"]
    rekeyed = corrected_item(item, RIGHT, rounding_policy(), printed=True).item
    before, after = ([(model, rounding_policy()) for model in models] for models in ((fast,), (RIGHT, fast)))
    for rate, verdict in (("262 mL/h", "carried_forward"), ("250 mL/h", "wrong")):
        texts = {"volume": "120 mL", "rate": rate}
        assert judge_keyed(item, texts, STRICT, before)[1].verdict.startswith(verdict)
        volume, judged, _ = judge_keyed(rekeyed, texts, STRICT, after)
        assert (volume.verdict, judged.verdict.startswith(verdict)) == ("right", True), judged
