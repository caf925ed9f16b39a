"""What is known of each drug, with its source; and an order held against it."""

from calclib.formulary.amount import Amount, amount
from calclib.formulary.catalogue import IndexedUse, drug_named, formulary, uses_by
from calclib.formulary.findings import Finding, FindingKind, order_findings, speaks_of
from calclib.formulary.limits import Bound, limits_for
from calclib.formulary.order import Order, Patient
from calclib.formulary.reader import read_drug
from calclib.formulary.records import (
    INJECTED,
    AgeGroup,
    Citation,
    Drug,
    Form,
    Kind,
    Limit,
    Line,
    Manner,
    Mixing,
    Presentation,
    Route,
    Scoring,
    Span,
    Use,
)

__all__ = [
    "INJECTED",
    "AgeGroup",
    "Amount",
    "Bound",
    "Citation",
    "Drug",
    "Finding",
    "FindingKind",
    "Form",
    "IndexedUse",
    "Kind",
    "Limit",
    "Line",
    "Manner",
    "Mixing",
    "Order",
    "Patient",
    "Presentation",
    "Route",
    "Scoring",
    "Span",
    "Use",
    "amount",
    "drug_named",
    "formulary",
    "limits_for",
    "order_findings",
    "read_drug",
    "speaks_of",
    "uses_by",
]
