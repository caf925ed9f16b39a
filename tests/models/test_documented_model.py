"""The item model that ITEM_MODELS.md shows is one that works."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from calclib.models import read_item_model
from calclib.proving.proof_row import FULL_PROOF
from calclib.proving.prover import proof_seeds, prove

DOCUMENT = Path(__file__).resolve().parents[2] / "calclib" / "models" / "ITEM_MODELS.md"


def documented() -> str:
    """The example of the document."""
    (block,) = re.findall(r"^```toml\n(.*?)^```", DOCUMENT.read_text("utf-8"), re.MULTILINE | re.DOTALL)
    return str(block)


def test_the_documented_model_stands() -> None:
    """Whoever copies the example gets a model that is read, and sixty draws of which stand."""
    row = prove(documented(), "mine.toml", tuple(proof_seeds(60)))

    assert row.verdict() == ()
    assert read_item_model(documented(), "mine.toml").id == "antibiotic-oral-liquid"


@pytest.mark.full
def test_the_documented_model_stands_two_thousand_draws() -> None:
    """The example passes the proof that it describes."""
    assert prove(documented(), "mine.toml", tuple(proof_seeds(FULL_PROOF))).verdict() == ()
