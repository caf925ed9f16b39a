"""A drug's file is read strictly."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.formulary import AgeGroup, Form, Kind, Route, Scoring, read_drug

FILE = """name = "somnol"
also = ["somnol sulfate"]
reviewed = [{ by = "Hill School pharmacy committee", on = "2026-03-01" }]

[references.label]
source = "us_prescribing_information"
place = "somnol tablets, Dosage and Administration"

[[presentation]]
form = "tablet"
strength = "250 mg"
scoring = { is = "scored", by = "memory" }
by = "label"

[[presentation]]
form = "powder for injection"
strength = "1 g"
by = "label"
mixing = [{ add = "2.5 mL", makes = "330 mg/mL", volume = "3 mL", by = "label" }]

[[use]]
routes = ["IV", "IM"]
group = "child"
indication = "fever"
ages = { from = "6 mo", below = "12 yr" }
dose = { from = "10 mg/kg", to = "15 mg/kg", by = "label" }
dose_most = { is = ["1,000 mg"], by = "label" }
interval = { is = ["6 h"], by = "memory" }
concentration = { is = ["5 mg/mL"], line = "peripheral", by = "label" }
"""


def test_what_a_file_says_is_read() -> None:
    """Names, references, presentations and figures are as the file has them, and exact."""
    drug = read_drug(FILE, "somnol.toml")
    tablet, powder = drug.presentations
    (use,) = drug.uses
    dose, most = use.limit(Kind.DOSE), use.limit(Kind.DOSE_MOST)

    assert (drug.name, drug.also, drug.reviews[0].by) == (
        "somnol",
        ("somnol sulfate",),
        "Hill School pharmacy committee",
    )
    assert (tablet.form, tablet.strength.value, tablet.scoring) == (Form.TABLET, 250, Scoring.SCORED)
    assert powder.mixing[0].displacement is not None
    assert powder.mixing[0].displacement.value == Fraction(1, 2)
    assert (use.routes, use.group) == ((Route.IV, Route.IM), AgeGroup.CHILD)
    assert dose is not None and dose.low is not None
    assert (dose.low.value, dose.high[0].value, dose.sourced) == (10, 15, True)
    assert most is not None
    assert str(most.citation) == "US FDA, US prescribing information, somnol tablets, Dosage and Administration"
    assert not use.limits[2].sourced


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[[use]]", "[[use]]\ndoze = 1", "somnol.toml, line 22: “doze” is not known here; did you mean “dose”?"),
        (
            '"10 mg/kg"',
            '"10 mg/hour"',
            "somnol.toml, line 26: “hour” is not a unit that is known here",
        ),
        (
            '"10 mg/kg", to',
            '"20 mg/kg", to',
            "somnol.toml, line 26: dose runs from 20 mg/kg to 15 mg/kg; write the smaller first, in the same kind of",
        ),
        (
            '"1,000 mg"], by',
            '"1,000 mg/day"], by',
            "somnol.toml, line 27: “1,000 mg/day” does not fit here; write it like “1,000 mg”",
        ),
        ('"1,000 mg"]', "1000]", 'somnol.toml, line 27: this must be a list of words in quotes, as in ["IV", "IM"]'),
        (
            'form = "tablet"',
            'form = "tabblet"',
            "somnol.toml, line 10: “tabblet” is not known here; did you mean “tablet”?",
        ),
        ('group = "child"', 'group = "baby"', "somnol.toml, line 23: “baby” is not known here; known are"),
        (
            'by = "label"\n\n[[presentation]]\nform = "powder',
            'by = "lable"\n\n[[presentation]]\nform = "powder',
            "somnol.toml, line 13: “lable” is not one of the file's references; did you mean “label”?",
        ),
        (
            '"us_prescribing_information"',
            '"my_memory"',
            "somnol.toml, line 6: no source has the key “my_memory”; add it to sources.toml",
        ),
        ('"6 h"', '"6 mg"', "somnol.toml, line 28: “6 mg” is not a time; write it like “8 h”"),
        ('is = ["6 h"], by = "memory"', 'is = ["6 h"]', "somnol.toml, line 28: by is missing, or isn't text in quotes"),
        (
            'routes = ["IV", "IM"]',
            "routes = []",
            'somnol.toml, line 22: a use names its routes, as in routes = ["IV", "IM"]',
        ),
        (
            '"5 mg/mL"], line',
            '"5 mg"], line',
            "somnol.toml, line 29: “5 mg” does not fit here; write it like “5 mg/mL”",
        ),
        ('name = "somnol"', "name = somnol", "somnol.toml, line 1: this is not TOML"),
        ('"2.5 mL"', '"0 mL"', "somnol.toml, line 19: “0 mL” does not fit here; write it like “10 mL”"),
    ],
)
def test_a_mistake_is_one_sentence_with_its_line(old: str, new: str, message: str) -> None:
    """What is unknown or doesn't fit is said with file, line, and the nearest name or an example."""
    assert old in FILE

    with pytest.raises(BadInput) as caught:
        read_drug(FILE.replace(old, new, 1), "somnol.toml")

    assert str(caught.value).startswith(message)


def test_a_figure_without_a_source_is_refused() -> None:
    """No figure stands without saying by what: a reference of the file, memory, or practice."""
    for line in FILE.splitlines():
        if " = {" in line and 'by = "' in line and not line.startswith(("ages", "reviewed")):
            text = FILE.replace(line, line.replace(', by = "label"', "").replace(', by = "memory"', ""))
            with pytest.raises(BadInput, match="by is missing"):
                read_drug(text, "somnol.toml")
