"""The class of the tests of nbgrading, with notebooks handed in and marked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.judging_papers import mark
from tests.small_class.started import NOW, folder, hand_in, keys, made_class

__all__ = ["folder", "hand_in", "keys", "made_class", "marked"]


@pytest.fixture
def marked(folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]]) -> Path:
    """A class in which Ann has all right but for unsafe notation, Ben much wrong, and Cat handed in nothing."""
    ann, ben = keys["ann"], keys["ben"]
    volume = ann["answer_3"].replace(" ", ".0 ")
    hand_in("ann", ann | {"answer_3": volume})
    rate = ben["answer_4"].split()[0]
    hand_in("ben", {"answer_1": "1 gtt/min", "answer_2": "<script>alert(1)</script>", "answer_4": f"{rate} mL"})
    mark(folder, "week-3", now=NOW)
    return folder
