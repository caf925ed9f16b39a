"""The class of each planted mistake: read from the table beside this file."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from pathlib import Path

from calclib.demo.simulated_students import Planted

CLASSES = ("core", "mechanical", "slip", "beyond")
TABLE = Path(__file__).with_name("mistake_classes.toml")


@functools.cache
def classes() -> Mapping[str, str]:
    """Return the class of each mistake by its id.

    Raises:
        ValueError: A mistake stands in two classes.
    """
    found: dict[str, str] = {}
    for name, rows in tomllib.loads(TABLE.read_text("utf-8")).items():
        for mistake in rows:
            if mistake in found:
                raise ValueError(f"“{mistake}” stands in two classes of {TABLE.name}: keep one")
            found[mistake] = name
    return found


def class_of(planted: Planted) -> str:
    """Return the class of what was planted in a wrong answer; "double" for several mistakes at once."""
    return classes()[planted.error] if planted.single else "double"
