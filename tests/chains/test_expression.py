"""The grammar in which item models write their steps."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.chains.expression import MAX_DEPTH, MAX_LENGTH, Power, parse_product, parse_sum
from calclib.errors.messages import BadInput

names = st.from_regex(r"[a-z][a-z0-9_]{0,8}(\.[a-z][a-z0-9_]{0,8})?", fullmatch=True)
products = st.lists(st.tuples(names, st.sampled_from([1, -1])), min_size=1, max_size=6)


@given(products)
def test_a_product_reads_back_as_written(factors: list[tuple[str, int]]) -> None:
    """Names joined by * and / come back in order with their exponents."""
    first, *rest = factors
    text = first[0] + "".join(f" {'*' if exponent > 0 else '/'} {name}" for name, exponent in rest)

    assert parse_product(text) == (Power(first[0], 1), *(Power(name, exponent) for name, exponent in rest))


@given(products)
def test_a_divided_bracket_turns_every_factor(factors: list[tuple[str, int]]) -> None:
    """Dividing by a bracket is dividing by each factor in it."""
    inside = " * ".join(name for name, _ in factors)

    assert parse_product(f"dose / ({inside})") == (Power("dose", 1), *(Power(name, -1) for name, _ in factors))


@given(st.lists(st.tuples(names, st.sampled_from([1, -1])), min_size=1, max_size=6))
def test_a_sum_keeps_signs(terms: list[tuple[str, int]]) -> None:
    """Each term of a sum keeps its sign."""
    text = " ".join(f"{'+' if sign > 0 else '-'} {name}" for name, sign in terms).removeprefix("+ ")

    assert [(t.powers[0].name, t.sign) for t in parse_sum(text)] == terms


def test_numbers_are_exact() -> None:
    """A decimal in an expression is the fraction that it says."""
    assert parse_product("0.1 * dose")[0] == Power("", 1, Fraction(1, 10))


HOSTILE = {
    "empty": "",
    "blank": "   ",
    "too long": "a" * (MAX_LENGTH + 1),
    "too deep": "(" * (MAX_DEPTH + 2) + "a" + ")" * (MAX_DEPTH + 2),
    "open bracket": "(a",
    "closed bracket": "a)",
    "operator at the end": "a *",
    "operator at the start": "* a",
    "two operators": "a * * b",
    "two names": "a b",
    "power": "a ** 2",
    "huge power": "9 ** 9 ** 9",
    "call": "f(a)",
    "dunder": "a.__class__",
    "code": "__import__('os').system('true')",
    "index": "a[0]",
    "string": "'a'",
    "exponent": "1e999",
    "long number": "1" * 13,
    "other alphabet": "mаss",
    "other digits": "١ * a",
    "upper case": "Dose",
    "comparison": "a < b",
    "newline code": "a\nimport os",
    "product of sums": "(a + b) * c",
    "NUL": "a\0",
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_anything_else_is_refused(text: str) -> None:
    """A text outside the grammar is refused in words, never evaluated."""
    with pytest.raises(BadInput):
        parse_sum(text)


@given(st.text(max_size=60))
def test_no_text_does_anything_but_read_or_be_refused(text: str) -> None:
    """Any text is read or refused, with no other error."""
    with suppress(BadInput):
        assert parse_sum(text)


@given(st.text(alphabet="ab1.+-*/() ", max_size=80))
def test_texts_of_the_alphabet_are_read_or_refused(text: str) -> None:
    """The same for texts that look like expressions."""
    with suppress(BadInput):
        assert parse_sum(text)


def test_a_sum_is_no_product() -> None:
    """Where a product is asked, a sum is refused and the way out is said."""
    with pytest.raises(BadInput, match="kind sum"):
        parse_product("a + b")
