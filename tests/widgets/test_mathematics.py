"""A set-up's LaTeX as a tree for the page."""

from __future__ import annotations

import pytest

from calclib.widgets.mathematics import mathematics_tree


@pytest.mark.parametrize(
    ("latex", "expected"),
    [
        ("125", ["number", "125"]),
        ("1{,}000", ["number", "1,000"]),
        (r"5\ \text{mL}", ["row", ["number", "5"], ["text", "\u00a0"], ["text", "mL"]]),
        (r"\cancel{\text{mL}}", ["struck", ["text", "mL"]]),
        (r"\frac{1}{8}", ["fraction", ["number", "1"], ["number", "8"]]),
        (r"\sqrt{2.5}", ["root", ["number", "2.5"]]),
        (r"\text{m}^{2}", ["power", ["text", "m"], ["number", "2"]]),
        (r"\text{50\%}", ["text", "50%"]),
        (r"2 \times 3", ["row", ["number", "2"], ["sign", "\u00d7"], ["number", "3"]]),
        (
            r"\left(2 - 1\right)",
            ["row", ["sign", "("], ["number", "2"], ["sign", "\u2212"], ["number", "1"], ["sign", ")"]],
        ),
        ("", ["row"]),
        (r"\frac{1}", ["fraction", ["number", "1"], ["row"]]),
    ],
)
def test_each_form_has_its_tree(latex: str, expected: list[object]) -> None:
    """Numbers stay whole, words keep their letters, and a formula cut short is shown as far as it goes."""
    tree = mathematics_tree(latex)
    assert tree == expected
