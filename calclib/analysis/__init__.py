"""What a class's answers say about the items and about the mistakes."""

from calclib.analysis.faults import FaultCount, NamingQuality, fault_counts, naming_quality
from calclib.analysis.item_statistics import (
    ItemStatistics,
    alpha_without_each,
    class_size_in_words,
    correlation,
    cronbach_alpha,
    discrimination_in_words,
    item_statistics,
    mean,
    median,
    standard_error_of_measurement,
    variance,
)

__all__ = [
    "FaultCount",
    "ItemStatistics",
    "NamingQuality",
    "alpha_without_each",
    "class_size_in_words",
    "correlation",
    "cronbach_alpha",
    "discrimination_in_words",
    "fault_counts",
    "item_statistics",
    "mean",
    "median",
    "naming_quality",
    "standard_error_of_measurement",
    "variance",
]
