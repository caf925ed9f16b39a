"""Dosage calculation for nursing education: draw, judge and explain problems.

For learning only: the order, the label, the pharmacist and local policy decide at the bedside.
"""

__version__ = "0.2.0"
