"""Which procedure belongs to which label."""

from __future__ import annotations

from collections.abc import Callable

from calclib.demo.students.figures import NotUnderstoodError
from calclib.demo.students.procedures import doses, infusions, measures, secondary, weights
from calclib.demo.students.worksheet import Worksheet

Procedure = Callable[[str, Worksheet], None]

PROCEDURES: dict[str, Procedure] = {
    "metric-to-milligrams": measures.metric_amount,
    "metric-to-grams": measures.metric_amount,
    "metric-to-micrograms": measures.metric_amount,
    "milliliters-to-liters": measures.milliliters_to_liters,
    "metric-to-liters": measures.days_intake,
    "newborn-weight-kilograms": measures.weight_in_kilograms,
    "pounds-to-kilograms": measures.weight_in_kilograms,
    "newborn-pounds-ounces": measures.pounds_and_ounces,
    "cups-to-milliliters": measures.household_volume,
    "spoonfuls-to-milliliters": measures.spoonfuls,
    "cups-and-ounces-intake": measures.intake,
    "tablets-per-dose": doses.tablets,
    "oral-liquid-volume": doses.volume_of_dose,
    "injection-volume": doses.volume_of_dose,
    "reconstituted-vial-volume": doses.mixed_powder,
    "vials-to-open": doses.vials,
    "correction-insulin": doses.correction_insulin,
    "divided-doses": weights.divided_doses,
    "newborn-dose": weights.dose_by_weight,
    "maximum-dose": weights.maximum_dose,
    "safe-dose-range": weights.safe_range,
    "body-surface-dose": weights.body_surface,
    "maintenance-fluid-rate": weights.maintenance_fluid,
    "pump-rate": infusions.pump_rate,
    "drop-rate": infusions.drop_rate,
    "drop-rate-from-hourly-rate": infusions.drop_rate_of_hourly,
    "infusion-end-time": infusions.end_time,
    "titrated-rate": infusions.titrated_rate,
    "titrated-dose-from-rate": infusions.titrated_dose,
    "units-per-hour-rate": infusions.units_rate,
    "secondary-infusion-entries": secondary.entries,
    "secondary-entries-label-volume": secondary.label_volume_entries,
    "tubing-drug-left": secondary.left_in_tubing,
    "tubing-drug-left-back-primed": secondary.left_after_back_priming,
    "tubing-rinse": secondary.left_after_rinse,
}


def procedure(label: str) -> Procedure:
    """Return how a kind of problem is worked.

    Raises:
        NotUnderstoodError: No simulated student has learned it.
    """
    if label not in PROCEDURES:
        raise NotUnderstoodError(f"no simulated student has learned “{label}”: add it to students/procedures/known.py")
    return PROCEDURES[label]
