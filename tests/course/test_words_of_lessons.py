"""A word of the trade is explained before it is used."""

from __future__ import annotations

import re

import pytest

from calclib.items import draw_item
from calclib.lessons import Lesson, lesson, lesson_names
from calclib.models import item_model
from tests.course.lesson_files import Page, pages

EXPLAINED = {
    1: (r"mcg", r"[Ii]nfusions?\b", r"\b[Pp]ump\b", r"\bvials?\b", r"\bIV\b", r"\bsubcut\b", r"high-alert"),
    2: (r"\bIM\b", r"\bNPO\b", r"U-100", r"oral syringe"),
    3: (r"D/H", r"\bscored\b"),
    4: (r"IV push", r"\bdiluent", r"[Rr]econstitut", r"single-dose"),
    5: (r"/kg\b", r"[Ss]afe range"),
    6: (r"mL/h", r"\bVTBI\b", r"[Vv]olume to be infused"),
    7: (r"\bgtt\b", r"[Dd]rip chamber", r"[Rr]oller clamp", r"[Dd]rop factor", r"[Mm]icrodrip", r"\b[Bb]y gravity\b"),
    8: (r"\b[Pp]rimary\b", r"\b[Ss]econdary\b", r"piggyback", r"[Bb]ack-prim", r"\b[Oo]verfill", r"check valve"),
    9: (r"mcg/kg/min", r"\bMAP\b", r"double check"),
    10: (r"\b[Bb]olus", r"\baPTT\b", r"anti-Xa", r"\bprotocol\b", r"correction scale"),
    11: (r"\b[Mm]aintenance\b", r"mL/kg/h"),
    12: (r"\bm2\b", r"\bBSA\b", r"[Ll]oading dose", r"[Ii]deal weight"),
}
"""The words that a lesson explains, as patterns, by its number; no lesson before it uses them."""


def told_on(page: Page) -> str:
    """All that a page says and asks."""
    asked = [
        text
        for one in book_of(page).questions.values()
        for text in (*one.ask, *one.explains, *(text for choice in one.choices for text in (choice.says, choice.why)))
    ]
    return "\n".join((page.prose, *asked))


def book_of(page: Page) -> Lesson:
    """A page's book."""
    return next(lesson(name) for name in lesson_names() if lesson(name).number == page.number)


def drawn(names: tuple[str, ...]) -> str:
    """What a problem of each of these item models says, by one draw."""
    items = [draw_item(item_model(name), "words of the trade") for name in names]
    return "\n".join(line for item in items for line in (item.stem, *(part.asked for part in item.parts)))


@pytest.mark.parametrize(
    "page", [page for page in pages() if page.number < max(EXPLAINED)], ids=lambda one: one.path.stem
)
def test_no_lesson_uses_a_word_that_a_later_one_explains(page: Page) -> None:
    """Neither its text nor its questions nor a problem of a kind that it teaches."""
    later = [word for number, words in EXPLAINED.items() if number > page.number for word in words]
    said = f"{told_on(page)}\n{drawn(book_of(page).teaches)}"
    assert [found[0] for word in later if (found := re.search(rf".{{0,40}}(?:{word}).{{0,40}}", said))] == []


def test_each_word_stands_in_the_lesson_that_explains_it() -> None:
    """In its text, or in a question."""
    told = {page.number: told_on(page) for page in pages()}
    for number, words in EXPLAINED.items():
        assert [word for word in words if not re.search(word, told[number])] == []
