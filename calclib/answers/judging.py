"""The judge: from typed texts to verdicts, by the recorded item alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cached_property
from typing import Protocol

from calclib.answers.diagnosis import GUESSES, cause_of, causes_of, clock_causes, other_kinds
from calclib.answers.marking_policy import MarkingPolicy
from calclib.answers.messages import message_of
from calclib.answers.miscopied import as_printed
from calclib.answers.numbers import FEWER, ON_THE_WAY, WRONG, number_status
from calclib.answers.setups.parts import setups_of_bank
from calclib.answers.typed_reading import read_part
from calclib.answers.units import typed_unit
from calclib.answers.verdict import ANOTHER_PATH, RIGHT, Cause, PartVerdict, SetupFound
from calclib.errors.messages import BadInput
from calclib.items.item import Item, ItemPart, StatedGiven, decided
from calclib.models.model import SETUP
from calclib.reading.notation import notation_rules
from calclib.reading.records import Blank, Reading, Unread

DAY = 1440
ONE = Fraction(1)
_NUMBER = re.compile(r"[0-9]+(?:,[0-9]{3})*(?:\.[0-9]+)?")
_OPERATOR = re.compile(r"[0-9a-zA-Z)]\s*(?:[*/÷×x]|per)\s*\(?[0-9]")
_MARKED = ", where the mistake was marked"
_ROUNDED = ", as you rounded it"

Carried = Callable[[str, Mapping[str, Fraction | str]], ItemPart | None]


class SetUps(Protocol):
    """Judges set-ups, see `calclib.answers.setups.parts`."""

    def __call__(self, part: str, text: str) -> tuple[tuple[str, str], ...]:
        """Return what is wrong with a set-up that was typed as an answer: what it concerns, and a sentence."""

    def judged(self, part: str, text: str, own: Mapping[str, Fraction]) -> SetupFound:
        """Return what a set-up is, where the set-up is what is asked."""


class Finding:
    """What was found of one answer before the marking policy values it.

    `also` is the verdict on the number where the verdict is on the unit: the answer is worth the lesser of the two.
    `another` says that the number is right only by a path that does not lead to the key. `message` takes the place of
    the usual words.
    """

    __slots__ = ("accepted_by", "also", "another", "causes", "critical_ratio", "message", "verdict")

    def __init__(
        self,
        verdict: str,
        accepted_by: str = "",
        causes: tuple[Cause, ...] = (),
        ratio: Fraction | None = None,
        also: str = "",
        another: bool = False,
        message: str = "",
    ) -> None:
        self.verdict = verdict
        self.accepted_by = accepted_by
        self.causes = causes
        self.critical_ratio = ratio
        self.also = also
        self.another = another
        self.message = message


class _Facts:
    """What the judgement of every part needs of the item; it holds the numbers in the stem."""

    def __init__(self, item: Item) -> None:
        self.conversions = tuple(item.equivalences.items())
        self.stem = item.stem
        self._item = item

    def __contains__(self, value: object) -> bool:
        return value in self._stated

    @cached_property
    def givens(self) -> tuple[StatedGiven, ...]:
        """The numbers that may have been copied wrongly."""
        return as_printed(self.stem, self._item.givens)

    @cached_property
    def _stated(self) -> frozenset[Fraction]:
        return frozenset(Fraction(number.replace(",", "")) for number in _NUMBER.findall(self.stem))


def judge_item(
    item: Item,
    answers: Mapping[str, str],
    marking: MarkingPolicy,
    *,
    carried: Carried | None = None,
    setups: SetUps | None = None,
) -> tuple[PartVerdict, ...]:
    """Return the verdict on each part of an item, in the item's order.

    Args:
        item: The item as drawn or recorded.
        answers: Typed texts by part name; a part without one is blank.
        marking: What each verdict is worth.
        carried: Gives a later part keyed anew from the student's own values of earlier parts; None where that can't be
            done. It is asked only when a later part does not agree with its key.
        setups: Judges set-ups: of parts that ask for one (by the bank's model if None; without a model a person must
            look), and where arithmetic was typed and comes out wrong.

    Raises:
        BadInput: An answer is for a part that the item does not have.
    """
    names = [part.name for part in item.parts]
    for name in answers:
        if name not in names:
            raise BadInput(f"{item.model_id} has no part “{name}”; it has {', '.join(names)}")
    facts = _Facts(item)
    wrong: dict[str, Fraction | str] = {}
    entered: dict[str, Fraction | str] = {}
    verdicts = []
    for part in item.parts:
        text = answers.get(part.name, "")
        reading = read_part(item, part, text)
        if part.kind == SETUP:
            reading, finding, own = _setup(item, part, reading, setups, wrong)
            if own is not None:
                entered[part.name] = wrong[part.name] = own
            verdicts.append(_verdict(item, part, reading, finding, marking))
            continue
        finding, value = _finding(part, reading, facts)
        if entered and carried is not None and finding.verdict not in RIGHT and isinstance(reading, Reading):
            finding = _carried_finding(part, reading, finding, facts, carried, wrong, entered)
        if setups is not None and finding.verdict in ("wrong", "wrong_with_cause") and _is_setup(reading):
            finding = _setup_finding(finding, setups(part.name, text))
        if value is not None and not _leads_on_alike(part, value):
            entered[part.name] = value
            if finding.verdict not in RIGHT:
                wrong[part.name] = value
        verdicts.append(_verdict(item, part, reading, finding, marking))
    return tuple(verdicts)


def _leads_on_alike(part: ItemPart, value: Fraction | str) -> bool:
    """Whether later parts come out as they are keyed for whoever goes on with an answer: nothing of it was rounded."""
    if _keeps_more(part):
        return False
    return value == part.accepted_choice if part.key is None else part.exact == part.key == value


def _keeps_more(part: ItemPart) -> bool:
    """Whether a ruling keeps other values right beside the key."""
    return bool(part.other_choices) or any(decided(path) for _, path in part.other_exact)


def _setup(
    item: Item,
    part: ItemPart,
    reading: Reading | Unread | Blank,
    setups: SetUps | None,
    wrong: Mapping[str, Fraction | str],
) -> tuple[Reading | Unread | Blank, Finding, Fraction | None]:
    """How a set-up that is asked was read, what it is, and what a wrong one comes to."""
    if not isinstance(reading, Reading):
        return reading, Finding("blank" if isinstance(reading, Blank) else "unread"), None
    judge = setups or setups_of_bank(item)
    if judge is None:
        return Unread(reading.text, "The kind of problem has changed since it was drawn.", 0), Finding("unread"), None
    own = {name: value for name, value in wrong.items() if isinstance(value, Fraction)}
    found = judge.judged(part.name, reading.text, own)
    if found.verdict == "unread":
        return Unread(reading.text, found.reason, 0), Finding("unread"), None
    by = {"right": "the set-up", "carried_forward": f"your own answer to {', '.join(own)}{_MARKED}"}
    return reading, Finding(found.verdict, by.get(found.verdict, ""), found.causes, message=found.message), found.value


def _is_setup(reading: Reading | Unread | Blank) -> bool:
    return isinstance(reading, Reading) and reading.decimals is None and _OPERATOR.search(reading.text) is not None


def _setup_finding(finding: Finding, shown: tuple[tuple[str, str], ...]) -> Finding:
    """What a typed set-up shows says more than the number to which it comes."""
    if not shown:
        return finding
    causes = tuple(Cause("set-up", "", what, len(shown) == 1, says) for what, says in shown)
    return Finding("wrong_with_cause", finding.accepted_by, causes, finding.critical_ratio)


def _finding(part: ItemPart, reading: Reading | Unread | Blank, facts: _Facts) -> tuple[Finding, Fraction | str | None]:
    """What the answer is, and its value in the unit asked where it has one."""
    if isinstance(reading, Blank):
        return Finding("blank"), None
    if isinstance(reading, Unread):
        return Finding("unread"), None
    if part.kind == "choice":
        return _choice(part, reading), reading.choice
    if part.kind == "clock":
        return _clock(part, reading, facts)
    return _quantity(part, reading, facts)


def _quantity(part: ItemPart, reading: Reading, facts: _Facts) -> tuple[Finding, Fraction | str | None]:
    assert reading.value is not None and part.key is not None
    unit = typed_unit(reading.unit, part.unit, facts.conversions)
    factor = unit.factor if unit.factor is not None else ONE
    value = reading.value if factor == 1 else reading.value * factor
    status = number_status(part, value, reading.decimals, factor)
    if status.verdict == "right" and unit.status == "same":
        return Finding("right", status.by, another=status.another), value
    ratio = value / part.key if part.key else None
    doubtful = status.verdict == "rounded_wrongly" and status.by in (FEWER, ON_THE_WAY)
    if doubtful and _hard_fault(part, value):
        status = WRONG
    if status.verdict == "wrong":
        if unit.status == "other" and number_status(part, reading.value, reading.decimals, ONE).verdict in RIGHT:
            return Finding("unit_wrong", ratio=ratio), value
        found = causes_of(part, value, reading.decimals, factor, facts, facts.givens, doubtful=doubtful)
        return Finding("wrong_with_cause" if found else "wrong", causes=found, ratio=ratio), value
    worst, also = status.verdict, ""
    if unit.status == "other" and worst == "right":
        worst = "right_in_another_unit"
    elif unit.status in ("missing", "wrong"):
        worst, also = f"unit_{unit.status}", worst
    causes: tuple[Cause, ...] = ()
    if status.verdict == "rounded_wrongly":
        early = [c for c in causes_of(part, value, reading.decimals, factor, facts) if c.fault not in GUESSES]
        causes = tuple(Cause(c.fault, c.step, c.given, False, c.says) for c in early)
    return Finding(worst, status.by, causes, ratio, also, status.another), value


def _hard_fault(part: ItemPart, value: Fraction) -> bool:
    return any(f.hard and not f.spare and f.fault != "rounded early" and f.written == value for f in part.faults)


def _clock(part: ItemPart, reading: Reading, facts: _Facts) -> tuple[Finding, Fraction | str | None]:
    assert reading.clock is not None and part.key is not None and part.exact is not None
    minutes, day = reading.clock
    key_day, key_minutes = divmod(int(part.key), DAY)
    value = Fraction(minutes + DAY * (day if day is not None else key_day))
    if ways := [a for a in part.accepted if minutes in _shown_minutes(a.low)]:
        way = next((a for a in ways if day in (None, a.low // DAY)), None)
        if way is not None:
            another = minutes not in _shown_minutes(part.key) and not way.decided
            return Finding("right", way.by, another=another), minutes + DAY * Fraction(way.low // DAY)
        assert day is not None, "without a day the time is right"
        exactly = tuple(cause_of(f, False) for f in part.faults if f.written == value)
        word = "not turning the day over at midnight" if key_day > day else "turning the day over before midnight"
        wrong_day = Cause("wrong day", "", "", not exactly, word)
        return Finding("wrong_with_cause", causes=(wrong_day, *exactly)), value
    exact = part.exact
    if not isinstance(exact, Fraction):
        return Finding("wrong"), value
    if exact.denominator != 1 and minutes in (int(exact) % DAY, (int(exact) + 1) % DAY):
        return Finding("rounded_wrongly", "rounded to the other minute"), value
    causes = clock_causes(part, minutes, facts.givens)
    if not causes and abs(minutes - key_minutes) == DAY // 2:
        twelve = Cause("twelve hours", "", "", True, "a time that is 12 hours off")
        return Finding("wrong_with_cause", causes=(twelve,)), value
    return Finding("wrong_with_cause" if causes else "wrong", causes=causes), value


def _shown_minutes(value: Fraction) -> tuple[int, ...]:
    """The times of day that show a value: where a rule keeps parts of a minute, the two next to it."""
    below = value.__floor__()
    return (below % DAY,) if value == below else (below % DAY, (below + 1) % DAY)


def _choice(part: ItemPart, reading: Reading) -> Finding:
    if reading.choice == part.accepted_choice:
        return Finding("right", "the comparison")
    if way := dict(part.other_choices).get(reading.choice or ""):
        return Finding("right", way)
    found = [f for f in part.faults if f.choice == reading.choice]
    causes = tuple(cause_of(f, False) for f in found[:1]) + (other_kinds(found) if found else ())
    return Finding("wrong_with_cause" if causes else "wrong", causes=causes)


def _carried_finding(
    part: ItemPart,
    reading: Reading,
    finding: Finding,
    facts: _Facts,
    carried: Carried,
    wrong: Mapping[str, Fraction | str],
    entered: Mapping[str, Fraction | str],
) -> Finding:
    """The finding by the part keyed anew from the student's own earlier values, if it agrees with that.

    First from what was wrong; then from all that was entered, since a rounded answer is what a student goes on with.
    """
    ways = [(own, by) for own, by in ((wrong, _MARKED), (entered, _ROUNDED)) if own]
    lesser: Finding | None = None
    for own, by in ways if len(wrong) < len(entered) else ways[:1]:
        anew = carried(part.name, own)
        if anew is None or (
            anew.key == part.key and anew.accepted_choice == part.accepted_choice and not _keeps_more(anew)
        ):
            continue
        again, _ = _finding(anew, reading, facts)
        source = f"your own answer to {', '.join(own)}{by}"
        if again.verdict in RIGHT:
            return Finding("carried_forward", source, (), finding.critical_ratio)
        if again.verdict in ("rounded_wrongly", "unit_missing", "unit_wrong") and finding.verdict.startswith("wrong"):
            lesser = lesser or Finding(again.verdict, again.accepted_by, again.causes, None, again.also)
    return lesser or finding


def _verdict(
    item: Item, part: ItemPart, reading: Reading | Unread | Blank, finding: Finding, marking: MarkingPolicy
) -> PartVerdict:
    verdict = finding.verdict
    score = marking.worth[verdict]
    if finding.also:
        score = min(score, marking.worth[finding.also])
    notices: tuple[tuple[str, str], ...] = ()
    if isinstance(reading, Reading) and reading.notices:
        rules = tuple(dict.fromkeys(n.rule for n in reading.notices))
        notices = tuple((rule, notation_rules()[rule].source) for rule in rules)
        for rule in rules:
            listed = notation_rules()[rule].joint_commission
            score -= marking.joint_commission_costs if listed else marking.other_notice_costs
    if finding.another:
        notices = (*notices, (ANOTHER_PATH, f"rounding policy {item.policy_name}"))
        score -= marking.another_path_costs
    if notices:
        score = max(score, Fraction(0))
    critical = _critical(part, reading, finding, marking)
    fails = marking.critical_fails if critical else "nothing"
    if fails != "nothing":
        score = Fraction(0)
    message = message_of(
        item,
        part,
        reading,
        verdict,
        finding.causes,
        finding.critical_ratio,
        critical,
        finding.accepted_by,
        also=finding.also,
        another=finding.another,
        own_words=finding.message,
    )
    return PartVerdict(
        part=part.name,
        verdict=verdict,
        right=verdict in RIGHT,
        score=score,
        critical=critical,
        fails=fails,
        needs_person=verdict == "unread",
        notices=notices,
        reading=reading,
        accepted_by=finding.accepted_by if verdict in RIGHT or verdict == "carried_forward" else "",
        expected_rule=part.rule_text,
        causes=finding.causes,
        message=message,
    )


def _critical(part: ItemPart, reading: Reading | Unread | Blank, finding: Finding, marking: MarkingPolicy) -> bool:
    """An answer many times too large or too small, or going ahead with an order that must be held."""
    if part.kind == "choice" and isinstance(reading, Reading):
        right = (part.accepted_choice, *dict(part.other_choices))
        return part.proceed is not None and reading.choice == part.proceed and part.proceed not in right
    if finding.verdict in RIGHT or finding.verdict in ("carried_forward", "unit_missing", "rounded_wrongly"):
        return False
    if finding.critical_ratio is None:
        return False
    ratio = abs(finding.critical_ratio)
    return ratio >= marking.critical_factor or ratio * marking.critical_factor <= 1
