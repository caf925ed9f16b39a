"""Sliders that change an infusion, and the plot and sentence that follow."""

from __future__ import annotations

from dataclasses import dataclass

import ipywidgets

from calclib.plots import drug_sentence, infusion_plot
from calclib.quantity import write_quantity
from calclib.timeline import Bag, Entered, Hanging, Primary, Secondary, Timeline, infusion_timeline
from calclib.widgets.keyboard import guarded_box
from calclib.widgets.message import Message

# What stays as it is while the sliders move; told above the plot.
PRIMARY_BAG = 500
DRUG = 1000
SECONDARY_TUBING = 10
SHARED_TUBING = 8
BACK_PRIMED = 20
KEEP_OPEN_RATE = 10

FIXED = (
    f"Fixed here: 1,000 mg of the drug in the secondary bag, {PRIMARY_BAG} mL in the primary bag, "
    f"{SECONDARY_TUBING} mL in the secondary tubing, {SHARED_TUBING} mL from the port to the patient, "
    f"{BACK_PRIMED} mL let up when you back-prime, keep-open rate {KEEP_OPEN_RATE} mL/h."
)
TELLING = ("rest_at_primary_rate", "primary_at_secondary_rate", "primary_resumes", "keep_open", "air", "stopped")


@dataclass(frozen=True)
class Setting:
    """Where the controls stand: volumes [mL], rates [mL/h], time shown [min]. No other control changes the time shown:

    settings are compared at the same minute.
    """

    primary_rate: int = 125
    primary_running: bool = True
    volume: int = 100
    additive: int = 0
    overfill: int = 7
    rate: int = 100
    entered: int = 100
    back_primed: bool = True
    gravity: bool = False
    shown: int = 120


def infusion_explorer() -> ipywidgets.VBox:
    """Sliders, the plot of the infusion, and a description that follow one another."""
    start = Setting()
    controls = {
        "volume": _slider("Volume on the label (mL)", start.volume, 50, 250, 10),
        "additive": _slider("Drug solution added (mL)", start.additive, 0, 20, 1),
        "overfill": _slider("Overfill (mL)", start.overfill, 0, 30, 1),
        "rate": _slider("Secondary rate (mL/h)", start.rate, 25, 300, 5),
        "entered": _slider("Volume to be infused (mL)", start.entered, 25, 300, 1),
        "primary_rate": _slider("Primary rate (mL/h)", start.primary_rate, 25, 200, 5),
        "shown": _slider("Time shown (min)", start.shown, 30, 840, 30),
        "primary_running": _tick("Primary infusion is running", start.primary_running),
        "back_primed": _tick("Secondary line is back-primed", start.back_primed),
        "gravity": _tick("By gravity, without a pump", start.gravity),
    }
    sentence, picture, notes = Message("infusion"), ipywidgets.HTML(), Message("notes", announced=False)

    def follow(_: object = None) -> None:
        with sentence.reporting():
            setting = Setting(**{name: control.value for name, control in controls.items()})
            controls["entered"].disabled = setting.gravity
            timeline = explored_timeline(setting)
            plot = infusion_plot(timeline)
            picture.value = plot._repr_html_()
            sentence.say(f"{start_volume(timeline)} {headline(timeline)}")
            notes.say(FIXED, f"Assumed: {' '.join(timeline.assumptions)}", " ".join(timeline.cautions))

    for control in controls.values():
        control.observe(follow, names="value")
    follow()
    columns = ipywidgets.Layout(grid_template_columns="repeat(auto-fit, minmax(min(360px, 100%), 1fr))", width="100%")
    return guarded_box(
        [ipywidgets.GridBox(list(controls.values()), layout=columns), sentence.widget, picture, notes.widget]
    )


def explored_timeline(setting: Setting) -> Timeline:
    """The infusion that belongs to a position of the controls.

    Raises:
        BadInput: The position can't be hung.
    """
    bag = Bag(setting.volume, setting.overfill, setting.additive, DRUG)
    back_primed = BACK_PRIMED if setting.back_primed else 0
    counted = None if setting.gravity else setting.entered
    hanging = Hanging(
        primary=Primary(Bag(PRIMARY_BAG), Entered(setting.primary_rate), running=setting.primary_running),
        secondary=Secondary(bag, Entered(setting.rate, counted), SECONDARY_TUBING, back_primed),
        mode="gravity" if setting.gravity else "pump",
        shared_tubing_volume=SHARED_TUBING,
        keep_open_rate=0 if setting.gravity else KEEP_OPEN_RATE,
    )
    return infusion_timeline(hanging, until=setting.shown)


def start_volume(timeline: Timeline) -> str:
    """What the secondary bag really holds as it starts, in one sentence."""
    volume = write_quantity(timeline.secondary_remaining.at(0), "mL", 1)
    return f"The secondary bag holds {volume} when it starts."


def headline(timeline: Timeline) -> str:
    """What matters most in an infusion: the first thing that isn't as entered, and where the drug is."""
    told = next((event for kind in TELLING for event in timeline.events if event.kind == kind), None)
    first = f"At {write_quantity(told.at, 'min', 1)}: {told.says}" if told else ""
    given = drug_sentence(timeline)
    return f"{first} By {write_quantity(timeline.until, 'min', 1)}, {given}".strip()


def _slider(name: str, value: int, low: int, high: int, step: int) -> ipywidgets.IntSlider:
    return ipywidgets.IntSlider(
        value=value,
        min=low,
        max=high,
        step=step,
        description=name,
        continuous_update=False,
        style={"description_width": "min(15em, 48%)"},
        layout=ipywidgets.Layout(width="98%"),
    )


def _tick(name: str, value: bool) -> ipywidgets.Checkbox:
    return ipywidgets.Checkbox(value=value, description=name, indent=False)
