"""What is said of each event."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from calclib.quantity import write_quantity
from calclib.timeline.contents import Contents
from calclib.timeline.hanging import Entered, Hanging
from calclib.timeline.line import Reservoir
from calclib.timeline.record import EventKind
from calclib.wording.facts import Fact, fact, of_kind
from calclib.wording.sentences import sentence

DECIMALS = 1


def event_words(
    kind: EventKind,
    hanging: Hanging,
    *,
    bags: Mapping[Reservoir, Contents],
    to_count: Fraction | None,
    primary: Entered | None,
    secondary: Entered | None,
) -> tuple[str, str]:
    """Two or three words and one sentence for an event.

    Args:
        kind: The event.
        hanging: What was hung.
        bags: What each bag holds now: volume [mL].
        to_count: What the pump still counts down [mL].
        primary: The primary rate now.
        secondary: The secondary rate now.
    """
    values: dict[str, str | Fact] = {
        "first": fact("infusion_event.secondary" if secondary else "infusion_event.primary"),
        "first_rate": _rate(secondary or primary),
        "primary_rate": _rate(primary),
        "secondary_rate": _rate(secondary),
        "resumed_rate": _resumed_rate(hanging, primary, secondary),
        "left": _ml(bags["secondary"].volume),
        "to_count": _ml(to_count or 0),
        "keep_open": f"{_ml(hanging.keep_open_rate)}/h",
        "dry": fact("infusion_event.pump_stops" if hanging.mode == "pump" else "infusion_event.flow_stops"),
        **_priming_values(hanging),
    }
    return sentence(of_kind("infusion_event_short", kind, **values)), sentence(
        of_kind("infusion_event", kind, **values)
    )


def _priming_values(hanging: Hanging) -> dict[str, str | Fact]:
    second, flush = hanging.secondary, hanging.flush
    values: dict[str, str | Fact] = {"flush": _ml(flush.volume), "flush_rate": f"{_ml(flush.rate)}/h"} if flush else {}
    if second is None:
        return values
    alone = 0 if hanging.primary else hanging.shared_tubing_volume
    return values | {
        "primed": _ml(second.tubing_volume + alone),
        "lost": fact("infusion_event.lost", volume=_ml(second.primed_out)) if second.primed_out else "",
        "back": _ml(second.back_primed),
        "into_bag": _ml(max(second.back_primed - second.tubing_volume, 0)),
        "rinse": _ml(second.rinse),
    }


def _resumed_rate(hanging: Hanging, primary: Entered | None, secondary: Entered | None) -> str | Fact:
    waits = hanging.mode == "gravity" and hanging.clamp_reset_after
    return fact("infusion_event.until_clamp_is_set", rate=_rate(secondary)) if waits else _rate(primary)


def _rate(entered: Entered | None) -> str:
    return write_quantity(entered.rate, "mL/h", DECIMALS) if entered else ""


def _ml(volume: int | Fraction) -> str:
    return write_quantity(volume, "mL", DECIMALS)
