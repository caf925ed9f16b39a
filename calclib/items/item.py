"""One drawn item, and its record: all that is needed to mark it later without drawing again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import Any, NamedTuple, cast

from calclib.errors.messages import BadInput
from calclib.items.drawn import Drawing, drawing_of
from calclib.items.recorded.fault_result import FaultResult, RecordedFaults, fault_row
from calclib.items.recorded.recorded_numbers import (
    damaged,
    exact_from_text,
    exact_text,
    number,
    number_or_none,
    recorded_rule,
)
from calclib.items.recorded.unusual import Unusual, unusual_from_record
from calclib.items.recorded.way_values import WayValue, ways_from_rows
from calclib.items.recorded.ways import decided
from calclib.models.papers import Paper, paper_of
from calclib.quantity.enclosure import Exact
from calclib.quantity.rounding import RoundingRule
from calclib.wording.facts import Fact, fact, fact_from_record

RECORD_VERSION = 2


class StatedGiven(NamedTuple):
    """A given as the stem states it: its name, text, role and words."""

    name: str
    text: str
    role: str
    says: str


class Accepted(NamedTuple):
    """An interval of accepted values in the part's unit (a time: minutes; a choice: none) and the way to it."""

    low: Fraction
    high: Fraction
    by: Fact

    @property
    def decided(self) -> bool:
        """Whether a person made it right, and not the rounding policy."""
        return decided(self.by)

    def holds(self, value: Fraction) -> bool:
        """Tell whether a value is accepted. Whole numbers throughout: every answer of a class passes here."""
        low, high, top, bottom = self.low, self.high, value.numerator, value.denominator
        return low.numerator * bottom <= top * low.denominator and top * high.denominator <= high.numerator * bottom


class ItemPart(NamedTuple):
    """One question of an item with its key.

    Args:
        name: The part's name.
        kind: quantity, clock, choice or setup.
        asked: The question.
        unit: The unit of the answer as text ("" for a time or a choice).
        answer: The key as text, in safe notation.
        exact: The value before rounding (minutes after midnight for a time, None for a choice).
        key: The rounded value (minutes for a time, None for a choice).
        rule: The rounding rule (None for a choice).
        rule_text: The rule as it is printed.
        points: What it is worth.
        choices: The choices, right one among them.
        accepted: Intervals of accepted values.
        accepted_choice: The right choice.
        faults: What each fault leads to.
        proceed: The choice that goes ahead with an order, where there is one.
        only_products: Whether the value is a product of the stated numbers, so that faults multiply.
        other_exact: Values before rounding by other legitimate paths, with the path; what is typed with more digits
            than asked may be one of them.
        other_choices: Other choices that are right, with the way that makes them so.
        ways: Where roundings on the way lead. A record without them is of an older version: then no number is taken
            for one that was rounded on the way.
        one_unit: Why one unit alone answers: what answers is a `conversion`, a setting of a `pump`, or a reading of a
            `device`; "" where another unit of the same kind is right too.
        converts: The value that the stem states and its unit, where changing that unit is all that is asked.
        missed: What it would mean to make another choice, in a sentence.
        says: What is asked, as a noun phrase: “pump rate”; "" in a record of an older version.
        decides: Whether it asks for the "act" or the "reason" of a decision about an order; "" for neither.
    """

    name: str
    kind: str
    asked: str
    unit: str
    answer: str
    exact: Exact | None
    key: Fraction | None
    rule: RoundingRule | None
    rule_text: str
    points: int
    choices: tuple[str, ...]
    accepted: tuple[Accepted, ...]
    accepted_choice: str | None
    faults: tuple[FaultResult, ...]
    proceed: str | None = None
    only_products: bool = False
    other_exact: tuple[tuple[Exact, Fact], ...] = ()
    other_choices: tuple[tuple[str, Fact], ...] = ()
    ways: Sequence[WayValue] = ()
    one_unit: str = ""
    converts: tuple[Fraction, str] | None = None
    missed: str = ""
    says: str = ""
    decides: str = ""

    @property
    def words(self) -> str:
        """What people read in the place of the part's name."""
        return self.says or self.name.replace("_", " ")


class Item(NamedTuple):
    """One drawn item.

    Args:
        model_id: The item model.
        model_version: Its version.
        model_hash: SHA-256 of its text.
        topic: Its topic.
        skill: Its skill.
        seed: The text from which it was drawn.
        policy_name: The rounding policy.
        equivalences: The conversions it uses with their exact values as text, "11/5".
        stem: The text with numbers.
        givens: The givens as stated.
        parts: The questions.
        caution: A caution to print with it.
        fair: Whether all legitimate paths lead to the key.
        diagnosable: Whether hard faults lead to different answers.
        why: What is not fair, not diagnosable or not plausible, as facts of `draw.toml`.
        worked: For each part the lines of its worked solution, as facts; an earlier part's steps are not repeated.
        drawings: Devices from which a value is read that the stem does not state.
        papers: Order, record, labels and references that are drawn beside the stem.
        unusual: In what a teacher's own numbers go beyond the formulary.
        own_names: The names that its model gives its parts, where they go by those of another problem's; else ().
    """

    model_id: str
    model_version: int
    model_hash: str
    topic: str
    skill: str
    seed: str
    policy_name: str
    equivalences: Mapping[str, str]
    stem: str
    givens: tuple[StatedGiven, ...]
    parts: tuple[ItemPart, ...]
    caution: str
    fair: bool
    diagnosable: bool
    why: tuple[Fact, ...]
    worked: Mapping[str, tuple[Fact, ...]] = MappingProxyType({})
    drawings: tuple[Drawing, ...] = ()
    unusual: tuple[Unusual, ...] = ()
    papers: tuple[Paper, ...] = ()
    own_names: tuple[str, ...] = ()

    @property
    def pictures(self) -> tuple[Paper | Drawing, ...]:
        """All that is drawn beside the stem, in the order in which it is shown."""
        return (*self.papers, *self.drawings)

    @property
    def in_words(self) -> str:
        """The stem, with words in the place of its drawings."""
        return "\n\n".join((self.stem, *(picture.alt for picture in self.pictures)))

    def part(self, name: str) -> ItemPart:
        """Return one part.

        Raises:
            BadInput: There is no part of that name.
        """
        for part in self.parts:
            if part.name == name:
                return part
        raise BadInput(
            fact("errors_models.no_part", model=self.model_id, name=name, known=tuple(p.name for p in self.parts))
        )

    def to_record(self) -> dict[str, Any]:
        """Return the item as values that JSON can hold."""
        return {
            "record": RECORD_VERSION,
            "model": [self.model_id, self.model_version, self.model_hash],
            "topic": self.topic,
            "skill": self.skill,
            "seed": self.seed,
            "policy": self.policy_name,
            "equivalences": dict(self.equivalences),
            "stem": self.stem,
            "givens": [[g.name, g.text, g.role, g.says] for g in self.givens],
            "parts": [_part_record(p) for p in self.parts],
            "caution": self.caution,
            "fair": self.fair,
            "diagnosable": self.diagnosable,
            "why": [one.to_record() for one in self.why],
            "worked": {name: [line.to_record() for line in lines] for name, lines in self.worked.items()},
            **({"drawings": [d.to_record() for d in self.drawings]} if self.drawings else {}),
            **({"papers": [p.to_record() for p in self.papers]} if self.papers else {}),
            **({"unusual": [one.to_record() for one in self.unusual]} if self.unusual else {}),
            **({"own_names": list(self.own_names)} if self.own_names else {}),
        }


def recorded_pictures(record: Mapping[str, Any]) -> tuple[Paper | Drawing, ...]:
    """Return all that was drawn beside the stem of a recorded item."""
    return (*map(paper_of, record.get("papers", ())), *map(drawing_of, record.get("drawings", ())))


def item_from_record(record: Mapping[str, Any]) -> Item:
    """Return the item that `Item.to_record` recorded; nothing is drawn and no bank is read.

    Raises:
        BadInput: The record is of another version or damaged.
    """
    if record.get("record") != RECORD_VERSION:
        raise BadInput(fact("errors_items.other_version"))
    try:
        model_id, version, digest = record["model"]
        return Item(
            model_id,
            version,
            digest,
            record["topic"],
            record["skill"],
            record["seed"],
            record["policy"],
            dict(record["equivalences"]),
            record["stem"],
            tuple(map(StatedGiven._make, record["givens"])),
            tuple(map(_part, record["parts"])),
            record["caution"],
            record["fair"],
            record["diagnosable"],
            tuple(map(fact_from_record, record["why"])),
            {name: tuple(map(fact_from_record, lines)) for name, lines in record["worked"].items()},
            tuple(map(drawing_of, record.get("drawings", ()))),
            tuple(map(unusual_from_record, record.get("unusual", ()))),
            tuple(map(paper_of, record.get("papers", ()))),
            tuple(record.get("own_names", ())),
        )
    except (KeyError, TypeError, ValueError, ZeroDivisionError) as error:
        raise damaged(error) from None


def _part_record(part: ItemPart) -> dict[str, Any]:
    choices = [[choice, by.to_record()] for choice, by in part.other_choices]
    others = [[exact_text(value), by.to_record()] for value, by in part.other_exact]
    return {
        **({"other_exact": others} if others else {}),
        **({"other_choices": choices} if choices else {}),
        **({"ways": [[exact_text(w.value), w.step, w.manner, w.decimals] for w in part.ways]} if part.ways else {}),
        **({"one_unit": part.one_unit} if part.one_unit else {}),
        **({"converts": [str(part.converts[0]), part.converts[1]]} if part.converts else {}),
        **({"missed": part.missed} if part.missed else {}),
        **({"says": part.says} if part.says else {}),
        **({"decides": part.decides} if part.decides else {}),
        "name": part.name,
        "kind": part.kind,
        "asked": part.asked,
        "unit": part.unit,
        "answer": part.answer,
        "exact": None if part.exact is None else exact_text(part.exact),
        "key": None if part.key is None else str(part.key),
        "rule": None if part.rule is None else part.rule.to_record(),
        "rule_text": part.rule_text,
        "points": part.points,
        "choices": list(part.choices),
        "accepted": [[str(a.low), str(a.high), a.by.to_record()] for a in part.accepted],
        "accepted_choice": part.accepted_choice,
        "proceed": part.proceed,
        "only_products": part.only_products,
        "faults": [fault_row(f) for f in part.faults],
    }


def _part(record: Mapping[str, Any]) -> ItemPart:
    return ItemPart(
        record["name"],
        record["kind"],
        record["asked"],
        record["unit"],
        record["answer"],
        None if record["exact"] is None else exact_from_text(record["exact"]),
        number_or_none(record["key"]),
        None if record["rule"] is None else recorded_rule(record["rule"]),
        record["rule_text"],
        record["points"],
        tuple(record["choices"]),
        tuple([Accepted(number(low), number(high), fact_from_record(by)) for low, high, by in record["accepted"]]),
        record["accepted_choice"],
        # Behaves as a tuple for whoever looks at it.
        cast("tuple[FaultResult, ...]", RecordedFaults(record["faults"])),
        record["proceed"],
        record["only_products"],
        tuple([(exact_from_text(value), fact_from_record(by)) for value, by in record.get("other_exact", ())]),
        tuple([(choice, fact_from_record(by)) for choice, by in record.get("other_choices", ())]),
        ways_from_rows(record["ways"]) if "ways" in record else (),
        record.get("one_unit", ""),
        _stated_value(*record["converts"]) if "converts" in record else None,
        missed=record.get("missed", ""),
        says=record.get("says", ""),
        decides=record.get("decides", ""),
    )


def _stated_value(value: str, unit: str) -> tuple[Fraction, str]:
    return number(value), unit
