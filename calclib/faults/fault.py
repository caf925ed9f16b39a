"""A fault: one definite mistake in carrying out a chain."""

from __future__ import annotations

from dataclasses import dataclass

from calclib.chains.chain import Edit


@dataclass(frozen=True)
class Fault:
    """One mistake and what it changes.

    Args:
        kind: A word of `KINDS`.
        step: The step in which it is made ("" if a given was misread).
        given: The given, equivalence or term that it concerns ("" if none).
        says: A clause that can follow “It looks like”.
        edit: The change of the chain.
        spare: Whether it is named where it fits, but is too rare to refuse a draw on which another leads to its number.
    """

    kind: str
    step: str
    given: str
    says: str
    edit: Edit
    spare: bool = False


KINDS = {
    "conversion left out": "a conversion between units is missing",
    "conversion inverted": "a conversion between units is turned upside down",
    "used unconverted": "a value was used in the unit of the stem as if it were in another",
    "strength inverted": "the strength is turned upside down",
    "amount left out": "the amount of drug in the strength is missing",
    "volume left out": "the volume in the strength is missing",
    "left out": "a given value is missing",
    "inverted": "multiplied by a value where it divides, or the reverse",
    "divided the wrong way": "the two sides of a division were exchanged",
    "wrong value": "a value was taken for another that it is easily mistaken for",
    "wrong given": "another value of the stem was used",
    "decimal slip": "the decimal point of a value is one place off",
    "term left out": "a part of a sum is missing",
    "wrong sign": "added where it is subtracted, or the reverse",
    "one rate for all": "one rate was used for the whole value",
    "first rate only": "the first rate was used for the whole value",
    "wrong row": "a neighbouring row of the table was read",
    "limit ignored": "the limit was not applied",
    "rounded down": "rounded down where whole units must be enough",
    "root forgotten": "the square root was not taken",
    "counted backwards": "the time was subtracted where it is added",
    "clock as number": "times of day were subtracted as if they were plain numbers",
    "wrong size": "a size next to the right one was chosen",
    "decimal hours": "the decimals of the hours were read as minutes",
    "mark misjudged": "a small mark of a scale was taken for more or less than it is worth",
    "counted the wrong way": "the small marks of a scale were counted in the wrong direction",
    "wrong edge": "a syringe was read at the wrong edge of the plunger's ring",
    "wrong end": "a scale was read from its wrong end",
    "miscounted": "one drop too many or too few was counted",
    "rounded early": "a result on the way was rounded",
    "diluent for final volume": "the powder was divided by the diluent as if it took up no room",
    "percent misread": "a percentage was read as mg or g in each mL",
    "day for dose": "the amount of a day was taken for one dose, or the reverse",
    "part for rest": "the part that goes was taken for the part that stays, or the reverse",
    "change for new value": "the change was taken for the new value",
    "hundred minutes": "an hour was counted as 100 minutes",
    "twelve hours": "a time of the other half of the day was written",
    "hour miscounted": "an hour too many or too few was counted, or the minutes were left out",
    "rest not taken": "the last rate was used for the whole value in the place of the rest",
    "counted in": "a value was counted in that does not belong there",
    "wrong factor": "another number was used in a conversion",
    "wrong measure": "a kitchen measure was taken for another",
    "added for multiplied": "added where it is multiplied, or subtracted where it is divided",
    "stopped early": "a result on the way was given as the answer",
    "doses miscounted": "one dose too many or too few was counted",
    "number restated": "a number of the problem was written down as the answer",
    "rounded too far": "the answer was rounded to fewer digits than asked",
    "misread number": "a digit of a given value was misread, or two were exchanged",
}
