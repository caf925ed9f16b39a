"""The facts that name a mistake, with the words of what each concerns; `mistake.toml` holds their clauses."""

from __future__ import annotations

from collections.abc import Sequence

from calclib.wording.facts import Fact, fact

CLOCK_AS_NUMBER = fact("mistake.clock_as_number")
DAY_NOT_TURNED = fact("mistake.day_not_turned")
HUNDRED_MINUTES = fact("mistake.hundred_minutes")
DECIMAL_HOURS = fact("mistake.decimal_hours")
_MISREAD = {
    ("mark misjudged", ""): fact("mistake.mark_misjudged"),
    ("wrong end", ""): fact("mistake.wrong_end"),
    ("counted the wrong way", "past the level"): fact("mistake.counted_past_the_level"),
    ("counted the wrong way", "back"): fact("mistake.counted_back"),
    ("wrong edge", ""): fact("mistake.wrong_edge"),
    ("doses miscounted", "too many"): fact("mistake.dose_too_many"),
    ("doses miscounted", "too few"): fact("mistake.dose_too_few"),
    ("miscounted", "too many"): fact("mistake.drop_too_many"),
    ("miscounted", "too few"): fact("mistake.drop_too_few"),
}


def left_out(*phrases: str) -> Fact:
    """Return that values are missing from a calculation."""
    return fact("mistake.left_out", phrases=phrases)


def conversion_left_out(units: tuple[str, str]) -> Fact:
    """Return that a conversion is missing between two units."""
    return fact("mistake.conversion_left_out", of=units[0], per=units[1])


def conversion_inverted(units: tuple[str, str]) -> Fact:
    """Return that a conversion between two units was turned round."""
    return fact("mistake.conversion_inverted", of=units[0], per=units[1])


def used_unconverted(phrase: str, have: str, want: str) -> Fact:
    """Return that a value was used in the unit of the stem as if it were in another."""
    return fact("mistake.used_unconverted", phrase=phrase, have=have, want=want)


def hours_as_doses(phrase: str) -> Fact:
    """Return that hours between doses were used as the number of doses."""
    return fact("mistake.hours_as_doses", phrase=phrase)


def answer_unconverted(have: str) -> Fact:
    """Return that the answer was left in the unit of the steps."""
    return fact("mistake.answer_unconverted", have=have)


def answer_converted_wrong(have: str) -> Fact:
    """Return that the answer was converted in the wrong direction."""
    return fact("mistake.answer_converted_wrong", have=have)


def strength_inverted(phrase: str, above: str, below: str) -> Fact:
    """Return that a strength was turned upside down: `above` over `below` is what was done."""
    return fact("mistake.strength_inverted", phrase=phrase, above=above, below=below)


def divided_the_wrong_way(phrase: str) -> Fact:
    """Return that the two sides of a division were exchanged."""
    return fact("mistake.divided_the_wrong_way", phrase=phrase)


def on_hand_by_ordered(phrase: str) -> Fact:
    """Return that what is on hand was divided by what is ordered."""
    return fact("mistake.on_hand_by_ordered", phrase=phrase)


def inverted(phrase: str, *, divides: bool) -> Fact:
    """Return that a value multiplies where it divides, or the reverse."""
    return fact("mistake.divided_instead" if divides else "mistake.multiplied_instead", phrase=phrase)


def root_forgotten(phrase: str) -> Fact:
    """Return that a square root was not taken."""
    return fact("mistake.root_forgotten", phrase=phrase)


def rounded_early(phrase: str) -> Fact:
    """Return that a value was rounded before it was used."""
    return fact("mistake.rounded_early", phrase=phrase)


def rounded_down(phrase: str) -> Fact:
    """Return that a count was rounded down where whole ones must be enough."""
    return fact("mistake.rounded_down", phrase=phrase)


def point_slipped(phrase: str, *, large: bool) -> Fact:
    """Return that a decimal point is one place off."""
    return fact("mistake.point_slipped_right" if large else "mistake.point_slipped_left", phrase=phrase)


def wrong_value(phrase: str) -> Fact:
    """Return that a value was taken for another that it is easily mistaken for."""
    return fact("mistake.wrong_value", phrase=phrase)


def wrong_given(phrase: str, instead: str) -> Fact:
    """Return that another value of the problem stands in the place of the right one."""
    return fact("mistake.wrong_given", phrase=phrase, instead=instead)


def term_left_out(phrase: str, *, subtracted: bool) -> Fact:
    """Return that a part of a sum is missing."""
    return fact("mistake.not_subtracted" if subtracted else "mistake.not_added", phrase=phrase)


def wrong_sign(phrase: str, *, added: bool) -> Fact:
    """Return that a part of a sum was added where it is subtracted, or the reverse."""
    return fact("mistake.added_for_subtracted" if added else "mistake.subtracted_for_added", phrase=phrase)


def signs_exchanged(phrases: Sequence[str]) -> Fact:
    """Return that the signs of two parts of a sum were both wrong."""
    return fact("mistake.signs_exchanged", phrases=tuple(phrases))


def last_rate_for_all(phrase: str) -> Fact:
    """Return that the rate of the last band was used for the whole value."""
    return fact("mistake.last_rate_for_all", phrase=phrase)


def last_rate_for_rest(phrase: str) -> Fact:
    """Return that the last rate was used for the whole value, on top of the earlier bands."""
    return fact("mistake.last_rate_for_rest", phrase=phrase)


def added(first: str, second: str) -> Fact:
    """Return that two values were added instead of multiplied."""
    return fact("mistake.added", phrases=(first, second))


def other_row(phrase: str) -> Fact:
    """Return that a row of a table farther off was read."""
    return fact("mistake.other_row", phrase=phrase)


def stopped_early(phrase: str, instead: str) -> Fact:
    """Return that a result on the way was given as the answer."""
    return fact("mistake.stopped_early", phrase=phrase, instead=instead)


def idle_added(phrase: str, *, sign: int) -> Fact:
    """Return that a value was added or subtracted although it does not belong."""
    return fact("mistake.added_idle" if sign > 0 else "mistake.subtracted_idle", phrase=phrase)


def idle_multiplied(phrase: str, *, exponent: int) -> Fact:
    """Return that was multiplied or divided by a value that does not belong."""
    return fact("mistake.multiplied_idle" if exponent > 0 else "mistake.divided_idle", phrase=phrase)


def wrong_factor(units: tuple[str, str]) -> Fact:
    """Return that a wrong number stands in a conversion."""
    return fact("mistake.wrong_factor", of=units[0], per=units[1])


def first_rate_for_all(phrase: str) -> Fact:
    """Return that the rate of the first band was used for the whole value."""
    return fact("mistake.first_rate_for_all", phrase=phrase)


def last_rate_missed(phrase: str) -> Fact:
    """Return that the rate was not changed at the end of a band."""
    return fact("mistake.last_rate_missed", phrase=phrase)


def other_band(phrase: str) -> Fact:
    """Return that the rate of another band was used."""
    return fact("mistake.other_band", phrase=phrase)


def wrong_row(phrase: str, *, after: bool) -> Fact:
    """Return that a neighboring row of a table was read."""
    return fact("mistake.row_after" if after else "mistake.row_before", phrase=phrase)


def limit_ignored(phrase: str, *, least: bool) -> Fact:
    """Return that a limit was not applied; `least` if the smaller value counts."""
    return fact("mistake.limit_not_least" if least else "mistake.limit_not_greatest", phrase=phrase)


def counted_backwards(*, forward: bool) -> Fact:
    """Return that a time was counted in the wrong direction; `forward` if forward is right."""
    return fact("mistake.counted_back_not_forward" if forward else "mistake.counted_forward_not_back")


def misread(kind: str, direction: str) -> Fact:
    """Return that a device was misread: the kind of mistake, and its direction where it has one."""
    return _MISREAD[kind, direction]


def wrong_size(phrase: str, *, larger: bool) -> Fact:
    """Return that a size next to the right one was chosen."""
    return fact("mistake.size_larger" if larger else "mistake.size_too_small", phrase=phrase)


def both(first: Fact, second: Fact) -> Fact:
    """Return two mistakes at once."""
    return fact("mistake.both", first=first, second=second)
