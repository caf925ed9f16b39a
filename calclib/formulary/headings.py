"""What stands above the figures of a use, and who reviewed a drug, as the list and the page print it."""

from __future__ import annotations

from calclib.formulary.records import Drug, Use
from calclib.wording.facts import fact
from calclib.wording.sentences import said


def use_heading(use: Use) -> str:
    """Return the heading of a use: routes, manner, age group, indication, and what limits it.

    Args:
        use: The use.
    """
    return said(
        "formulary.use",
        routes=use.routes,
        manner=fact("formulary.manner", manner=use.manner) if use.manner is not None else "",
        group=use.group,
        indication=use.indication,
        condition=fact("formulary.condition", condition=use.condition) if use.condition else "",
        dosed_as=fact("formulary.dosed_as", what=use.dosed_as) if use.dosed_as else "",
    )


def reviewed_by(drug: Drug) -> str:
    """Return who reviewed a drug's file and when, or that nobody has, as a sentence.

    Args:
        drug: The drug.
    """
    if not drug.reviews:
        return said("formulary.not_reviewed_yet")
    return said(
        "formulary.reviewed", reviews=tuple(fact("formulary.review", by=one.by, on=one.on) for one in drug.reviews)
    )
