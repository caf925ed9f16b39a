"""What a class's answers say about the items and about the mistakes."""

from calclib.analysis.copies import SharedNumbers, Sheet, shared_numbers
from calclib.analysis.faults import FaultCount, NamingQuality, fault_counts, naming_quality
from calclib.analysis.item_statistics import (
    ItemStatistics,
    alpha_without_each,
    class_size_told,
    correlation,
    cronbach_alpha,
    discrimination_told,
    item_statistics,
    mean,
    median,
    standard_error_of_measurement,
    variance,
)
from calclib.analysis.sheets import sheet_of

__all__ = [
    "FaultCount",
    "ItemStatistics",
    "NamingQuality",
    "SharedNumbers",
    "Sheet",
    "alpha_without_each",
    "class_size_told",
    "correlation",
    "cronbach_alpha",
    "discrimination_told",
    "fault_counts",
    "item_statistics",
    "mean",
    "median",
    "naming_quality",
    "shared_numbers",
    "sheet_of",
    "standard_error_of_measurement",
    "variance",
]
