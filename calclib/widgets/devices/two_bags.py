"""Hanging the two bags: a labeled diagram, step by step through back-priming."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from calclib.timeline import priming_amounts, priming_steps
from calclib.widgets.asleep import Waking
from calclib.widgets.devices.scripts import script as script_of
from calclib.widgets.styles import styles
from calclib.wording import fact, said


class TwoBags(Waking, anywidget.AnyWidget):
    """The steps of hanging a secondary bag; a wrong step says what happens to the drug, and is taken back."""

    script = "two_bags"
    _esm = script_of("two_bags")
    _css = styles("devices/front_end/devices.css")
    stands = fact("asleep.two_bags")
    about = traitlets.Unicode().tag(sync=True)
    steps: traitlets.List[Any] = traitlets.List().tag(sync=True)
    step = traitlets.Int(0).tag(sync=True)
    slips = traitlets.Int(0).tag(sync=True)

    def __init__(self) -> None:
        amounts = priming_amounts()
        about = said("hanging.about", volume=amounts["volume"], drug=amounts["drug"], tubing=amounts["tubing"])
        super().__init__(about=about, steps=[_shown(one.asks, one.options) for one in priming_steps()])


def hang_two_bags() -> TwoBags:
    """The hanging of a secondary bag as a labeled diagram, from the check of the order to the first drops."""
    return TwoBags()


def _shown(asks: str, options: Any) -> dict[str, Any]:
    rows = [{"does": one.does, "right": one.right, "says": one.says, "shows": one.shows} for one in options]
    # The right one stands in another place from step to step, by the length of its question.
    turn = len(asks) % len(rows)
    return {"asks": asks, "options": rows[turn:] + rows[:turn]}
