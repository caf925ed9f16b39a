"""A form that came back, turned into the ruling that it asks for: the same record that `calclib rule` makes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from calclib.class_files.names import visible
from calclib.errors import BadInput
from calclib.judging_papers import RulingRequest
from calclib.wording import fact

# What a form may say is to be done, and which of its fields that takes.
_FIELDS: Mapping[str, tuple[str, ...]] = {
    "answer": ("points",),
    "text": ("text",),
    "within": ("amount",),
    "between": ("low", "high"),
    "failing-confirmed": (),
    "failing-dismissed": (),
    "take": (),
    "leave": (),
    "hand_in-left": ("sign",),
    "hand_in-taken": ("sign",),
    "time-in_time": (),
    "time-known": ("time",),
    "credit": (),
    "void": (),
    "withdraw": ("number",),
    "marking": ("marking",),
    "rounding": ("rounding",),
}
OF_RULING = (
    "do",
    "student",
    "problem",
    "part",
    "attempt",
    *dict.fromkeys(name for names in _FIELDS.values() for name in names),
)
"""The fields of a form that say what is ruled; nothing else of it is read or shown again."""


def ruling_request(fields: Mapping[str, str], zone: dt.tzinfo, policies: Mapping[str, frozenset[str]]) -> RulingRequest:
    """Return what a form asks for; whether that can be done is checked where the ruling is made.

    Args:
        fields: What came back.
        zone: The offset in which times of the set are written.
        policies: The names of the policies that ship, by "marking" and "rounding": a form names no file.

    Raises:
        BadInput: it asks for nothing, or for something that no form offers.
    """
    does = fields.get("do", "")
    if does not in _FIELDS:
        raise BadInput(fact("errors_desk.choose"))
    kind, _, outcome = does.partition("-")
    value = {name: fields.get(name, "").strip() for name in _FIELDS[does]}
    if kind in ("failing", "hand_in"):
        value["outcome"] = outcome
    elif kind == "time":
        value["time"] = _time(value["time"], zone) if "time" in value else ""
    elif kind in policies:
        value = _policy(value[kind], policies[kind]) | ({"printed": "yes"} if kind == "rounding" else {})
    problem, attempt = fields.get("problem", ""), fields.get("attempt", "")
    if problem and not is_number(problem):
        raise BadInput(fact("errors_desk.no_number_of_a_problem", text=visible(problem)))
    if attempt and not is_number(attempt):
        raise BadInput(fact("errors_desk.no_answer"))
    return RulingRequest(
        kind,
        value,
        fields.get("reason", ""),
        int(problem) if problem else None,
        fields.get("part", ""),
        fields.get("student", ""),
        fields.get("by", ""),
        int(attempt or 0) if kind in ("answer", "failing", "take", "leave") else 0,
    )


def is_number(text: str) -> bool:
    """Return whether a text is the number of a problem or an attempt as our pages write it."""
    return text.isascii() and text.isdigit() and len(text) < 4


def _policy(name: str, known: frozenset[str]) -> dict[str, str]:
    if name not in known:
        raise BadInput(fact("errors_desk.no_policy", policy=visible(name)))
    return {"policy": name}


def _time(text: str, zone: dt.tzinfo) -> str:
    """A time as a browser writes it, in the zone of the set."""
    try:
        time = dt.datetime.fromisoformat(text)
    except ValueError:
        raise BadInput(fact("errors_desk.time", text=visible(text))) from None
    return (time if time.tzinfo else time.replace(tzinfo=zone)).isoformat()
