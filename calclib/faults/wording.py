"""The sentences that name a mistake.

Each function takes the words of what a mistake concerns and returns a clause that can follow “It looks like”. It says
what was done, not by whom, and it holds no number from which the right answer could be worked out.
"""

from __future__ import annotations

from collections.abc import Sequence

from calclib.chains.nouns import is_plural, the, together, was

CLOCK_AS_NUMBER = "the clock times were subtracted like ordinary numbers"
DAY_NOT_TURNED = "the time was counted within one day, although midnight lies between"
HUNDRED_MINUTES = "the time was counted in hundreds, not in sixties"
DECIMAL_HOURS = "the decimal part of the hours was read as minutes"
_MISREAD = {
    ("mark misjudged", ""): "the small marks were read with the wrong value",
    ("wrong end", ""): "the scale was read from the wrong end",
    ("counted the wrong way", "past the level"): "the small marks were counted from the printed number past the level",
    ("counted the wrong way", "back"): "the small marks were counted in the wrong direction from the printed number",
    ("wrong edge", ""): "the plunger was read at the edge nearest the handle, not the edge nearest the needle",
    ("doses miscounted", "too many"): "one dose a day too many was counted",
    ("doses miscounted", "too few"): "one dose a day too few was counted",
    ("miscounted", "too many"): "one drop too many was counted",
    ("miscounted", "too few"): "one drop too few was counted",
}


def left_out(*phrases: str) -> str:
    """Return the clause on values that are missing from a calculation."""
    return f"{together(phrases)} {was(phrases[0]) if len(phrases) == 1 else 'were'} left out"


def conversion_left_out(units: tuple[str, str]) -> str:
    """Return the clause on a conversion that is missing between two units."""
    return f"the conversion between {units[0]} and {units[1]} was left out"


def conversion_inverted(units: tuple[str, str]) -> str:
    """Return the clause on a conversion between two units that was turned round."""
    return f"the conversion between {units[0]} and {units[1]} was done in the wrong direction"


def used_unconverted(phrase: str, have: str, want: str) -> str:
    """Return the clause on a value that was used in the unit of the stem as if it were in another."""
    return f"{the(phrase)} {was(phrase)} used in {have} without converting to {want}"


def hours_as_doses(phrase: str) -> str:
    """Return the clause on hours between doses that were used as the number of doses."""
    return f"the hours between doses were used as {the(phrase)}"


def answer_unconverted(have: str) -> str:
    """Return the clause on an answer that was left in the unit of the steps."""
    return f"the answer was left in {have}"


def answer_converted_wrong(have: str) -> str:
    """Return the clause on an answer that was converted in the wrong direction."""
    return f"the conversion from {have} was done in the wrong direction"


def strength_inverted(phrase: str, above: str, below: str) -> str:
    """Return the clause on a strength turned upside down: `above` over `below` is what was done."""
    return f"{the(phrase)} {was(phrase)} turned upside down ({above} over {below})"


def divided_the_wrong_way(phrase: str) -> str:
    """Return the clause on a division whose two sides were exchanged."""
    return f"the division that gives {the(phrase)} was set up the wrong way around"


def on_hand_by_ordered(phrase: str) -> str:
    """Return the clause on dividing what is on hand by what is ordered."""
    return f"to get {the(phrase)}, what is on hand was divided by what is ordered"


def inverted(phrase: str, *, divides: bool) -> str:
    """Return the clause on a value that multiplies where it divides, or the reverse."""
    done, due = ("divided", "multiplying") if divides else ("multiplied", "dividing")
    return f"the calculation {done} by {the(phrase)} instead of {due} by {'them' if is_plural(phrase) else 'it'}"


def root_forgotten(phrase: str) -> str:
    """Return the clause on a square root that was not taken."""
    return f"the square root for {the(phrase)} was not taken"


def rounded_early(phrase: str) -> str:
    """Return the clause on a value that was rounded before it was used."""
    return f"{the(phrase)} {was(phrase)} rounded too early"


def rounded_down(phrase: str) -> str:
    """Return the clause on a count that was rounded down where whole ones must be enough."""
    return f"{the(phrase)} {was(phrase)} rounded down, which is not enough"


def point_slipped(phrase: str, *, large: bool) -> str:
    """Return the clause on a decimal point that is one place off."""
    return f"the decimal point in {the(phrase)} slipped to the {'right' if large else 'left'}"


def wrong_value(phrase: str) -> str:
    """Return the clause on a value that was taken for another that it is easily mistaken for."""
    return f"different {phrase} were used" if is_plural(phrase) else f"a different {phrase} was used"


def wrong_given(phrase: str, instead: str) -> str:
    """Return the clause on another value of the problem in the place of the right one."""
    return f"{the(instead)} {was(instead)} used in place of {the(phrase)}"


def term_left_out(phrase: str, *, subtracted: bool) -> str:
    """Return the clause on a part of a sum that is missing."""
    verb = "subtracted" if subtracted else "added"
    return f"{the(phrase)} {was(phrase)} not {verb}"


def wrong_sign(phrase: str, *, added: bool) -> str:
    """Return the clause on a part of a sum that was added where it is subtracted, or the reverse."""
    done, due = ("added", "subtracted") if added else ("subtracted", "added")
    return f"{the(phrase)} {was(phrase)} {done} instead of {due}"


def signs_exchanged(phrases: Sequence[str]) -> str:
    """Return the clause on two parts of a sum whose signs were both wrong."""
    return f"adding and subtracting were mixed up for {together(phrases)}"


def last_rate_for_all(phrase: str) -> str:
    """Return the clause on the rate of the last band used for the whole value."""
    return f"the rate of the last band was used for the whole {phrase}"


def last_rate_for_rest(phrase: str) -> str:
    """Return the clause on the last rate used for the whole value, on top of the earlier bands."""
    return f"the last rate was used for the whole {phrase}, not for the rest of it"


def added(first: str, second: str) -> str:
    """Return the clause on two values that were added instead of multiplied."""
    return f"{together((first, second))} were added instead of multiplied"


def other_row(phrase: str) -> str:
    """Return the clause on a row of a table that is farther off."""
    return f"the wrong row of the table was read for {the(phrase)}"


def stopped_early(phrase: str, instead: str) -> str:
    """Return the clause on a result on the way that was given as the answer."""
    return f"{the(instead)} {was(instead)} given, but {the(phrase)} is asked"


def counted_in(phrase: str, verb: str) -> str:
    """Return the clause on a value that was calculated with although it does not belong."""
    return (
        f"the calculation {verb} {the(phrase)}, which does not belong"
        if verb.endswith(" by")
        else (f"{the(phrase)} {was(phrase)} {verb}, but does not belong")
    )


def wrong_factor(units: tuple[str, str]) -> str:
    """Return the clause on a wrong number in a conversion."""
    return f"a wrong number was used in the conversion between {units[0]} and {units[1]}"


def first_rate_for_all(phrase: str) -> str:
    """Return the clause on the rate of the first band used for the whole value."""
    return f"the rate of the first band was used for the whole {phrase}"


def last_rate_missed(phrase: str) -> str:
    """Return the clause on a band whose rate was not changed at its end."""
    return f"the rate was not changed for the last part of {the(phrase)}"


def other_band(phrase: str) -> str:
    """Return the clause on the rate of another band."""
    return f"the rate of the wrong band of {the(phrase)} was used"


def wrong_row(phrase: str, *, after: bool) -> str:
    """Return the clause on a neighboring row of a table."""
    return f"the row {'after' if after else 'before'} the right one was read for {the(phrase)}"


def limit_ignored(phrase: str, *, least: bool) -> str:
    """Return the clause on a limit that was not applied; `least` if the smaller value counts."""
    counts = "smaller" if least else "larger"
    return f"{the(phrase)} {was(phrase)} used, although the {counts} of the values applies"


def counted_backwards(*, forward: bool) -> str:
    """Return the clause on a time that was counted in the wrong direction; `forward` if forward is right."""
    return "the time was counted back instead of forward" if forward else "the time was counted forward instead of back"


def misread(kind: str, direction: str) -> str:
    """Return the clause on a device that was misread: the kind of mistake, and its direction where it has one."""
    return _MISREAD[kind, direction]


def wrong_size(phrase: str, *, larger: bool) -> str:
    """Return the clause on a size next to the right one."""
    if larger:
        return f"the size chosen is larger than needed for {the(phrase)}"
    return f"the size chosen is too small for {the(phrase)}"


def both(first: str, second: str) -> str:
    """Return the clause on two mistakes at once."""
    return f"{first}, and {second}"
