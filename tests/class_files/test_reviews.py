"""A school's own reviews, and a blueprint that asks for reviewed item models only."""

from __future__ import annotations

from pathlib import Path

import pytest

from calclib.class_files.blueprint import Blueprint, blueprint_from_text
from calclib.class_files.catalogue import whole_catalogue
from calclib.class_files.reviews import read_reviews, reviewed_only
from calclib.errors import BadInput
from calclib.formulary import formulary
from calclib.models import bank

BLUEPRINT = """set = "week-3"
title = "Week 3"
rounding = "tenths-and-wholes"
marking = "strict-exam"
reviewed = true

[[items]]
item = "heparin-start"
"""
WHO = 'by = "Medication committee, Invented School of Nursing"\non = "2026-03-01"\n'


def order(text: str = BLUEPRINT) -> Blueprint:
    """The blueprint, with the policies that ship."""
    catalogue = whole_catalogue()
    rounding = min(catalogue.rounding)
    return blueprint_from_text(text.replace("tenths-and-wholes", rounding), catalogue)


def model_review(version: int) -> str:
    """A review of one version of the heparin problem."""
    return f'[[model]]\nid = "heparin-start"\nversion = {version}\n{WHO}'


def test_nothing_that_ships_is_reviewed() -> None:
    """Nobody has reviewed a model or a drug yet, and nothing says that anybody has."""
    assert [model.id for model in bank().values() if model.reviews] == []
    assert [drug.name for drug in formulary().values() if drug.reviews] == []


@pytest.mark.parametrize(
    ("recorded", "lacks"),
    [
        ("", "version {version} of it"),
        ("{older}", "version {version} of it"),
        ("{model}", "the formulary's heparin"),
    ],
)
def test_what_nobody_reviewed_is_refused(tmp_path: Path, recorded: str, lacks: str) -> None:
    """Model and drugs must be reviewed, the model in the very version; the sentence says what lacks, with the line."""
    version = bank()["heparin-start"].version
    texts = {"older": model_review(version - 1), "model": model_review(version)}
    (tmp_path / "reviews.toml").write_text(recorded.format(**texts), encoding="utf-8")

    with pytest.raises(BadInput) as caught:
        reviewed_only(order(), whole_catalogue(), tmp_path / "week-3.toml")

    assert f"nobody has reviewed {lacks.format(version=version)}" in str(caught.value)
    assert caught.value.line == 8


def test_what_the_school_reviewed_is_taken(tmp_path: Path) -> None:
    """With the model and its drug reviewed, it alone is left to be taken."""
    both = model_review(bank()["heparin-start"].version) + f'[[drug]]\nname = "heparin"\n{WHO}'
    (tmp_path / "reviews.toml").write_text(both, encoding="utf-8")

    kept = reviewed_only(order(), whole_catalogue(), tmp_path / "week-3.toml")

    assert "heparin-start" in kept.skills
    assert "titrated-rate" not in kept.skills


def test_without_the_key_all_may_be_taken(tmp_path: Path) -> None:
    """A blueprint that does not ask for reviews is not held to them."""
    catalogue = whole_catalogue()

    assert reviewed_only(order(BLUEPRINT.replace("reviewed = true\n", "")), catalogue, tmp_path / "b.toml") is catalogue


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[[drug]]\nname = "heparin"\nby = "A"\n', "a review of a drug says name, by, on"),
        (f'[[model]]\nid = "heparin-start"\nversion = "2"\n{WHO}', "a review of a model says id, version, by, on"),
        ('[[drug]]\nname = "heparin"\nby = "A"\non = "March"\n', "the date of the review"),
        ('[[drugs]]\nname = "heparin"\n', "write [[model]] or [[drug]]"),
    ],
)
def test_a_mistake_in_the_reviews_is_named(tmp_path: Path, text: str, says: str) -> None:
    """One sentence for each slip."""
    (tmp_path / "reviews.toml").write_text(text, encoding="utf-8")

    with pytest.raises(BadInput) as caught:
        read_reviews(tmp_path)

    assert says in str(caught.value)
