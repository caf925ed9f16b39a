"""Set-ups typed in the practice box, with the library's own judge."""

from __future__ import annotations

from typing import Any

from calclib.widgets import practice_box
from calclib.widgets.practice import PracticeBox


def opened() -> tuple[PracticeBox, dict[str, str]]:
    """A box with one problem, and its givens by name."""
    box = practice_box("drop-rate", "a set-up")
    assert box.session.item is not None
    return box, {one.name: one.text for one in box.session.item.givens}


def checked(box: PracticeBox, setup: str) -> Any:
    """What is told of a set-up at a press of Check."""
    content = {"ask": "check", "problem": box.problem["number"], "answers": {}, "setups": {"drops": setup}}
    box._handle_custom_msg(content, [])
    return box.told["parts"]["drops"].get("setup")


def test_a_typed_setup_is_shown_back_and_judged() -> None:
    """The set-up stands beside its field as mathematics, with what it shows; an empty field says nothing."""
    box, given = opened()
    assert checked(box, "  ") is None
    told = checked(box, f"{given['volume']} / {given['time']}")
    assert told["tree"][0] == "fraction"
    assert "drop factor" in " ".join(told["lines"])


def test_units_cancel_while_a_setup_is_typed() -> None:
    """What is sent while typing comes back as mathematics with the canceled units struck, and no word of judgment."""
    box, _ = opened()
    sent: list[Any] = []
    box.send = lambda content, buffers=None: sent.append(content)  # type: ignore[method-assign]
    content = {"ask": "setup", "problem": 1, "part": "drops", "text": "50 mL x 20 gtt/mL", "answers": {}}
    box._handle_custom_msg(content, [])
    assert sent[0]["part"] == "drops"
    assert str(sent[0]["tree"]).count("struck") == 2
    assert set(sent[0]) == {"told", "problem", "part", "tree"}
    assert box.told == {}
