"""Models are found by what nurses say, and chosen by what is asked and drawn."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pytest

from calclib.items.facets import facets
from calclib.items.searching import is_found_by, search_words, trade_phrases
from calclib.models import bank, item_model


@cache
def words_of_bank() -> Mapping[str, tuple[str, ...]]:
    """The words by which each model is found."""
    return {name: search_words(model) for name, model in bank().items()}


def found(wanted: str) -> set[str]:
    """The ids of the models that are found."""
    return {name for name, words in words_of_bank().items() if is_found_by(words, wanted)}


@pytest.mark.parametrize(
    ("wanted", "models", "others"),
    [
        ("piggyback", {"secondary-rate", "secondary-infusion-entries", "primary-resumes"}, {"drop-rate", "pump-rate"}),
        ("IVPB", {"secondary-rate", "primary-runs-dry"}, {"drop-rate"}),
        ("IV piggyback rate", {"secondary-rate"}, {"drop-rate"}),
        ("subcutaneous", {"injection-units-volume", "prefilled-syringe-by-weight"}, {"drop-rate", "pump-rate"}),
        ("SubQ", {"injection-units-volume"}, {"drop-rate"}),
        ("SC", {"injection-units-volume"}, {"drop-rate", "fahrenheit-to-celsius"}),
        ("drip rate", {"drop-rate", "drip-chamber-count"}, {"tablets-per-dose"}),
        ("gravity tubing", {"drop-rate"}, {"pump-rate"}),
        ("VTBI", {"secondary-infusion-entries"}, {"drop-rate"}),
        ("PCA", {"analgesia-limits"}, {"pump-rate"}),
        ("IM", {"injection-volume"}, {"drop-rate"}),
        ("intramuscular", {"injection-volume"}, {"drop-rate"}),
        ("PO", {"tablets-per-dose"}, {"pounds-to-kilograms", "potassium-rate"}),
        ("pills", {"tablets-per-dose", "capsules-per-dose"}, {"pump-rate"}),
        ("peds", {"body-surface-child", "newborn-dose"}, {"pump-rate"}),
        ("BSA", {"body-surface-dose"}, {"pump-rate"}),
        ("military time", {"twenty-four-hour-clock"}, {"pump-rate"}),
        ("dimensional analysis", {"setup-drop-rate"}, {"drop-rate"}),
        ("hang time", {"bag-scale-time"}, {"tablets-per-dose"}),
        ("I&O", {"intake-and-output"}, {"pump-rate"}),
        ("pressor", {"case-vasopressor"}, {"tablets-per-dose"}),
        ("sliding scale", {"correction-insulin"}, {"drop-rate"}),
        ("mcg/kg/min", {"titrated-rate"}, {"tablets-per-dose"}),
        ("PRBCs", {"blood-time-check"}, {"pump-rate"}),
        ("NG tube", {"tube-feeding-day"}, {"drop-rate"}),
        ("TPN", {"parenteral-nutrition-energy"}, {"pump-rate"}),
        ("carb ratio", {"mealtime-insulin-ratio"}, {"correction-insulin"}),
        ("CBI", {"bladder-irrigation-output"}, {"pump-rate"}),
        ("MDI", {"inhaler-days"}, {"tablets-per-dose"}),
        ("peak and trough", {"trough-time"}, {"pump-rate"}),
        ("backprime", {"back-primed-entries", "priming-with-drug"}, {"secondary-rate"}),
    ],
)
def test_a_nurses_words_find_the_models(wanted: str, models: set[str], others: set[str]) -> None:
    """What is said on a ward finds the kinds that practice it, and doesn't find what only looks like it."""
    assert models <= found(wanted)
    assert not others & found(wanted)


@pytest.mark.parametrize("phrase", trade_phrases())
def test_no_trade_word_is_idle(phrase: str) -> None:
    """Each finds a model, and not most of them unless it is a unit."""
    count = len(found(phrase))
    assert count
    assert count < len(bank()) / 2 or phrase.startswith("milli")


def test_all_words_must_fit_and_none_is_asked_for_by_nothing() -> None:
    """Two words narrow what one finds; no word finds all; a word of no model finds none."""
    assert found("heparin pump") < found("heparin")
    assert found(" ") == set(bank())
    assert found("zebra") == set()


@pytest.mark.parametrize(
    ("name", "asks", "steps", "devices"),
    [
        ("pump-rate", ("a rate of volume",), 1, ("Pump entries",)),
        ("drop-rate", ("a drop rate",), None, ()),
        ("read-medicine-cup", ("a volume",), None, ("Medicine cup",)),
        ("setup-drop-rate", ("a set-up",), None, ()),
        ("infusion-end-time", ("a time",), None, ()),
        ("secondary-infusion-entries", ("a volume", "a rate of volume", "a time"), 3, ("Pump entries",)),
        ("drip-chamber-count", ("a drop rate",), None, ("Drip chamber",)),
    ],
)
def test_what_a_model_is_chosen_by(
    name: str, asks: tuple[str, ...], steps: int | None, devices: tuple[str, ...]
) -> None:
    """What is asked, how long the way is, and what is drawn or set, read from the model itself."""
    told = facets(item_model(name))
    assert set(asks) <= set(told.asks)
    assert steps in (None, told.steps)
    assert told.devices == devices
