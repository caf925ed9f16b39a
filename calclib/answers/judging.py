"""The judge: from typed texts to verdicts, by the recorded item alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from typing import Protocol

from calclib.answers.feedback.messages import kept_from_judging, not_judged_told, told_of
from calclib.answers.finding import Facts, Finding, found_in
from calclib.answers.marking_policy import MarkingPolicy
from calclib.answers.setups.parts import setups_of_bank
from calclib.answers.typed_reading import read_part
from calclib.answers.verdict import ANOTHER_PATH, LOOKED_AT, RIGHT, WRONG, Cause, PartVerdict, SetupFound
from calclib.errors.messages import BadInput
from calclib.items.item import Item, ItemPart
from calclib.items.recorded.ways import decided
from calclib.models.model import SETUP
from calclib.reading.notation import notation_rules
from calclib.reading.records import Blank, Reading, Unread
from calclib.wording.facts import Fact, fact

_OPERATOR = re.compile(r"[0-9a-zA-Z)]\s*(?:[*/÷×x]|per)\s*\(?[0-9]")
# What a part may become by a student's own earlier values, although it is wrong by the key.
_LESSER = frozenset({"rounded_wrongly", "unit_missing", "unit_wrong", "not_the_unit_asked"})

Carried = Callable[[str, Mapping[str, Fraction | str]], ItemPart | None]


class SetUps(Protocol):
    """Judges set-ups, see `calclib.answers.setups.parts`."""

    def __call__(self, part: str, text: str) -> tuple[tuple[str, Fact], ...]:
        """Return what is wrong with a set-up that was typed as an answer, with what it concerns."""

    def judged(self, part: str, text: str, own: Mapping[str, Fraction]) -> SetupFound:
        """Return what a set-up is, where the set-up is what is asked."""


def judge_item(
    item: Item,
    answers: Mapping[str, str],
    marking: MarkingPolicy,
    *,
    carried: Carried | None = None,
    setups: SetUps | None = None,
) -> tuple[PartVerdict, ...]:
    """Return the verdict on each part of an item, in the item's order.

    An error of this program in one part leaves that part to a person; the others are judged.

    Args:
        item: The item as drawn or recorded.
        answers: Typed texts by part name; a part without one is blank.
        marking: What each verdict is worth.
        carried: Gives a later part re-keyed from the student's own values of earlier parts; None where that can't be
            done. It is asked only when a later part does not agree with its key.
        setups: Judges set-ups: of parts that ask for one (by the bank's model if None; without a model a person must
            look), and where arithmetic was typed and comes out wrong.

    Raises:
        BadInput: An answer is for a part that the item does not have.
    """
    names = [part.name for part in item.parts]
    for name in answers:
        if name not in names:
            raise BadInput(fact("errors_models.no_part", model=item.model_id, name=name, known=tuple(names)))
    judging = _Judging(item, marking, carried, setups)
    verdicts = []
    for part in item.parts:
        text = answers.get(part.name, "")
        try:
            verdicts.append(judging.verdict_on(part, text))
        except Exception as error:  # noqa: BLE001 - whatever one answer sets off, the others are judged
            verdicts.append(not_judged(part.name, text, error, rule=part.rule_text))
    return tuple(verdicts)


def not_judged(part: str, text: str, error: Exception, *, rule: str = "") -> PartVerdict:
    """Return the verdict on an answer that an error of this program kept from being judged: a person looks.

    Args:
        part: The part's name.
        text: What was typed.
        error: What went wrong.
        rule: The rounding rule that is printed with the question.
    """
    kind = type(error).__name__
    return PartVerdict(
        part=part,
        verdict="not_judged",
        right=False,
        score=Fraction(0),
        critical=False,
        fails="nothing",
        needs_person=True,
        notices=(),
        reading=Unread(text, kept_from_judging(kind), 0),
        accepted_by=None,
        expected_rule=rule,
        causes=(),
        told=not_judged_told(kind),
        error=kind,
    )


class _Judging:
    """The parts of one item judged in turn; what was entered in one goes into the next."""

    def __init__(self, item: Item, marking: MarkingPolicy, carried: Carried | None, setups: SetUps | None) -> None:
        self.item, self.marking, self.carried, self.setups = item, marking, carried, setups
        self.facts = Facts(item)
        self.wrong: dict[str, Fraction | str] = {}
        self.entered: dict[str, Fraction | str] = {}

    def verdict_on(self, part: ItemPart, text: str) -> PartVerdict:
        reading = read_part(self.item, part, text)
        if part.kind == SETUP:
            reading, finding, own = self._setup(part, reading)
            if own is not None:
                self.entered[part.name] = self.wrong[part.name] = own
            return _verdict(self.item, part, reading, finding, self.marking)
        finding, value = found_in(part, reading, self.facts)
        keyed = finding.verdict
        try:
            if self.entered and self.carried is not None and keyed not in RIGHT and isinstance(reading, Reading):
                finding = self._carried(part, reading, finding)
            if self.setups is not None and finding.verdict in WRONG and _is_setup(reading):
                finding = _setup_finding(finding, self.setups(part.name, text))
        finally:  # a later part goes on from what was entered, whatever became of this one
            if value is not None and not _leads_on_alike(part, value):
                self.entered[part.name] = value
                if finding.verdict not in RIGHT:
                    self.wrong[part.name] = value
        return _verdict(self.item, part, reading, finding, self.marking)

    def _setup(
        self, part: ItemPart, reading: Reading | Unread | Blank
    ) -> tuple[Reading | Unread | Blank, Finding, Fraction | None]:
        """How a set-up that is asked was read, what it is, and what a wrong one comes to."""
        if not isinstance(reading, Reading):
            return reading, Finding("blank" if isinstance(reading, Blank) else "unread"), None
        judge = self.setups or setups_of_bank(self.item)
        if judge is None:
            return Unread(reading.text, fact("setup.model_changed"), 0), Finding("unread"), None
        own = {name: value for name, value in self.wrong.items() if isinstance(value, Fraction)}
        found = judge.judged(part.name, reading.text, own)
        if found.verdict == "unread":
            return Unread(reading.text, found.told[0], 0), Finding("unread"), None
        ways = {"right": fact("way.setup"), "carried_forward": fact("way.own_marked", parts=self._words(own))}
        finding = Finding(found.verdict, ways.get(found.verdict), found.causes, told=found.told)
        return reading, finding, found.value

    def _words(self, parts: Iterable[str]) -> tuple[str, ...]:
        return tuple(self.item.part(name).words for name in parts)

    def _carried(self, part: ItemPart, reading: Reading, finding: Finding) -> Finding:
        """The finding by the part re-keyed from the student's own earlier values, if it agrees with that.

        First from what was wrong; then from all that was entered, since students go on from rounded answers.
        """
        assert self.carried is not None
        marked, rounded = self._words(self.wrong), self._words(self.entered)
        goes_on = [(self.wrong, fact("way.own_marked", parts=marked))] if self.wrong else []
        if len(self.wrong) < len(self.entered):
            goes_on.append((self.entered, fact("way.own_rounded", parts=rounded)))
        lesser: Finding | None = None
        for own, way in goes_on:
            rekeyed = self.carried(part.name, own)
            if rekeyed is None or (
                rekeyed.key == part.key and rekeyed.accepted_choice == part.accepted_choice and not _keeps_more(rekeyed)
            ):
                continue
            again, _ = found_in(rekeyed, reading, self.facts)
            if again.verdict in RIGHT:
                return Finding("carried_forward", way, (), finding.critical_ratio)
            if again.verdict in _LESSER and finding.verdict in WRONG:
                lesser = lesser or again.without_ratio()
        return lesser or finding


def _leads_on_alike(part: ItemPart, value: Fraction | str) -> bool:
    """Whether later parts come out as they are keyed for whoever goes on with an answer: nothing of it was rounded."""
    if _keeps_more(part):
        return False
    return value == part.accepted_choice if part.key is None else part.exact == part.key == value


def _keeps_more(part: ItemPart) -> bool:
    """Whether a ruling keeps other values right beside the key."""
    return bool(part.other_choices) or any(decided(way) for _, way in part.other_exact)


def _is_setup(reading: Reading | Unread | Blank) -> bool:
    return isinstance(reading, Reading) and reading.decimals is None and _OPERATOR.search(reading.text) is not None


def _setup_finding(finding: Finding, shown: tuple[tuple[str, Fact], ...]) -> Finding:
    """What a typed set-up shows says more than the number to which it comes."""
    if not shown:
        return finding
    causes = tuple(Cause("set-up", "", concerned, len(shown) == 1, what) for concerned, what in shown)
    return Finding("wrong_with_cause", finding.way, causes, finding.critical_ratio)


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
    told = told_of(
        item,
        part,
        reading,
        verdict,
        finding.causes,
        finding.critical_ratio,
        critical,
        finding.way,
        also=finding.also,
        another=finding.another,
        own=finding.told,
        rounding=finding.rounding,
    )
    return PartVerdict(
        part=part.name,
        verdict=verdict,
        right=verdict in RIGHT,
        score=score,
        critical=critical,
        fails=fails,
        needs_person=verdict in LOOKED_AT,
        notices=notices,
        reading=reading,
        accepted_by=finding.way if verdict in RIGHT or verdict == "carried_forward" else None,
        expected_rule=part.rule_text,
        causes=finding.causes,
        told=told,
        rounding=finding.rounding,
    )


# However large or small such an answer is, its number is right or nearly so.
_HARMLESS = RIGHT | {"carried_forward", "unit_missing", "rounded_wrongly", "repeats_the_order", "not_the_unit_asked"}


def _critical(part: ItemPart, reading: Reading | Unread | Blank, finding: Finding, marking: MarkingPolicy) -> bool:
    """An answer many times too large or too small, or going ahead with an order that must be held."""
    if part.kind == "choice" and isinstance(reading, Reading):
        right = (part.accepted_choice, *dict(part.other_choices))
        return part.proceed is not None and reading.choice == part.proceed and part.proceed not in right
    if finding.verdict in _HARMLESS or finding.critical_ratio is None:
        return False
    ratio = abs(finding.critical_ratio)
    return ratio >= marking.critical_factor or ratio * marking.critical_factor <= 1
