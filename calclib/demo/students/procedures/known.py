"""Which procedure belongs to which label."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from calclib.demo.students.figures import NotUnderstoodError
from calclib.demo.students.procedures import doses, infusions, secondary, weights
from calclib.demo.students.worksheet import Worksheet

Procedure = Callable[[str, Worksheet], None]

PROCEDURES: Mapping[str, Procedure] = {
    "tablets-per-dose": doses.tablets,
    "oral-liquid-volume": doses.volume_of_dose,
    "reconstituted-vial-volume": doses.mixed_powder,
    "divided-doses": weights.divided_doses,
    "safe-dose-range": weights.safe_range,
    "pump-rate": infusions.pump_rate,
    "drop-rate": infusions.drop_rate,
    "infusion-end-time": infusions.end_time,
    "titrated-rate": infusions.titrated_rate,
    "secondary-infusion-entries": secondary.entries,
}
"""How the problems of the demo are worked."""

# Those of the example class's own item models, which the bank doesn't hold.
_OF_THE_EXAMPLE: Mapping[str, Procedure] = {"feeding-pump-rate": infusions.pump_rate}
_LEARNED = {**PROCEDURES, **_OF_THE_EXAMPLE}


def learn(procedures: Mapping[str, Procedure]) -> None:
    """Teach the simulated students further kinds of problem, as those do who measure the whole bank.

    Args:
        procedures: How each is worked, by its label.
    """
    _LEARNED.update(procedures)


def procedure(label: str) -> Procedure:
    """Return how a kind of problem is worked.

    Raises:
        NotUnderstoodError: No simulated student has learned it.
    """
    if label not in _LEARNED:
        raise NotUnderstoodError(f"no simulated student has learned “{label}”: add it to tests/oracle/known.py")
    return _LEARNED[label]
