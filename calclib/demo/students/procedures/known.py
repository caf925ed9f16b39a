"""Which procedure belongs to which label."""

from __future__ import annotations

from collections.abc import Callable

from calclib.demo.students.figures import NotUnderstoodError
from calclib.demo.students.procedures import (
    doses,
    infusions,
    measures,
    mixtures,
    rates,
    secondary,
    temperatures,
    weights,
)
from calclib.demo.students.worksheet import Worksheet

Procedure = Callable[[str, Worksheet], None]

PROCEDURES: dict[str, Procedure] = {
    "celsius-to-fahrenheit": temperatures.to_fahrenheit,
    "fahrenheit-to-celsius": temperatures.to_celsius,
    "metric-to-milligrams": measures.metric_amount,
    "metric-to-grams": measures.metric_amount,
    "metric-to-micrograms": measures.metric_amount,
    "milliliters-to-liters": measures.milliliters_to_liters,
    "metric-to-liters": measures.days_intake,
    "newborn-weight-kilograms": measures.weight_in_kilograms,
    "pounds-to-kilograms": measures.weight_in_kilograms,
    "newborn-pounds-ounces": measures.pounds_and_ounces,
    "cups-to-milliliters": measures.household_volume,
    "teaspoons-to-milliliters": measures.spoonfuls,
    "tablespoons-to-milliliters": measures.spoonfuls,
    "cups-and-ounces-intake": measures.intake,
    "tablets-per-dose": doses.tablets,
    "capsules-per-dose": doses.capsules,
    "oral-liquid-milliequivalents": doses.volume_of_dose,
    "injection-units-volume": doses.volume_of_dose,
    "controlled-drug-waste": mixtures.waste,
    "label-weight-volume": weights.label_volume,
    "oral-liquid-volume": doses.volume_of_dose,
    "injection-volume": doses.volume_of_dose,
    "reconstituted-vial-volume": doses.mixed_powder,
    "vials-to-open": doses.vials,
    "correction-insulin": doses.correction_insulin,
    "divided-doses": weights.divided_doses,
    "newborn-dose": weights.dose_by_weight,
    "weight-dose-volume": weights.dose_by_weight,
    "weight-dose-units": weights.dose_by_weight,
    "body-mass-index": weights.body_mass_index,
    "maximum-dose": weights.maximum_dose,
    "safe-dose-range": weights.safe_range,
    "body-surface-dose": weights.body_surface,
    "maintenance-fluid-rate": weights.maintenance_fluid,
    "maintenance-fluid-daily": weights.maintenance_fluid_of_a_day,
    "maintenance-fluid-who": weights.maintenance_fluid_of_a_day,
    "fluid-bolus": rates.fluid_bolus,
    "formula-strength": mixtures.feeding,
    "percent-strength-grams": mixtures.grams_in_volume,
    "percent-strength-volume": mixtures.volume_of_percent,
    "ratio-strength": mixtures.volume_of_ratio,
    "dilution-strength": mixtures.strength_after_dilution,
    "mixing-two-strengths": mixtures.two_strengths,
    "dilute-to-percent": mixtures.dilute_to_percent,
    "powder-displacement": mixtures.powder_volume,
    "bag-concentration": mixtures.bag_concentrations,
    "pump-rate": infusions.pump_rate,
    "drop-rate": infusions.drop_rate,
    "drop-rate-from-hourly-rate": infusions.drop_rate_of_hourly,
    "infusion-end-time": infusions.end_time,
    "titrated-rate": infusions.titrated_rate,
    "titrated-dose-from-rate": infusions.titrated_dose,
    "minute-dose-rate": rates.minute_dose_rate,
    "weight-rate-per-hour": rates.weight_rate_per_hour,
    "label-chart-rate": rates.chart_rate,
    "loading-and-infusion-total": rates.loading_and_infusion,
    "analgesia-bolus": rates.analgesia_bolus,
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
