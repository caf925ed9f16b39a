"""Reads a typed answer with what its problem says of unclear words: the one reader of marking and of check cells."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from calclib.reading.answers import read_answer
from calclib.reading.context import Context
from calclib.reading.records import Blank, Reading, Unread
from calclib.wording.facts import fact

_TIMES_HUNDRED = re.compile(r"[xX*×]\s*100(?![0-9.,])(?!\s*%)|(?<![0-9.,])100\s*[xX*×]")
# C is Celsius, and cups where only cups can be meant.
_CELSIUS = (("degC", 1),)
_BETWEEN = "; "
PERCENT = "%"


def read_in_problem(
    text: str, asked: str, *, choices: Sequence[str], percent: bool, context: Callable[[], Context]
) -> Reading | Unread | Blank:
    """Return how a typed text is read as the answer to a question of a problem.

    Args:
        text: What was typed.
        asked: "quantity", "clock", "choice" or "setup".
        choices: The choices as they are printed, for "choice".
        percent: Whether a percent is asked.
        context: Returns what the problem says of unclear words; asked for only where the text alone has no single
            reading.
    """
    if choices:
        return read_answer(text, asked, choices={label: label for label in choices})
    reading = read_answer(text, asked)
    if isinstance(reading, Reading) and percent and reading.unit and _TIMES_HUNDRED.search(text):
        return Unread(text, fact("unread.x_100_could_make_percent_or_strength"), 0)
    unclear = isinstance(reading, Unread) or (isinstance(reading, Reading) and reading.unit == _CELSIUS)
    return read_answer(text, asked, context=context()) if unclear and asked != "clock" else reading


def written_context(context: Context) -> str:
    """Return the units and names of a context on one line, as a check cell holds them; "" for none."""
    units, names = " ".join(sorted(filter(None, context.units))), " ".join(sorted(context.names))
    return f"{units}{_BETWEEN}{names}" if names else units


def context_from(written: str, *, percent: bool) -> Context:
    """Return the context that `written_context` wrote.

    Args:
        written: Its units and names.
        percent: Whether a percent is asked.
    """
    units, _, names = written.partition(_BETWEEN)
    return Context(frozenset(units.split()), frozenset(names.split()), percent)
