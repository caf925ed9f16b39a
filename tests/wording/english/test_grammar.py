"""The words of a value take the article and the verb that they need."""

from __future__ import annotations

import re

import pytest

from calclib.models.bank import bank
from calclib.wording.english.grammar import is_plural, joined, the

PLURAL = {
    "tablets", "capsules", "vials", "bags", "doses", "drops", "inches", "degrees", "units", "injections", "flushes",
    "grams", "milliequivalents", "ounces", "pounds", "days", "minutes", "years", "hours", "kilograms", "formulas", "mL",
}  # fmt: skip


@pytest.mark.parametrize(
    ("phrase", "with_article", "many"),
    [
        ("drop factor", "the drop factor", False),
        ("140 minus the age", "140 minus the age", False),
        ("doses left in the bottle", "the doses left in the bottle", True),
        ("dose in units", "the dose in units", False),
        ("inches above 60", "the inches above 60", True),
        ("minutes past the hour", "the minutes past the hour", True),
        ("number of doses a day", "the number of doses a day", False),
        ("body mass", "the body mass", False),
        ("milliequivalents in 1 g", "the milliequivalents in 1 g", True),
        ("kilograms per inch times the inches above 60", "the kilograms per inch times the inches above 60", True),
    ],
)
def test_article_and_number(phrase: str, with_article: str, many: bool) -> None:
    """A phrase takes “the” unless it begins with a number, and is one or many by its head."""
    assert the(phrase) == with_article
    assert is_plural(phrase) is many


def test_phrases_together() -> None:
    """Phrases are joined by “and”, from three on with commas."""
    assert joined(("the body weight", "the age")) == "the body weight and the age"
    assert joined(("the body weight", "the age", "the height")) == "the body weight, the age, and the height"


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
