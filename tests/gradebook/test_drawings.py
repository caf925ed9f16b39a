"""What a student is to read from a drawing is in the notebook as a picture and as words, and nowhere as a number."""

from __future__ import annotations

import base64
import re
from fractions import Fraction

import pytest

from calclib.gradebook.notebook import notebook_bytes, problem_of, render_notebook
from calclib.items import draw_item
from calclib.models import item_model

MODELS = ("read-syringe", "read-small-syringe", "read-insulin-syringe", "read-medicine-cup", "bag-scale-time")


def notebook(name: str, seed: str) -> tuple[str, str, str]:
    """The file of a notebook with one problem, its stem cell, and the value that is drawn."""
    item = draw_item(item_model(name), seed)
    points = {part.name: Fraction(part.points) for part in item.parts}
    problem = problem_of(item, number=1, title="Reading", points=points)
    made = render_notebook(set_name="week1", title="Week 1", problems=(problem,), made_for="p1", tag="t")
    stem = next(cell["source"] for cell in made["cells"] if cell["source"].startswith("## Problem 1"))
    value = next(given.text for given in item.givens if given.name == item.drawings[0].given)
    return notebook_bytes(made).decode(), stem, value


@pytest.mark.parametrize("name", MODELS)
def test_the_stem_cell_holds_the_picture_with_its_words(name: str) -> None:
    """An image inside of the text, its alternative text beside it."""
    _, stem, _ = notebook(name, "picture")
    picture = re.search(r'<img alt="Drawing of ([^"]+)" .*src="data:image/svg\+xml;base64,([^"]+)">', stem)
    assert picture is not None
    assert base64.b64decode(picture[2]).startswith(b"<svg")


@pytest.mark.parametrize("name", MODELS)
def test_no_number_tells_what_is_drawn(name: str) -> None:
    """Neither text nor metadata of the file, nor the picture's own texts, state the value."""
    for number in range(5):
        whole, _, value = notebook(name, f"leak {number}")
        svg = base64.b64decode(re.findall(r"base64,([A-Za-z0-9+/=]+)", whole)[0]).decode()
        plain = re.sub(r"base64,[A-Za-z0-9+/=]+", "", whole)
        amount = re.escape(value.split(" ")[0])
        assert not re.search(
            rf"(?<![\d.,]){amount}(?![\d.,]*\d)",
            re.sub(r"\"checksum\": \"[0-9a-f]+\"|points\D+\d+|schema_version\D+\d|4\.5|nbformat\D+\d", "", plain),
        ), value
        assert not re.search(rf"(?:<!--|<title>|id=\")\s*{amount}\s*(?:-->|</title>|\")", svg)


def test_a_template_shows_no_drawing() -> None:
    """The template of a sealed set has no numbers, and so no picture."""
    item = draw_item(item_model("read-syringe"), "template")
    points = {part.name: Fraction(part.points) for part in item.parts}
    problem = problem_of(item, number=1, title="Reading", points=points, stem="numbers of its own")
    assert "<img" not in notebook_bytes(render_notebook(set_name="s", title="S", problems=(problem,))).decode()
