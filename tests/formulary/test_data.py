"""What ships in the formulary: every figure has a source or says that it has none."""

from __future__ import annotations

import pytest

from calclib.errors import BadInput
from calclib.formulary import AgeGroup, Citation, Drug, Kind, Route, drug_named, formulary, uses_by
from calclib.formulary.figures import drug_figures, memory_of
from calclib.models import bank
from calclib.sources import sources

# Rows of the bank that name a salt for a sum in chemistry, or a fluid; no patient gets a dose of them.
NOT_DRUGS = {"ammonium chloride", "calcium", "magnesium", "potassium", "sodium"}
WITH_WATER = " with its water"


@pytest.mark.parametrize("drug", formulary().values(), ids=lambda drug: drug.name)
def test_every_figure_has_a_source_or_says_that_it_has_none(drug: Drug) -> None:
    """A figure cites a source of the catalogue, with its place where the source is a label or a guideline."""
    for figure in drug_figures(drug):
        assert figure.citation.key in sources()
        if figure.citation.key in ("us_prescribing_information", "prescribing_information_outside_us"):
            assert figure.citation.place
        assert str(figure.citation)


def test_there_are_drugs_enough() -> None:
    """At least 120 drugs, none of which claims a review that nobody made."""
    assert len(formulary()) >= 120
    assert [drug.name for drug in formulary().values() if drug.reviews] == []


def test_each_drug_of_the_bank_is_in_the_formulary() -> None:
    """A drug that a table of an item model names is found by that name."""
    missing = set()
    for model in bank().values():
        for rows in model.rows.values():
            for row in rows:
                name = str(row.get("drug", "")).lower().removesuffix(WITH_WATER)
                if name and name not in NOT_DRUGS:
                    try:
                        drug_named(name)
                    except BadInput:
                        missing.add(name)
    assert sorted(missing) == []


def test_a_name_leads_to_one_drug() -> None:
    """A salt, another name and any case lead to the generic name; an unknown one to the nearest."""
    assert drug_named("Morphine Sulfate").name == "morphine"
    assert drug_named("haloperidol").name == "haloperidol lactate"
    with pytest.raises(BadInput, match="no drug “morfine”; did you mean morphine"):
        drug_named("morfine")


def test_uses_are_found_by_route_group_and_indication() -> None:
    """The index holds each use under each of its routes and its age group."""
    found = {one.drug for one in uses_by(route=Route.IV, group=AgeGroup.NEWBORN, indication="sepsis")}

    assert found == {"ampicillin"}
    assert {"amikacin", "gentamicin"} <= {one.drug for one in uses_by(route=Route.IM, group=AgeGroup.NEWBORN)}


def test_a_depot_is_kept_apart_from_the_plain_injection() -> None:
    """The decanoate of haloperidol and the acetate of methylprednisolone are drugs of their own, never IV."""
    for name in ("haloperidol decanoate", "methylprednisolone acetate", "fluphenazine decanoate"):
        assert all(Route.IV not in use.routes for use in drug_named(name).uses)


def test_memory_is_counted() -> None:
    """The share from memory counts every figure, and is 0 only where none is."""
    assert memory_of(drug_named("vinblastine")).percent == 0
    assert memory_of(drug_named("lorazepam")).percent == 100
    assert not Citation("common_practice").from_memory


def test_no_high_alert_drug_of_today_is_without_its_warning() -> None:
    """Insulin, heparin, opioids and concentrated potassium carry the warning in every IV use."""
    for name in ("insulin regular", "heparin", "morphine", "fentanyl", "potassium chloride"):
        uses = [use for use in drug_named(name).uses if Route.IV in use.routes]
        assert uses
        assert [use.indication for use in uses if use.limit(Kind.HIGH_ALERT) is None] == []
