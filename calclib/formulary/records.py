"""What is known of a drug, as records: presentations, uses, limits, and where each figure comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from calclib.formulary.amount import HOUR, MINUTE, Amount
from calclib.sources.catalogue import Source, source


class Route(StrEnum):
    """By which way a drug is given."""

    ORAL = "oral"
    SUBLINGUAL = "sublingual"
    RECTAL = "rectal"
    TRANSDERMAL = "transdermal"
    IV = "IV"
    IM = "IM"
    SC = "SC"
    INTRATHECAL = "intrathecal"
    INFILTRATION = "infiltration"
    CATHETER = "catheter instillation"


INJECTED = (Route.IV, Route.IM, Route.SC)
"""What “by injection” may stand for."""


class AgeGroup(StrEnum):
    """For whom a figure holds."""

    ADULT = "adult"
    CHILD = "child"
    NEWBORN = "newborn"


class Line(StrEnum):
    """Through which line an infusion runs."""

    PERIPHERAL = "peripheral"
    CENTRAL = "central"


class Manner(StrEnum):
    """How a dose is given, where the route alone doesn't say it."""

    INFUSION = "infusion"
    PATIENT_CONTROLLED = "patient-controlled"


class Form(StrEnum):
    """In what form a drug is on the market, or mixed on the unit."""

    TABLET = "tablet"
    CHEWABLE_TABLET = "chewable tablet"
    SUBLINGUAL_TABLET = "sublingual tablet"
    EXTENDED_RELEASE_TABLET = "extended-release tablet"
    CAPSULE = "capsule"
    EXTENDED_RELEASE_CAPSULE = "extended-release capsule"
    DELAYED_RELEASE_CAPSULE = "delayed-release capsule"
    SPRINKLE_CAPSULE = "sprinkle capsule"
    ORAL_SOLUTION = "oral solution"
    ORAL_SUSPENSION = "oral suspension"
    ORAL_LIQUID = "oral liquid"
    ORAL_CONCENTRATE = "oral concentrate"
    ORAL_DROPS = "oral drops"
    ORAL_POWDER = "oral powder"
    SOLUTION_FOR_INJECTION = "solution for injection"
    EMULSION_FOR_INJECTION = "emulsion for injection"
    DEPOT_INJECTION = "depot injection"
    CONCENTRATE = "concentrate for dilution"
    PREFILLED_SYRINGE = "prefilled syringe"
    AUTO_INJECTOR = "auto-injector"
    POWDER_FOR_INJECTION = "powder for injection"
    BULK_VIAL = "pharmacy bulk vial"
    PREMIXED_BAG = "premixed bag"
    MIXED_BAG = "bag mixed for infusion"


class Scoring(StrEnum):
    """Whether a tablet may be divided."""

    SCORED = "scored"
    UNSCORED = "unscored"


class Kind(StrEnum):
    """What a figure limits or says; the value is its name in a drug's file."""

    DOSE = "dose"
    DOSE_MOST = "dose_most"
    SITE_MOST = "site_most"
    DAY = "day"
    DAY_MOST = "day_most"
    WEEK = "week"
    WEEK_MOST = "week_most"
    TOTAL_MOST = "total_most"
    RATE = "rate"
    RATE_MOST = "rate_most"
    SPEED_MOST = "speed_most"
    INTERVAL = "interval"
    CONCENTRATION = "concentration"
    CONCENTRATION_STATED = "concentration_stated"
    INFUSION_TIME = "infusion_time"
    LINE = "line"
    DILUENTS = "diluents"
    HIGH_ALERT = "high_alert"


RANGES = (Kind.DOSE, Kind.DAY, Kind.WEEK, Kind.RATE)
"""Written `from` and `to`: what is usual."""

_PUSHED_MINUTES = 5
"""From so many minutes on a dose is infused."""

WORDED = (Kind.LINE, Kind.DILUENTS, Kind.HIGH_ALERT)
"""Written in words, not in numbers."""


@dataclass(frozen=True)
class Citation:
    """Where a figure comes from.

    Args:
        key: A key of sources.toml.
        place: The section of the label or the name of the guideline, "" for the source's own.
    """

    key: str
    place: str = ""

    @property
    def of(self) -> Source:
        """The source."""
        return source(self.key)

    @property
    def from_memory(self) -> bool:
        """Whether nobody has read it: such a figure narrows a draw, and decides nothing else."""
        return self.of.seen == "memory"

    def __str__(self) -> str:
        return self.of.cite(self.place or None)


@dataclass(frozen=True)
class Limit:
    """One figure of a use.

    Args:
        kind: What it limits.
        low: The lower end of a usual range.
        high: The upper end; where several are given, all of them hold (so much for each kg, and so much in all).
        line: For a concentration, the line for which it holds; None for any.
        words: What a diluent, a line or a warning says, and the word "once" of an interval.
        never: Diluents that it doesn't go with.
        citation: Where it comes from.
    """

    kind: Kind
    citation: Citation
    low: Amount | None = None
    high: tuple[Amount, ...] = ()
    line: Line | None = None
    words: tuple[str, ...] = ()
    never: tuple[str, ...] = ()

    @cached_property
    def sourced(self) -> bool:
        """Whether it may decide, and not only narrow a draw."""
        return not self.citation.from_memory


@dataclass(frozen=True)
class Span:
    """For which ages [day] or weights [kg] a use holds; None is open, and `below` leaves out its end."""

    low: Fraction | None = None
    high: Fraction | None = None
    below: Fraction | None = None

    def holds(self, value: Fraction) -> bool:
        """Tell whether a value lies within."""
        return (
            (self.low is None or self.low <= value)
            and (self.high is None or value <= self.high)
            and (self.below is None or value < self.below)
        )


@dataclass(frozen=True)
class Use:
    """A drug by a route, for an age group and an indication, with what is known of it.

    Args:
        routes: The routes for which all the figures hold.
        group: The age group.
        indication: What it is for, in words.
        limits: The figures, in the order of `Kind`.
        manner: An infusion or a patient-controlled pump; None for any other.
        ages: The ages [day] for which it holds.
        weights: The weights [kg] for which it holds.
        condition: For whom alone it holds, such as kidney impairment; an order that doesn't say so doesn't mean it.
        dosed_as: What the amount counts where it isn't the drug itself: elemental iron, phenytoin equivalents.
        note: Conflicts between sources, misprints, how a dose is divided.
    """

    routes: tuple[Route, ...]
    group: AgeGroup
    indication: str
    limits: tuple[Limit, ...]
    manner: Manner | None = None
    ages: Span = Span()
    weights: Span = Span()
    condition: str = ""
    dosed_as: str = ""
    note: str = ""

    @property
    def pushed(self) -> bool:
        """Whether a dose goes in within less than 5 minutes, so that it doesn't come from a bag."""
        time = self.limit(Kind.INFUSION_TIME)
        minutes = [same.value for one in time.high if (same := one.in_unit(MINUTE)) is not None] if time else []
        return bool(minutes) and max(minutes) < _PUSHED_MINUTES

    def limit(self, kind: Kind) -> Limit | None:
        """Return the figure of a kind, None if it isn't known."""
        return self._first.get(kind)

    def figures(self, kind: Kind, *, sourced: bool) -> tuple[Limit, ...]:
        """Return the figures of a kind that a source prints, or those from memory."""
        return self._figures.get((kind, sourced), ())

    @cached_property
    def doses_a_day(self) -> tuple[Fraction, Fraction] | None:
        """The fewest and the most doses of a day by the intervals; None where it has none or is given once."""
        limit = self.limit(Kind.INTERVAL)
        if limit is None or not limit.high:
            return None
        hours = [in_hours.value for one in limit.high if (in_hours := one.in_unit(HOUR)) is not None]
        return Fraction(24) / max(hours), Fraction(24) / min(hours)

    @cached_property
    def _first(self) -> Mapping[Kind, Limit]:
        return {limit.kind: limit for limit in reversed(self.limits)}

    @cached_property
    def _figures(self) -> Mapping[tuple[Kind, bool], tuple[Limit, ...]]:
        found: dict[tuple[Kind, bool], tuple[Limit, ...]] = {}
        for limit in self.limits:
            key = limit.kind, limit.sourced
            found[key] = (*found.get(key, ()), limit)
        return found

    @property
    def high_alert(self) -> bool:
        """Whether a mistake with it does more harm than with most."""
        return self.limit(Kind.HIGH_ALERT) is not None


@dataclass(frozen=True)
class Mixing:
    """How a powder is made up: so much added makes so strong a solution, of so much volume.

    The powder takes up the difference between the volume that is made and the volume that is added.
    """

    add: Amount
    makes: Amount
    citation: Citation
    volume: Amount | None = None
    using: str = ""

    @property
    def displacement(self) -> Amount | None:
        """The volume that the powder takes up, None where the label doesn't print the volume that is made."""
        return self.volume and Amount(self.volume.value - self.add.value, self.volume.unit)


@dataclass(frozen=True)
class Presentation:
    """A form and strength of a drug.

    Args:
        form: Tablet, solution for injection, powder and so on.
        strength: Amount of a tablet or vial, or amount in a volume.
        citation: Where it comes from.
        volumes: Sizes of its vials, bottles or bags.
        labeled: How the label names it (salt, depot, “for injection”), "" where it isn't known.
        states: What else the label states, such as a percentage.
        scoring: Whether a tablet may be divided; None where it isn't known.
        scoring_citation: Where that comes from.
        manner: How alone it is given, as a vial of which the label says that it is infused; None if it isn't said.
        mixing: The ways to make up a powder.
    """

    form: Form
    strength: Amount
    citation: Citation
    volumes: tuple[Amount, ...] = ()
    labeled: str = ""
    states: str = ""
    scoring: Scoring | None = None
    scoring_citation: Citation | None = None
    manner: Manner | None = None
    mixing: tuple[Mixing, ...] = ()

    @property
    def infused(self) -> bool:
        """Whether it is made to be infused alone: a bag, or a vial whose label says so."""
        return self.manner == Manner.INFUSION or self.form in (Form.PREMIXED_BAG, Form.MIXED_BAG)


@dataclass(frozen=True)
class Review:
    """Who looked at a drug's file, and when."""

    by: str
    on: str


@dataclass(frozen=True)
class Drug:
    """All that is known of one drug.

    Args:
        name: Its generic name.
        also: Other names by which an order means it.
        presentations: Its forms and strengths.
        uses: What it is given for, and how.
        reviews: Who reviewed it; empty as it ships.
        note: What must be known before the figures are read.
    """

    name: str
    presentations: tuple[Presentation, ...]
    uses: tuple[Use, ...]
    also: tuple[str, ...] = ()
    reviews: tuple[Review, ...] = ()
    note: str = ""
