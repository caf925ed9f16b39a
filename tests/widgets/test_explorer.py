"""The explorer of infusions: controls, plot and sentence follow one another."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.widgets import infusion_explorer
from calclib.widgets.explorer import Setting, explored_timeline, headline


def controls(box: Any) -> dict[str, Any]:
    """Controls by their words."""
    return {control.description: control for control in box.children[0].children}


def test_moving_a_slider_changes_plot_and_sentence() -> None:
    """Entering more than the bag holds turns the sentence from too small to too large."""
    box = infusion_explorer()
    _, sentence, picture, _, _ = box.children
    before = picture.value
    assert "The secondary bag holds 117 mL when it starts." in sentence.value
    assert "its last 17 mL runs at the primary rate." in sentence.value
    controls(box)["Volume to be infused (mL)"].value = 107
    assert "its last 10 mL runs at the primary rate." in sentence.value
    assert picture.value != before
    controls(box)["Volume to be infused (mL)"].value = 130
    assert "Primary fluid flows at the secondary rate, 100 mL/h" in sentence.value


def test_every_control_is_named_and_the_plot_has_its_text() -> None:
    """Names end in their unit where they have one; the picture carries what it shows."""
    box = infusion_explorer()
    assert all(controls(box))
    assert 'alt="Plot of infused and remaining volume over time.' in box.children[2].value


def test_by_gravity_nothing_is_entered() -> None:
    """The volume to be infused is switched off with the pump."""
    box = infusion_explorer()
    controls(box)["By gravity, without a pump"].value = True
    assert controls(box)["Volume to be infused (mL)"].disabled
    assert "resumes" in box.children[1].value
    assert "count the drops again" in box.children[3].value


def test_assumptions_and_cautions_are_printed_with_the_plot() -> None:
    """A model for learning says what it assumes and who decides."""
    notes = infusion_explorer().children[3].value
    for words in ("plug flow", "evenly mixed", "model for learning", "local policy decide"):
        assert words in notes


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        (Setting(entered=97, back_primed=False), "The primary infusion resumes at 125 mL/h."),
        (Setting(entered=100), "its last 17 mL runs at the primary rate."),
        (Setting(entered=130), "Primary fluid flows at the secondary rate"),
        (Setting(entered=117, primary_running=False), "Nothing flows any more."),
        (Setting(entered=117), "The primary infusion resumes"),
    ],
)
def test_headline_tells_what_isnt_as_entered(setting: Setting, words: str) -> None:
    """One sentence for the case that the controls stand for."""
    assert words in headline(explored_timeline(setting))


@given(
    st.builds(
        Setting,
        primary_rate=st.integers(25, 200),
        primary_running=st.booleans(),
        volume=st.integers(50, 250),
        additive=st.integers(0, 20),
        overfill=st.integers(0, 30),
        rate=st.integers(25, 300),
        entered=st.integers(25, 300),
        back_primed=st.booleans(),
        gravity=st.booleans(),
    )
)
def test_every_position_of_the_controls_can_be_hung(setting: Setting) -> None:
    """No position of the sliders is refused, and each has something to say."""
    timeline = explored_timeline(setting)
    assert timeline.volume.missing == 0
    assert headline(timeline).endswith(".")


def test_a_higher_rate_never_brings_less_drug_by_the_same_minute() -> None:
    """Settings are compared at one time, and the sentence says at which; with the primary off too."""
    given = [
        explored_timeline(Setting(rate=rate, entered=300, primary_running=False)).drug.to_patient
        for rate in (50, 100, 150, 200, 300)
    ]
    assert given == sorted(given)
    assert " By 120 min, " in f" {headline(explored_timeline(Setting(rate=300)))}"
