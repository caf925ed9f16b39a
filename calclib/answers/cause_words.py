"""What a student is told of the mistakes that lead to a wrong answer: one cause, one other at most, what to do next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from calclib.answers.verdict import Cause

SLIP, TWO_MISTAKES, SET_UP = "slip of the finger", "two mistakes", "set-up"
SET_UP_AGAIN = "Set it up again, one step at a time, with the unit beside each number."
COUNT_AGAIN = "Count again, the hours first and then the minutes."
_CHECK_STEP = "Check that step and work it out again."
_CHECK_BOTH = "Check both, step by step."


def cause_sentences(causes: Sequence[Cause]) -> tuple[str, str]:
    """Return the sentence on the likeliest cause, and one on another cause, "" if there is none.

    Args:
        causes: Mistakes that lead to the answer, the likeliest first.
    """
    first = causes[0]
    if first.fault.startswith(SET_UP):
        return f"In your set-up, {first.says}.", f"Also, {causes[1].says}." if len(causes) > 1 else ""
    if first.fault == SLIP:
        return f"Look again: {first.says}.", ""
    if first.certain:
        return f"It looks like {first.says}.", ""
    if first.fault == TWO_MISTAKES:
        return f"Two things may have gone wrong: {first.says}.", ""
    return f"One possible cause: {first.says}.", _other(causes[1]) if len(causes) > 1 else ""


def _other(cause: Cause) -> str:
    if cause.fault == SLIP:
        return f"Or check your typing: {cause.says}."
    return f"Another: {cause.says}."


def next_step(causes: Sequence[Cause], kind: str) -> str:
    """Return what to do next about a wrong answer.

    Args:
        causes: Mistakes that lead to the answer, the likeliest first.
        kind: quantity or clock.
    """
    if not causes:
        return COUNT_AGAIN if kind == "clock" else SET_UP_AGAIN
    first = causes[0]
    if first.fault == TWO_MISTAKES or (len(causes) > 1 and not first.certain and not first.fault.startswith(SET_UP)):
        return _CHECK_BOTH
    return _NEXT.get(first.fault.partition(":")[0], _CHECK_STEP)


_NEXT: Mapping[str, str] = {
    kind: step
    for step, kinds in {
        "Write the unit beside each number and check that the units cancel.": (
            "conversion left out",
            "conversion inverted",
            "used unconverted",
        ),
        "Cancel the units to see which value goes on top.": (
            "strength inverted",
            "inverted",
            "divided the wrong way",
        ),
        "Go back to the set-up and put in what is missing.": ("left out", "amount left out", "volume left out"),
        "Read again what each number stands for.": ("wrong value", "wrong given"),
        "Estimate the answer first, then place the decimal point.": ("decimal slip",),
        "Write out each part of the sum again.": ("term left out", "wrong sign"),
        "Use each band's own rate, then add the results.": ("one rate for all", "first rate only"),
        "Find the right row before you calculate.": ("wrong row",),
        "Compare the values before you go on.": ("limit ignored",),
        "Ask whether that many is enough.": ("rounded down",),
        "Read the formula again, from start to end.": ("root forgotten",),
        COUNT_AGAIN: ("counted backwards", "clock as number", "wrong day", "twelve hours"),
        "Turn the decimal part of an hour into minutes before you add it.": ("decimal hours",),
        "Work out what one small mark is worth, then read again.": (
            "mark misjudged",
            "counted the wrong way",
            "wrong edge",
            "wrong end",
            "miscounted",
        ),
        "Keep the extra digits until the last step.": ("rounded early",),
        "Check what you typed.": (SLIP,),
        "Correct the set-up and work it out again.": (SET_UP,),
    }.items()
    for kind in kinds
}
