"""Old names, for one version: configuration files and practice notebooks of before name them."""

from __future__ import annotations

import warnings
from importlib import import_module

_HOMES = {
    "Collected": "collecting",
    "HandedOut": "releasing",
    "Marked": "judging_papers",
    "StartedClass": "releasing",
    "collect": "collecting",
    "hand_out": "releasing",
    "mark": "judging_papers",
    "practice_points": "plugins",
    "practice_sets": "releasing",
    "start_class": "releasing",
    "write_exam_environment": "releasing",
    "write_release": "releasing",
    "write_sources": "releasing",
}


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    new = f"calclib.{_HOMES[name]}"
    warnings.warn(f"calclib.nbgrading.{name} is {new}.{name} now: use that name.", FutureWarning, stacklevel=2)
    return getattr(import_module(new), name)
