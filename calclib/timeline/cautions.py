"""What the model assumes, and what it can't tell: shown with every timeline."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.timeline.hanging import Hanging


@dataclass(frozen=True)
class TypicalVolume:
    """A published or practical figure, to choose a plausible number by.

    Args:
        name: Key of the figure.
        says: The figure in one sentence.
        source: Key of the source list.
        place: Place in the source.
    """

    name: str
    says: str
    source: str
    place: str


def assumptions_of(hanging: Hanging) -> tuple[str, ...]:
    """The assumptions that a timeline rests on, as sentences to print with it."""
    told: dict[str, str] = _text()["assumption"]
    keys = ["plug_flow", "well_mixed", "higher_bag", hanging.mode]
    if hanging.secondary:
        keys.insert(2, "tubing_stays_full")
    return tuple(told[key] for key in keys)


def cautions_of(hanging: Hanging) -> tuple[str, ...]:
    """The cautions that go with a timeline, as sentences to print with it."""
    told: dict[str, str] = _text()["caution"]
    keys = ["learning", "decides", hanging.mode]
    if hanging.secondary and hanging.secondary.back_primed:
        keys.append("compatible")
    return tuple(told[key] for key in keys)


def typical_volumes() -> tuple[TypicalVolume, ...]:
    """Published figures on tubing volume, overfill and unflushed drug."""
    return tuple(TypicalVolume(name=name, **row) for name, row in _text()["typical"].items())


@cache
def _text() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("calclib.timeline") / "cautions.toml").read_text(encoding="utf-8"))
