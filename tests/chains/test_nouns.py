"""The words of a value take the article and the verb that they need."""

from __future__ import annotations

import re

import pytest

from calclib.chains.nouns import is_plural, the, together, was
from calclib.models.bank import bank

PLURAL = {
    "tablets", "capsules", "vials", "bags", "doses", "drops", "inches", "degrees", "units", "injections", "flushes",
    "grams", "milliequivalents", "ounces", "pounds", "days", "minutes", "years", "hours", "kilograms", "formulas", "mL",
}  # fmt: skip


@pytest.mark.parametrize(
    ("phrase", "with_article", "verb"),
    [
        ("drop factor", "the drop factor", "was"),
        ("140 minus the age", "140 minus the age", "was"),
        ("doses left in the bottle", "the doses left in the bottle", "were"),
        ("dose in units", "the dose in units", "was"),
        ("inches above 60", "the inches above 60", "were"),
        ("minutes past the hour", "the minutes past the hour", "were"),
        ("number of doses a day", "the number of doses a day", "was"),
        ("body mass", "the body mass", "was"),
        ("milliequivalents in 1 g", "the milliequivalents in 1 g", "were"),
        ("kilograms per inch times the inches above 60", "the kilograms per inch times the inches above 60", "were"),
    ],
)
def test_article_and_verb(phrase: str, with_article: str, verb: str) -> None:
    """A phrase takes “the” unless it begins with a number, and the verb of its head."""
    assert the(phrase) == with_article
    assert was(phrase) == verb


def test_phrases_together() -> None:
    """Two phrases are joined, each with its article."""
    assert together(("body weight", "140 minus the age")) == "the body weight and 140 minus the age"


@pytest.mark.parametrize("name", bank())
def test_the_words_of_a_model_are_noun_phrases(name: str) -> None:
    """Given, step and constant have words that “the” can stand before, and only known heads are plural."""
    model = bank()[name]
    says = [g.says for g in model.givens.values() if g.role != "column" and g.kind not in ("row", "text")]
    says += [step.says for step in model.steps]
    says += [model.words.get(constant, "") for constant in model.constants]
    for phrase in filter(None, says):
        assert not re.match(r"(?:the|a|an|how|what|when|who|for|of|in|one|each|is) ", phrase), phrase
        assert "_" not in phrase and phrase[-1] not in ".:;", phrase
        assert not is_plural(phrase) or any(word in PLURAL for word in phrase.split()), phrase
    assert set(model.constants) <= set(model.words), "a constant has no words"
