"""Why a line of a worked example is written: one sentence for each kind of line."""

from __future__ import annotations

from enum import StrEnum


class LineKind(StrEnum):
    """What a line of a worked example does."""

    CONVERSION = "conversion"
    RATE = "rate"
    CONVERTED_RATE = "converted rate"
    STRENGTH = "strength"
    PRODUCT = "product"
    SUM = "sum"
    PROPORTION = "proportion"
    CROSSWISE = "crosswise"
    PER_UNIT = "per unit"
    ENOUGH = "enough"
    COUNTED_UP = "counted up"
    COMPARED = "compared"
    BAND = "band"
    LOOKED_UP = "looked up"
    ROUNDED_HERE = "rounded here"
    READ = "read"
    ROOT = "root"
    FORMULA_IN_WORDS = "formula in words"
    DESIRED_OVER_HAVE = "desired over have"
    CLOCK = "clock"
    CLOCK_ANSWER = "clock answer"
    ANSWER = "answer"
    DECIDED = "decided"
    DECISION = "decision"
    ROUNDED = "rounded"
    OTHER = "other"


_WHY = {
    LineKind.CONVERSION: "The two sides of this fraction are the same amount, so it changes the unit and nothing else. "
    "The unit that you want to lose stands once above and once below.",
    LineKind.RATE: "{unit} means {above} in each {each}. So {above} goes above the line, and {below} below it.",
    LineKind.CONVERTED_RATE: "{unit} means {above} in each {each}. So {above} goes above the line. "
    "The fraction with the same amount above and below only changes the unit.",
    LineKind.STRENGTH: "The label is a fraction. Turn it so that the unit you start from cancels and {unit} stays.",
    LineKind.PRODUCT: "Units that stand above and below cancel. What is left must be the unit that is asked for.",
    LineKind.SUM: "You can add and subtract only when the units are the same. Here the unit is “{unit}” each time.",
    LineKind.PROPORTION: "On the left is what you know, on the right what you want. "
    "The same unit stands in the same place on both sides.",
    LineKind.CROSSWISE: "Cross-multiply, then divide by the number that stands with the x.",
    LineKind.PER_UNIT: "x stands for {above} in one {below}. Write that as {unit}.",
    LineKind.BAND: "Only the part in this band counts here. Units above and below cancel, and {unit} is left.",
    LineKind.COMPARED: "Put the number beside its limits, with the same unit. Then say what follows.",
    LineKind.ENOUGH: "Pick the smallest one that is enough.",
    LineKind.COUNTED_UP: "You can only use whole ones: if you need part of one more, count one more.",
    LineKind.LOOKED_UP: "Find the row that fits, and read across. Look at where each row begins and ends.",
    LineKind.ROUNDED_HERE: "The problem says to round here, before you go on.",
    LineKind.READ: "Read it off, and write the unit.",
    LineKind.ROOT: "First work out what stands under the root sign. Then take the square root.",
    LineKind.FORMULA_IN_WORDS: "Say the formula in words before you put in numbers.",
    LineKind.DESIRED_OVER_HAVE: "D is the dose desired, which the order gives. H is the strength you have, "
    "and Q is the quantity that holds it. Both stand on the label.",
    LineKind.CLOCK: "Count the hours first, then the minutes. An hour has 60 minutes, not 100.",
    LineKind.CLOCK_ANSWER: "Write four digits, from 0000 to 2359. Then compare with your estimate.",
    LineKind.ANSWER: "Write the unit. Then compare with your estimate.",
    LineKind.DECIDED: "Compare the number with its limit. Then read the date, the allergies and the record. "
    "What you find decides.",
    LineKind.DECISION: "This is what your numbers lead to.",
    LineKind.ROUNDED: "Round once, at the very end. Write the unit. Then compare with your estimate.",
    LineKind.OTHER: "Use the result of the line above.",
}


def why_of(kind: LineKind, unit: str = "", above: str = "", below: str = "", each: str = "") -> str:
    """Return why a line is written.

    Args:
        kind: What the line does.
        unit: The unit of its result.
        above: The unit above the line of a rate.
        below: The unit below it, or several joined by “and.”
        each: The same, joined by “and each.”
    """
    return _WHY[kind].format(unit=unit, above=above, below=below, each=each)
