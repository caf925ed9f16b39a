from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calclib.reading import (
    Blank,
    CellText,
    Reading,
    SetupReading,
    Unread,
    read_answer,
    read_answer_cell,
    read_setup,
)
from calclib.reading.plain_text.characters import plain_text
from calclib.reading.quantities import read_common_quantity, read_quantity

UNITS = {
    "": (),
    "mL": (("mL", 1),),
    "mL/h": (("mL", 1), ("h", -1)),
    "ml per hour": (("mL", 1), ("h", -1)),
    "mcg/kg/min": (("mcg", 1), ("kg", -1), ("min", -1)),
    "\u00b5g/kg/min": (("mcg", 1), ("kg", -1), ("min", -1)),
    "gtts / minute": (("gtt", 1), ("min", -1)),
    "units": (("units", 1),),
    "tablets": (("tab", 1),),
    "mg/m\u00b2": (("mg", 1), ("m2", -1)),
    "%": (("%", 1),),
}
CHOICES = {"below": "Below the range", "within": "Within the range", "above": "Above the range"}
# Pieces of what students type, of what would hurt an evaluator, and of what looks like something else.
TYPED = """
0 1 2 5 10 125 1000 0130 2400 13:30 1:30 24:00 0.5 .5 5. 1,000 0,5 1.000,5 1.0 0.50 1/2 ½ ¼ ² ³ ⁻ ^ ^2 10^3
9**9 1e3 1e99999999 0x10 1_000 x X * / ÷ × · + - – − ( ) [ ] { } : :: = == ~ @ & ; , . ... ? ! " ' “ ” < > ≤ ±
# $ \\ | mL ml ML L l h hr hrs hour min m M m2 m² mg mcg µg μg ug kg g lb oz fl square meters units U u IU MU
mU mEq gtt gtts drops tab tablet(s) cap dose doses each daily hourly q8h q bid QD per a an every of and or to
the half quarter third one two three twenty hundred thousand million times once twice noon midnight am pm a.m.
sqrt √ ^0.5 **0.5 (1/2) square root then ; Step heparin amoxicillin before rounding rounded from exact pill 0700
\\frac{1}{2} \\text{mL} $5$ ~~ ## `5` **5** __
p.m. next day tomorrow +1 same later later. morning evening answer is set it give about over not mmHg D5W °C %
T C c cc MSO4 SC eval( __import__ lambda None nan inf １ ５ ｍ Ｌ ١ १ ① Ⅳ ⅐ ↉ 5⃣ e E j \u200b \u200f
\u202e \u2066 \ufeff \x00 \x1b \ud800 \udfff 😀 мL
"""
PIECES = [*TYPED.split(), "\u00a0", "\u2009", "\n", "\t"]


@st.composite
def numbers(draw: st.DrawFn) -> tuple[str, Fraction, int]:
    """A number as it may be typed, its value, and its digits after the point."""
    whole = draw(st.integers(0, 9_999_999))
    places = draw(st.integers(0, 4))
    decimals = "".join(draw(st.lists(st.sampled_from("0123456789"), min_size=places, max_size=places)))
    written = f"{whole:,}" if draw(st.booleans()) else str(whole)
    value = Fraction(int(f"{whole}{decimals}"), 10**places)
    return (f"{written}.{decimals}" if places else written), value, places


@given(numbers(), st.sampled_from(sorted(UNITS)), st.sampled_from([" ", "", "  ", "\u00a0"]), st.booleans())
def test_a_number_and_unit_that_are_written_are_read_back(
    number: tuple[str, Fraction, int], unit: str, blank: str, worded: bool
) -> None:
    """Value, decimals and unit come back exactly, whatever the spelling, the blanks and the words around."""
    written, value, decimals = number
    reading = read_answer(f"{'Set it to ' if worded else ''}{written}{blank}{unit}", "quantity")
    assert isinstance(reading, Reading)
    assert (reading.value, reading.decimals, reading.unit) == (value, decimals, UNITS[unit])


@given(st.integers(0, 500), st.integers(1, 15), st.integers(2, 16), st.sampled_from([" ", "-", " and "]))
def test_a_mixed_number_is_a_whole_and_a_fraction(whole: int, top: int, bottom: int, join: str) -> None:
    """1 1/2, 1-1/2 and 1 and 1/2 are one and a half, never a half, a product or a difference."""
    assume(top < bottom)
    reading = read_answer(f"{whole}{join}{top}/{bottom} tab", "quantity")
    assert isinstance(reading, Reading)
    assert reading.value == whole + Fraction(top, bottom)
    assert reading.decimals is None


@given(st.integers(0, 10**9), st.integers(1, 10**6), st.sampled_from(["/", " / ", "÷", " ÷ "]))
def test_a_quotient_of_numbers_is_an_exact_fraction(top: int, bottom: int, sign: str) -> None:
    """Arithmetic is exact and has no typed decimals; 21/2, which could be 2 1/2, needs blanks around its sign."""
    lost_blank = sign == "/" and bottom in (2, 3, 4, 8) and 0 < top // 10 <= 999 and 0 < top % 10 < bottom
    assume(not lost_blank)
    reading = read_answer(f"{top}{sign}{bottom} mL/h", "quantity")
    assert isinstance(reading, Reading)
    assert (reading.value, reading.decimals) == (Fraction(top, bottom), None)
    assert reading.unit == (("mL", 1), ("h", -1))


@given(st.integers(0, 23), st.integers(0, 59), st.sampled_from([None, 0, 1, 2, 5]), st.data())
def test_a_time_that_is_written_is_read_back(hour: int, minute: int, days: int | None, data: st.DataObject) -> None:
    """Every way of writing a time of day, with its day or without, gives the same minutes and days."""
    twelve = f"{(hour - 1) % 12 + 1}:{minute:02d} {'a' if hour < 12 else 'p'}"
    writings = [
        f"{hour:02d}{minute:02d}",
        f"{hour:02d}:{minute:02d}",
        f"{hour}:{minute:02d}",
        f"{hour:02d}h{minute:02d}",
    ]
    time_of_day = data.draw(st.sampled_from([*writings, f"{twelve}m", f"{twelve}.m.", f"{hour:02d}{minute:02d} hours"]))
    said = {None: [""], 0: ["same day"], 1: ["next day", "tomorrow", "(+1)"], 2: ["2 days later"], 5: ["+5 days"]}[days]
    day = data.draw(st.sampled_from(said))
    reading = read_answer(f"{time_of_day} {day}", "clock")
    assert isinstance(reading, Reading)
    assert reading.clock == (60 * hour + minute, days)


def decided(reading: Reading | Unread | Blank) -> Any:
    """What must agree between two ways of reading."""
    if isinstance(reading, Reading):
        return reading.value, reading.decimals, reading.unit, set(reading.notices), reading.shown
    return type(reading)


WORDS_BEFORE = (
    *("", " ", "= ", "x ", "a ", "give ", "I would give ", "set it at "),
    *("rate = ", "Answer: ", "mL/h = ", "seven = ", "about ~"),
)


@given(
    st.sampled_from(WORDS_BEFORE) | st.lists(st.sampled_from([*PIECES, " "]), max_size=2).map("".join),
    numbers(),
    st.sampled_from(["", " ", "  "]),
    st.lists(st.sampled_from([*PIECES, "/", " ", " "]), max_size=4).map("".join),
    st.sampled_from(["", "", " ", ".", " for one dose", " q.d.", " rounded", " and a half", " hundred"]),
)
def test_the_short_way_and_the_grammar_agree(
    before: str, number: tuple[str, Fraction, int], blank: str, unit: str, after: str
) -> None:
    """A plain number with a unit and a few words is read by a short way; the whole grammar reads it the same."""
    text = before + number[0] + blank + unit + after
    plain, _ = plain_text(text)
    short = read_common_quantity(text, plain) if len(plain) < 200 else None
    if short is not None:
        assert decided(read_quantity(text, plain)) == decided(short)


def strings(seed: int, count: int) -> Iterator[str]:
    """Texts from pieces, from random characters, and long repetitions of both."""
    chance = random.Random(seed)
    spans = (0x80, 0x250, 0x3000, 0x110000)
    for _ in range(count):
        if chance.random() < 0.15:
            length = chance.randrange(60)
            text = "".join(chr(chance.randrange(chance.choice(spans))) for _ in range(length))
        else:
            blank = chance.choice(["", " ", " "])
            text = blank.join(chance.choice(PIECES) for _ in range(chance.randrange(1, 12)))
        yield (text * 200)[: chance.choice([199, 200, 200, 300])] if chance.random() < 0.03 else text


READERS: tuple[Callable[[str], object], ...] = (
    lambda text: read_answer(text, "quantity"),
    lambda text: read_answer(text, "quantity"),
    lambda text: read_answer(text, "clock"),
    lambda text: read_answer(text, "choice", choices=CHOICES),
    read_setup,
    lambda text: read_answer_cell(f"answer_1 = {text}", "answer_1"),
    lambda text: read_answer_cell(text, "answer_1"),
)


def look_for_harm(seed: int, count: int, slowest: float) -> None:
    """Read many texts by the readers in turn: none raises or is slow, and what is shown reads as what was read."""
    kinds = (Reading, Unread, Blank, SetupReading, CellText)
    for number, text in enumerate(strings(seed, count)):
        reader = READERS[number % len(READERS)]
        began = time.perf_counter()
        found = reader(text)
        if time.perf_counter() - began > slowest:
            assert _least_time(reader, text) <= slowest, ascii(text)
        assert isinstance(found, kinds), ascii(text)
        if isinstance(found, Unread):
            assert 0 <= found.position <= len(found.text), ascii(text)
            assert found.reason, ascii(text)
        if isinstance(found, Reading) and found.value is not None and found.shown != text:
            again = read_answer(found.shown, "quantity")
            assert isinstance(again, Reading), (ascii(text), found.shown)
            assert (again.value, dict(again.unit)) == (found.value, dict(found.unit)), (ascii(text), found.shown)


def _least_time(reader: Callable[[str], object], text: str) -> float:
    """The shortest of several tries, so that a busy machine isn't taken for a slow reader."""
    times = []
    for _ in range(20):
        began = time.perf_counter()
        reader(text)
        times.append(time.perf_counter() - began)
    return min(times)


def test_some_thousand_texts_do_no_harm() -> None:
    """No text raises or takes longer than 5 ms, and what is shown reads as what was read."""
    look_for_harm(seed=20_240_817, count=8_000, slowest=0.005)


@pytest.mark.full
def test_a_million_texts_do_no_harm() -> None:
    """The same law over a million texts."""
    look_for_harm(seed=1, count=1_000_000, slowest=0.005)


@pytest.mark.parametrize(
    "text",
    [
        "9**9**9", "10^10^10", "1e9999999", "(" * 200, ")" * 200, "((((((((1))))))))" * 9, "1+" * 100, "1x" * 100,
        "1/" * 100, "-" * 200, "½" * 200, "1 000 " * 33, "1,000," * 33, "9" * 200, "1." * 100, "mL/" * 66, "1 h " * 50,
        "one and " * 25, "per " * 50, "a." * 100, "x " * 100, "= " * 100, "'" * 200, "m" * 200, "\u202e" * 200,
        "\ud800" * 200, "²" * 200,
    ],
)  # fmt: skip
def test_texts_made_to_be_slow_are_not(text: str) -> None:
    """Repetition, nesting and powers cost at most 5 ms with every reader."""
    for reader in READERS:
        assert _least_time(reader, text) <= 0.005


@given(st.text(max_size=210))
def test_any_text_gets_a_reading_a_reason_or_a_blank(text: str) -> None:
    """No text raises, whatever is asked; the text is kept as typed."""
    for asked in ("quantity", "clock", "choice"):
        reading = read_answer(text, asked, choices=CHOICES)
        assert reading.text == text
    assert read_setup(text).text == text
