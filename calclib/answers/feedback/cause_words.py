"""The mistakes that lead to a wrong answer, as a student is told of them: one cause, one other, what to do next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from calclib.answers.verdict import SETUP_FAULTS, Cause
from calclib.wording.facts import Fact, fact

SLIP, TWO_MISTAKES = "slip of the finger", "two mistakes"
_SET_UP_AGAIN, _COUNT_AGAIN = fact("next_step.set_up_again"), fact("next_step.count_again")
_CHECK_STEP, _CHECK_BOTH = fact("next_step.check_step"), fact("next_step.check_both")


def cause_facts(causes: Sequence[Cause]) -> Iterator[Fact]:
    """Yield what is told of the likeliest cause, and of another one where one is worth a sentence.

    Args:
        causes: Mistakes that lead to the answer, the likeliest first.
    """
    if not causes:
        return
    first = causes[0]
    if first.fault in SETUP_FAULTS:
        yield fact("cause.in_your_setup", clause=first.what)
        if len(causes) > 1:
            yield fact("cause.in_your_setup_also", clause=causes[1].what)
    elif first.fault == SLIP:
        yield fact("cause.look_again", clause=first.what)
    elif first.certain:
        yield fact("cause.certain", clause=first.what)
    elif first.fault == TWO_MISTAKES:
        yield fact("cause.two", clause=first.what)
    else:
        yield fact("cause.possible", clause=first.what)
        if len(causes) > 1:
            slip = causes[1].fault == SLIP
            yield fact("cause.or_typing" if slip else "cause.another", clause=causes[1].what)


def next_step(causes: Sequence[Cause], kind: str) -> Fact:
    """Return what to do next about a wrong answer.

    Args:
        causes: Mistakes that lead to the answer, the likeliest first.
        kind: quantity or clock.
    """
    if not causes:
        return _COUNT_AGAIN if kind == "clock" else _SET_UP_AGAIN
    first = causes[0]
    in_setup = first.fault in SETUP_FAULTS
    if first.fault == TWO_MISTAKES or (len(causes) > 1 and not first.certain and not in_setup):
        return _CHECK_BOTH
    return fact("next_step.correct_setup") if in_setup else _NEXT.get(first.fault, _CHECK_STEP)


_NEXT: Mapping[str, Fact] = {
    kind: step
    for step, kinds in {
        fact("next_step.cancel_units"): (
            "conversion left out",
            "conversion inverted",
            "used unconverted",
        ),
        fact("next_step.which_on_top"): (
            "strength inverted",
            "inverted",
            "divided the wrong way",
        ),
        fact("next_step.put_in_missing"): ("left out", "amount left out", "volume left out"),
        fact("next_step.read_numbers"): ("wrong value", "wrong given"),
        fact("next_step.estimate"): ("decimal slip",),
        fact("next_step.write_terms"): ("term left out", "wrong sign"),
        fact("next_step.each_bands_rate"): ("one rate for all", "first rate only"),
        fact("next_step.find_row"): ("wrong row",),
        fact("next_step.compare"): ("limit ignored",),
        fact("next_step.is_it_enough"): ("rounded down",),
        fact("next_step.read_formula"): ("root forgotten",),
        _COUNT_AGAIN: ("counted backwards", "clock as number", "wrong day", "twelve hours"),
        fact("next_step.decimal_hours"): ("decimal hours",),
        fact("next_step.one_mark"): (
            "mark misjudged",
            "counted the wrong way",
            "wrong edge",
            "wrong end",
            "miscounted",
        ),
        fact("next_step.keep_digits"): ("rounded early",),
        fact("next_step.check_typing"): (SLIP,),
    }.items()
    for kind in kinds
}
