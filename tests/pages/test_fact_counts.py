"""The catalogue counts the facts of a model that rest on memory."""

from __future__ import annotations

from calclib.models.reader import read_item_model
from calclib.pages.catalogue import catalogue_page
from tests.models.test_selection import OWN


def test_facts_from_memory_are_counted() -> None:
    """Of one drug's bags, which a label prints, and its rate, which nobody looked up, one in two is from memory."""
    page = catalogue_page([read_item_model(OWN, "own.toml")]).decode("utf-8")

    assert "1 of 2 facts in these tables from memory." in page
