"""Rate, volume to be infused and time, entered: whether they agree, and what the infusion then does."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import anywidget
import traitlets

from calclib.errors.messages import BadInput
from calclib.plots import drug_sentence
from calclib.quantity.writing import write_quantity
from calclib.reading import Blank, Unread, read_answer
from calclib.timeline import Bag, Entered, Entries, Hanging, Primary, infusion_timeline
from calclib.widgets.asleep import Waking
from calclib.widgets.devices.scripts import script
from calclib.widgets.styles import styles
from calclib.wording import fact, said

FIELDS = {"rate": ("Rate", "mL/h"), "volume": ("Volume to be infused", "mL"), "minutes": ("Time", "min")}
LONGEST = Fraction(7 * 24 * 60)


class FormState(traitlets.HasTraits):
    """Three fields and a bag. What is typed is read as an answer is; what is said follows from exact numbers.

    Args:
        bag: What the bag holds [mL]; None where the fields are answers: then nothing is worked out for the person, and
            the bag holds what was entered.
        drug: Amount of the drug in it [mg]; 0 for none.
    """

    script = "form"
    typed = traitlets.Dict({"rate": "", "volume": "", "minutes": ""}).tag(sync=True)
    fields: traitlets.List[Any] = traitlets.List([[name, *words] for name, words in FIELDS.items()]).tag(sync=True)
    about = traitlets.Unicode().tag(sync=True)
    said = traitlets.Unicode().tag(sync=True)
    disagrees = traitlets.Bool(False).tag(sync=True)
    curve: traitlets.List[Any] = traitlets.List().tag(sync=True)

    def __init__(self, bag: int | Fraction | None = 1000, *, drug: int | Fraction = 0) -> None:
        self.hung = None if bag is None else Bag(bag, drug=drug)
        about = said("entries.enter") if bag is None else said("entries.holds", bag=write_quantity(Fraction(bag), "mL"))
        super().__init__(about=about, said="" if bag is None else said("entries.too_few"))
        self.observe(lambda _: self.follow(), names="typed")

    def follow(self) -> None:
        """Read what is typed, say whether the three agree, and run the infusion if rate and volume are known."""
        try:
            entries = _entries(self.typed)
        except BadInput as error:
            self.disagrees, self.curve, self.said = True, [], str(error)
            return
        self.disagrees = entries.agreement == "disagree"
        words, self.curve = [_said(entries) if self.hung else _said_of_answers(entries)], []
        runs = _completed(entries) if entries.agreement in ("third", "agree")[not self.hung :] else None
        if runs is not None:
            told, self.curve = self._run(runs)
            words.append(told)
        self.said = " ".join(words)

    def _run(self, entered: Entered) -> tuple[str, list[list[float]]]:
        """The infusion until it is over, in words and as corners of its curve."""
        assert entered.volume is not None, "a form enters a volume"
        hung = self.hung or Bag(entered.volume)
        ends = min(Fraction(entered.volume), hung.contents) * 60 / entered.rate
        if ends > LONGEST:
            return "", []
        timeline = infusion_timeline(Hanging(Primary(hung, entered)), until=ends)
        left = timeline.primary_remaining.last
        told = [said("entries.left", left=write_quantity(left, "mL", 1)) if left else said("entries.empty")]
        if hung.drug:
            told.append(drug_sentence(timeline))
        points = [[float(at), float(value)] for at, value in timeline.primary_remaining.points]
        return " ".join(told), points


class InfusionForm(Waking, FormState, anywidget.AnyWidget):
    """The form on a page of its own. Arguments as for `FormState`."""

    _esm = script("form")
    _css = styles("devices/front_end/devices.css")
    stands = fact("asleep.form")


def infusion_form(bag: int | Fraction = 1000, *, drug: int | Fraction = 0) -> InfusionForm:
    """A form for rate, volume and time that says when they disagree. Arguments as for `InfusionForm`."""
    return InfusionForm(bag, drug=drug)


def _entries(typed: Mapping[str, str]) -> Entries:
    values = {name: _read(str(typed.get(name, "")), *words) for name, words in FIELDS.items()}
    return Entries(**values)


def _read(text: str, field: str, unit: str) -> Fraction | None:
    """One field in its unit; None if it is empty.

    Raises:
        BadInput: The text has no reading, no unit, another unit, or isn't above 0.
    """
    reading = read_answer(text, "quantity")
    if isinstance(reading, Blank):
        return None
    if isinstance(reading, Unread) or reading.value is None:
        reason = reading.reason if isinstance(reading, Unread) else ""
        raise BadInput(fact("entries.unread", field=field, why=reason))
    from calclib.answers.units import typed_unit

    found = typed_unit(reading.unit, unit, ())
    if found.status == "missing":
        raise BadInput(fact("entries.unread", field=field, why=fact("entries.no_unit", unit=unit)))
    if found.factor is None:
        why = fact("entries.wrong_unit", unit=unit, typed=reading.shown)
        raise BadInput(fact("entries.unread", field=field, why=why))
    if reading.value <= 0:
        raise BadInput(fact("entries.unread", field=field, why=fact("entries.not_above_zero")))
    return reading.value * found.factor


def _said(entries: Entries) -> str:
    from calclib.answers import time_in_words

    rate = "" if entries.rate is None else write_quantity(entries.rate, "mL/h", 1)
    volume = "" if entries.volume is None else write_quantity(entries.volume, "mL", 1)
    time = "" if entries.minutes is None else time_in_words(entries.minutes)
    if entries.agreement == "too_few":
        return said("entries.too_few")
    if entries.agreement == "agree":
        return said("entries.agree", volume=volume, rate=rate, time=time)
    takes = time_in_words(entries.takes()) if rate and volume else ""
    needed = write_quantity(entries.rate_needed(), "mL/h", 1) if volume and time else ""
    delivered = write_quantity(entries.delivered(), "mL", 1) if rate and time else ""
    if entries.agreement == "disagree":
        return said(
            "entries.disagree", volume=volume, rate=rate, takes=takes, time=time, delivered=delivered, needed=needed
        )
    if not time:
        return said("entries.time", volume=volume, rate=rate, takes=takes)
    if not rate:
        return said("entries.rate", volume=volume, time=time, needed=needed)
    return said("entries.volume", rate=rate, time=time, delivered=delivered)


def _said_of_answers(entries: Entries) -> str:
    """Whether what was entered agrees; nothing that is still to be worked out."""
    if entries.agreement == "disagree":
        from calclib.answers import time_in_words

        assert entries.rate is not None and entries.volume is not None and entries.minutes is not None
        return said(
            "entries.answers_disagree",
            volume=write_quantity(entries.volume, "mL", 1),
            rate=write_quantity(entries.rate, "mL/h", 1),
            takes=time_in_words(entries.takes()),
            time=time_in_words(entries.minutes),
        )
    return said("entries.answers_agree") if entries.agreement == "agree" else ""


def _completed(entries: Entries) -> Entered | None:
    rate = entries.rate if entries.rate is not None else entries.rate_needed()
    volume = entries.volume if entries.volume is not None else entries.delivered()
    return Entered(rate, volume)
