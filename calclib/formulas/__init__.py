"""Published formulas on exact quantities, each named for what it returns and with its source."""

from calclib.formulas.body_size import (
    adjusted_body_weight,
    body_mass_index,
    body_mass_index_from_pounds,
    dosing_weight,
    ideal_body_weight_devine,
)
from calclib.formulas.body_surface import (
    body_surface_area_dubois,
    body_surface_area_haycock,
    body_surface_area_mosteller,
    body_surface_area_weight_only,
)
from calclib.formulas.burns import burn_fluid, burn_fluid_first_rate, burn_fluid_rate_rule_of_ten
from calclib.formulas.concentrations import (
    alligation,
    concentration_after_dilution,
    concentration_of_percent,
    concentration_of_ratio,
    final_volume_for_dilution,
    mass_of_milliequivalents,
    milliequivalents,
    percent_strength,
    solute_mass,
    stock_volume_for_dilution,
)
from calclib.formulas.doses import (
    amount_to_give,
    divided_dose,
    dose_count,
    dose_from_body_surface,
    dose_from_weight,
    dose_volume,
)
from calclib.formulas.infusions import (
    dose_by_weight_from_pump_rate,
    drop_rate,
    drop_rate_from_pump_rate,
    infusion_time,
    pump_rate,
    pump_rate_from_dose_by_weight,
    pump_rate_from_dose_rate,
)
from calclib.formulas.kidney import creatinine_at_least_floor, creatinine_clearance_cockcroft_gault
from calclib.formulas.maintenance_fluids import maintenance_fluid_daily, maintenance_fluid_rate
from calclib.formulas.patient_controlled import pca_hourly_morphine, pca_push_dose
from calclib.formulas.residual_volume import residual_loss, residual_share

__all__ = [
    "adjusted_body_weight",
    "alligation",
    "amount_to_give",
    "body_mass_index",
    "body_mass_index_from_pounds",
    "body_surface_area_dubois",
    "body_surface_area_haycock",
    "body_surface_area_mosteller",
    "body_surface_area_weight_only",
    "burn_fluid",
    "burn_fluid_first_rate",
    "burn_fluid_rate_rule_of_ten",
    "concentration_after_dilution",
    "concentration_of_percent",
    "concentration_of_ratio",
    "creatinine_at_least_floor",
    "creatinine_clearance_cockcroft_gault",
    "divided_dose",
    "dose_by_weight_from_pump_rate",
    "dose_count",
    "dose_from_body_surface",
    "dose_from_weight",
    "dose_volume",
    "dosing_weight",
    "drop_rate",
    "drop_rate_from_pump_rate",
    "final_volume_for_dilution",
    "ideal_body_weight_devine",
    "infusion_time",
    "maintenance_fluid_daily",
    "maintenance_fluid_rate",
    "mass_of_milliequivalents",
    "milliequivalents",
    "pca_hourly_morphine",
    "pca_push_dose",
    "percent_strength",
    "pump_rate",
    "pump_rate_from_dose_by_weight",
    "pump_rate_from_dose_rate",
    "residual_loss",
    "residual_share",
    "solute_mass",
    "stock_volume_for_dilution",
]
