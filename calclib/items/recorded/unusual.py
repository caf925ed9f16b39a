"""In what a teacher's own numbers go beyond the formulary, kept with the item so that nobody looks it up again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.formulary.amount import Amount
from calclib.formulary.findings import Finding, FindingKind
from calclib.formulary.order import Order
from calclib.formulary.records import Citation
from calclib.formulary.sentences import finding_sentence
from calclib.items.orders import Beyond
from calclib.quantity.units import parse_unit

_ORDERED = {
    FindingKind.SINGLE_DOSE: "dose",
    FindingKind.DAY_TOTAL: "day",
    FindingKind.RATE: "rate",
}


@dataclass(frozen=True)
class Unusual:
    """One thing in which an order goes beyond a sourced limit.

    Args:
        drug: The drug, "" for a plain fluid.
        ordered: The amount as it is ordered, such as 1 mg/kg, where that is another than the finding's figure.
        finding: The finding; `finding.decides` always holds.
    """

    drug: str
    ordered: str
    finding: Finding

    @property
    def says(self) -> str:
        """The finding as a sentence for faculty."""
        return finding_sentence(self.finding, self.drug, self.ordered)

    def to_record(self) -> dict[str, Any]:
        """Return it as values that JSON can hold."""
        of = self.finding
        return {
            "kind": str(of.kind),
            "drug": self.drug,
            "ordered": self.ordered,
            "figure": _record(of.figure),
            "limit": _record(of.limit),
            "times": str(of.factor),
            "source": [of.citation.key, of.citation.place],
            "indication": of.indication,
            "typical": of.typical,
        }


def unusual_of(found: Iterable[Beyond]) -> tuple[Unusual, ...]:
    """Return what of the findings is unusual: nothing is by a figure from memory alone."""
    return tuple(
        Unusual(one.order.drug, _ordered(one.order, one.finding), one.finding) for one in found if one.finding.decides
    )


def unusual_from_record(record: Mapping[str, Any]) -> Unusual:
    """Return what `Unusual.to_record` recorded.

    Raises:
        KeyError, ValueError: The record is damaged.
    """
    finding = Finding(
        FindingKind(record["kind"]),
        _amount(record["figure"]),
        _amount(record["limit"]),
        Fraction(record["times"]),
        Citation(*record["source"]),
        record["indication"],
        record["typical"],
    )
    return Unusual(record["drug"], record["ordered"], finding)


def _ordered(order: Order, finding: Finding) -> str:
    """The amount in the order's own words, "" where it is the figure itself."""
    of = getattr(order, _ORDERED.get(finding.kind, ""), None)
    return "" if of is None or of.unit == finding.figure.unit else str(of)


def _record(of: Amount) -> list[str]:
    return [str(of.value), str(of.unit)]


def _amount(record: list[str]) -> Amount:
    return Amount(Fraction(record[0]), parse_unit(record[1]))
