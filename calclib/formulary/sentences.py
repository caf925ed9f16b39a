"""A finding in one sentence for faculty. Nothing decides by reading it."""

from __future__ import annotations

from fractions import Fraction

from calclib.formulary.findings import Finding
from calclib.quantity.writing import write_number
from calclib.wording.facts import Fact, fact, of_kind
from calclib.wording.sentences import sentence


def finding_sentence(finding: Finding, drug: str = "", ordered: str = "") -> str:
    """Return a finding as a sentence: "morphine 70 mg is 4.7 times the most … for one dose, 15 mg."

    Args:
        finding: The finding.
        drug: The drug that the order names, "" for a plain fluid.
        ordered: The amount as it is ordered, such as 1 mg/kg, "" where it is the finding's figure.
    """
    amount: str | Fact = str(finding.figure)
    if ordered:
        amount = fact("finding.amount_ordered", ordered=ordered, figure=amount)
    found = of_kind(
        "finding",
        finding.kind.name.lower(),
        what=fact("finding.figure_of", drug=drug, figure=amount) if drug else amount,
        drug=drug or fact("finding.this"),
        figure=str(finding.figure),
        times=fact("finding.times", count=at_least_a_tenth_more(finding.factor)),
        limit=str(finding.limit),
    )
    source: str | Fact = str(finding.citation)
    if finding.indication:
        source = fact("finding.for_indication", indication=finding.indication, citation=source)
    told = fact("finding.typical" if finding.typical else "finding.sourced", found=found, source=source)
    if finding.remembered:
        told = fact("finding.more_for", told=told, indications=finding.remembered)
    return sentence(told)


def at_least_a_tenth_more(factor: Fraction) -> str:
    """Return a factor in tenths, rounded up and never to 1: “4.7”."""
    tenths = max(Fraction(-((-factor * 10) // 1), 10), Fraction(11, 10))
    return write_number(tenths)
