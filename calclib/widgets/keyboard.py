"""Controls of ours in a notebook: named for screen readers, deaf to the notebook's shortcuts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import anywidget
import ipywidgets

from calclib.widgets.asleep import Waking
from calclib.wording import fact

ROOT_CLASS = "calclib-controls"


class KeyGuard(anywidget.AnyWidget):
    """An invisible widget that keeps keys pressed in a group of controls from the notebook's shortcuts."""

    _esm = Path(__file__).parent / "keyboard.js"


class GuardedBox(Waking, ipywidgets.VBox):  # type: ignore[misc]
    """Controls in one column."""

    stands = fact("asleep.sliders")


def guarded_box(children: Sequence[ipywidgets.Widget]) -> GuardedBox:
    """Controls in one column, with the guard among them."""
    box = GuardedBox([*children, KeyGuard()])
    box.add_class(ROOT_CLASS)
    return box
