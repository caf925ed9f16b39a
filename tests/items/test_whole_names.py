"""Names and words are matched whole, never as a part of others."""

from __future__ import annotations

from pathlib import Path

import pytest

from calclib.items import draw_item
from calclib.items.item import Item
from calclib.items.stated_rounding import _WHOLE_ONLY
from calclib.models.model import ItemModel
from calclib.models.reader import read_item_model
from tests.models.own_model import changed

DISTRACTOR = """
[given.NAME]
kind = "volume"
unit = "mL"
draw = ["0.25 L"]
role = "distractor"
says = "bag on hand"

[given.strength]"""


def with_distractor(name: str, folder: Path) -> Item:
    """The order of 25 mg from 50 mg/2 mL, beside a bag that nothing needs, under this name."""
    text = changed("\n[given.strength]", DISTRACTOR.replace("NAME", name)).replace(
        "{drug} {strength}.", "{drug} {strength}. Bag: {" + name + "}."
    )
    path = folder / "own.toml"
    path.write_text(text, encoding="utf-8")
    model: ItemModel = read_item_model(path.read_text("utf-8"), "own.toml")
    return draw_item(model, "seed", given={"order": "25 mg", "strength": "50 mg/2 mL", "drug": "haloperidol"})


@pytest.mark.parametrize("name", ["vol", "volum", "olume", "ord", "strengt", "drug_", "eq", "of"])
def test_the_name_of_a_distractor_changes_nothing(name: str, tmp_path: Path) -> None:
    """A value that no step needs stays outside the chain, even where its name is a part of a needed one's."""
    plain, named = with_distractor("zzz", tmp_path), with_distractor(name, tmp_path)

    assert named.part("volume").answer == plain.part("volume").answer == "1 mL"
    assert [str(f.written) for f in named.part("volume").faults] == [
        str(f.written) for f in plain.part("volume").faults
    ]
    assert named.equivalences == plain.equivalences == {}


@pytest.mark.parametrize(
    ("label", "whole"),
    [
        ("scored tablets", False),
        ("uncoated tablets", False),
        ("non-coated tablets", False),
        ("not coated", False),
        ("unscored tablets", True),
        ("non-scored tablets", True),
        ("enteric-coated tablets", True),
        ("coated tablets", True),
        ("Extended-release tablets", True),
        ("immediate-release tablets", False),
    ],
)
def test_a_label_says_by_whole_words_that_a_tablet_is_not_halved(label: str, whole: bool) -> None:
    """An uncoated tablet is none that is coated."""
    assert bool(_WHOLE_ONLY.search(label)) == whole
