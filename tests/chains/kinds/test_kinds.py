"""Every kind of step has all that a kind brings along."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from typing import Any

import pytest

from calclib.chains import kinds
from calclib.chains.hints import setup_lines
from calclib.chains.kinds.decimal_hours import DecimalHours
from calclib.chains.kinds.wrong_band import WholeForRest
from calclib.chains.kinds.wrong_time import WrongTime
from calclib.chains.measured import measured
from calclib.chains.step import Step
from calclib.chains.symbolic import symbolic
from calclib.chains.worked_steps import step_lines

CONCERNS: dict[str, Any] = {  # functions that choose by the kind of step
    "worked lines": step_lines,
    "hints": setup_lines,
    "sympy": symbolic,
    "pint": measured,
}


def concrete_kinds(of: type[Step] = Step) -> Iterator[type[Step]]:
    """All step classes that can be made."""
    for module in pkgutil.iter_modules(kinds.__path__):
        importlib.import_module(f"{kinds.__name__}.{module.name}")
    for kind in of.__subclasses__():
        if not getattr(kind, "__abstractmethods__", None):
            yield kind
        yield from concrete_kinds(kind)


# A step of a mistake stands in no chain that is shown.
MISTAKES = (DecimalHours, WholeForRest, WrongTime)
KINDS = {kind.__name__: kind for kind in concrete_kinds() if kind not in MISTAKES}


@pytest.mark.parametrize("concern", CONCERNS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_is_shown_hinted_and_translated(kind: str, concern: str) -> None:
    """No kind of step lacks its display, hints, sympy or pint: a model that uses it would fail where it is needed."""
    dispatch = CONCERNS[concern]

    assert dispatch.dispatch(KINDS[kind]) is not dispatch.dispatch(object)
