"""A finding in one sentence for faculty. Nothing decides by reading it."""

from __future__ import annotations

from fractions import Fraction

from calclib.formulary.findings import Finding, FindingKind
from calclib.quantity.writing import write_number

_OF = {
    FindingKind.SINGLE_DOSE: "the most that the formulary has for one dose",
    FindingKind.DAY_TOTAL: "the most that the formulary has for a day",
    FindingKind.RATE: "the fastest that the formulary has",
    FindingKind.SPEED: "the fastest that one dose may run",
    FindingKind.CONCENTRATION: "the strongest that the formulary has for this line",
    FindingKind.INJECTED_VOLUME: "the most that one injection puts into one place",
    FindingKind.FLUID: "the most fluid of a day",
    FindingKind.OWN_LIMIT: "what the order itself allows",
}
_SHORT = {
    FindingKind.INTERVAL: "sooner after the last dose than the shortest interval",
    FindingKind.TOO_SELDOM: "later after the last dose than the longest interval",
    FindingKind.INFUSION_TIME: "faster than the shortest time for one dose",
}


def finding_sentence(finding: Finding, drug: str = "", ordered: str = "") -> str:
    """Return a finding as a sentence: "morphine 70 mg is 4.7 times the most … for one dose, 15 mg."

    Args:
        finding: The finding.
        drug: The drug that the order names, "" for a plain fluid.
        ordered: The amount as it is ordered, such as 1 mg/kg, "" where it is the finding's figure.
    """
    figure = f"{ordered} ({finding.figure})" if ordered else str(finding.figure)
    what = f"{drug} {figure}".strip()
    source = "; ".join(part for part in (finding.indication, str(finding.citation)) if part)
    if finding.kind is FindingKind.WEIGHT_FOR_AGE:
        said = f"A weight of {finding.figure} does not go with the age; nearly all weigh {finding.limit} at the outside"
    elif finding.kind in _SHORT:
        said = f"{drug or 'This'} every {finding.figure} is {_SHORT[finding.kind]}, {finding.limit}"
        if finding.kind is FindingKind.INFUSION_TIME:
            said = f"{drug or 'This'} over {finding.figure} runs {_SHORT[finding.kind]}, {finding.limit}"
    elif finding.kind is FindingKind.TOO_LITTLE:
        said = f"{what} is {times(finding.factor)} less than the least that is usual, {finding.limit}"
    else:
        said = f"{what} is {times(finding.factor)} {_OF[finding.kind]}, {finding.limit}"
    weight = " for a typical adult, as the order tells no weight" if finding.typical else ""
    known = f" From memory, more is given for {finding.remembered}." if finding.remembered else ""
    return f"{said}{weight} ({source}).{known}"


def times(factor: Fraction) -> str:
    """Return “4.7 times”, never rounded down to 1."""
    tenths = max(Fraction(-((-factor * 10) // 1), 10), Fraction(11, 10))
    return f"{write_number(tenths)} times"
