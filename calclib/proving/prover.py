"""The proof of an item model: many items drawn from it and looked at, each draw, text and key.

`prove` depends on nothing but its arguments (its clock apart) and returns plain values that can be added up, so that
the work can be spread over processes or machines.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from time import process_time_ns

from calclib.chains.chain import Chain
from calclib.chains.factors import Value
from calclib.errors.file_lines import FileLines
from calclib.errors.messages import BadInput, CalclibError
from calclib.items.computed import Against, Refused
from calclib.items.drawing import draw_item, draws
from calclib.items.item import Item, item_from_record
from calclib.items.keys.keying import part_of
from calclib.items.solution import Solution, solution_of
from calclib.items.stated_rounding import rounded_as_recorded
from calclib.models.markup import markup_in
from calclib.models.model import ItemModel
from calclib.models.reader import model_or_mistakes
from calclib.models.stated import read_stated
from calclib.proving.cautions import stray_words
from calclib.proving.glances import Glances
from calclib.proving.independent_keys import disagreements
from calclib.proving.numbers import counted_names, numbers_mark
from calclib.proving.proof_row import ProofRow, Shortfall
from calclib.proving.sound_orders import OrderLook, looks_at_orders
from calclib.proving.standing import standing_problems
from calclib.proving.stem_notation import slips, unsafe_notation
from calclib.proving.usage import unused_givens
from calclib.quantity.policies import rounding_policy
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

LOOK_AT_EVERY = 20
"""One item in so many is keyed again by sympy and by pint, read back from its text and from its record."""

WHOLE = 200
"""So many draws of a proof are looked at whole: text, mistakes, solution and record; the others by their numbers."""

NOT_PLAUSIBLE = (Refused.IMPLAUSIBLE, Refused.BEYOND, Refused.NOT_COMPUTED)
GIVE_UP_AFTER = 3
SLOWEST_ITEM = 2_000_000_000
KINDS_OF_REASON = 30
MOST_MISTAKES = 40

_NUMBERS = re.compile(r"\d[\d,.]*")


def prove(model_text: str, where: str, seeds: Sequence[str]) -> ProofRow:
    """Return what drawing an item from each seed shows of a model.

    Args:
        model_text: The text of the model's file.
        where: The file's name, for messages.
        seeds: Texts to draw from; the same texts give the same row.
    """
    read = model_or_mistakes(model_text, where)
    if not isinstance(read, ItemModel):
        return ProofRow(where, shortfalls=tuple(Shortfall(where, one.line, one.what) for one in _by_line(read)))
    proof = _Proof(read, where)
    proof.standing()
    for place, seed in enumerate(seeds):
        if proof.hopeless(place):
            break
        if not looked_at_whole(seed):
            proof.glance(seed)
            continue
        item = proof.drawn(seed)
        if item is not None:
            proof.print_is_right(item)
            proof.order_is_sound(item)
            if place % LOOK_AT_EVERY == 0:
                proof.look_closely(item)
    return proof.row()


def looked_at_whole(seed: str) -> bool:
    """Whether the draw of a seed is looked at whole, and not by its numbers and its order alone."""
    _, _, number = seed.rpartition(" ")
    return not number.isdigit() or int(number) < WHOLE


def _by_line(mistakes: Sequence[BadInput]) -> Sequence[BadInput]:
    """The mistakes in the order of the file, a bounded number of them."""
    return sorted(mistakes, key=lambda one: one.line or 0)[:MOST_MISTAKES]


class _Proof:
    """The counts of one run, and what was found wrong, one of each kind and line."""

    def __init__(self, model: ItemModel, where: str) -> None:
        self.model = model
        self.where = where
        self.policy = rounding_policy()
        self.seeds = self.accepted = self.tried = self.sampled = self.mistakes = self.nanoseconds = 0
        self.kinds: Counter[Refused] = Counter()
        self.refused: Counter[str] = Counter()
        self.collided: Counter[str] = Counter()
        self.unsourced: Counter[str] = Counter()
        self.different: set[str] = set()
        self.found: dict[tuple[int | None, str | Fact], Shortfall] = {}
        self.lines = FileLines(model.text)
        self.stem_line = self.line_of("stem")
        self.first: Solution | None = None
        self.counted = counted_names(model)
        self.glances = Glances(model, self.policy)

    def row(self) -> ProofRow:
        return ProofRow(
            self.where,
            self.model.id,
            self.model.few,
            self.stem_line,
            self.seeds,
            self.accepted,
            self.tried,
            sum(self.kinds[one] for one in NOT_PLAUSIBLE),
            self.kinds[Refused.UNFAIR],
            self.kinds[Refused.AMBIGUOUS],
            self.sampled,
            self.mistakes,
            self.nanoseconds,
            frozenset(self.different),
            Counter(dict(self.refused.most_common(KINDS_OF_REASON))),
            Counter(dict(self.collided.most_common(KINDS_OF_REASON))),
            tuple(self.found.values()),
            +self.unsourced,
        )

    def fault(self, line: int | None, what: Fact, kind: str = "") -> None:
        """Note what is wrong; of several with one kind and line the first."""
        self.found.setdefault((line, kind or what), Shortfall(self.where, line, what, kind))

    def hopeless(self, seeds: int) -> bool:
        if seeds >= GIVE_UP_AFTER and not self.accepted:
            return True
        if seeds >= GIVE_UP_AFTER and self.nanoseconds > seeds * SLOWEST_ITEM:
            self.fault(None, fact("errors_proving.slow", milliseconds=self.nanoseconds // seeds // 1000000), "slow")
            return True
        return False

    def standing(self) -> None:
        """What holds for the model without a draw."""
        for line, what in standing_problems(self.model):
            self.fault(line, what)

    def line_of(self, field: str) -> int | None:
        return self.lines.line((field,))

    def drawn(self, seed: str) -> Item | None:
        """The item that a seed draws, every draw before it counted."""
        self.seeds += 1
        start = process_time_ns()
        try:
            for report in draws(self.model, seed, self.policy, {}, {}):
                self.tried += 1
                if report.item is not None:
                    self.nanoseconds += process_time_ns() - start
                    self.accepted += 1
                    return report.item
                assert report.refused is not None and report.against is not None
                self.count(Against(report.against, report.refused))
        except BadInput as error:
            self.fault(error.line, error.what)
        self.nanoseconds += process_time_ns() - start
        self.nothing_found(seed)
        return None

    def glance(self, seed: str) -> None:
        """The numbers and orders of the item that a seed draws, every draw before it counted."""
        self.seeds += 1
        start = process_time_ns()
        for one in self.glances.of(seed):
            self.tried += 1
            if one.against is None:
                self.accepted += 1
                self.different.add(one.mark)
                self.look_at(one.looks)
                break
            self.count(one.against)
        else:
            self.nothing_found(seed)
        self.nanoseconds += process_time_ns() - start

    def count(self, against: Against) -> None:
        """Count a draw that is not used."""
        self.kinds[against.refused] += 1
        (self.refused if against.refused in NOT_PLAUSIBLE else self.collided)[_reason(against.why)] += 1

    def nothing_found(self, seed: str) -> None:
        """Note that no draw of a seed is used, where others are."""
        if self.accepted:
            self.fault(
                None,
                fact("errors_proving.seed_finds_nothing", seed=seed, why=_commonest(self.refused + self.collided)),
                "no item",
            )

    def print_is_right(self, item: Item) -> None:
        """Stem, questions and answers are readable and hold no unsafe notation; the draw is counted as a new one."""
        self.different.add(self.numbers_of(item))
        clocks = {g.text.split(" ")[0] for g in item.givens if self.model.givens[g.name].kind == "clock"}
        clocks |= {part.answer.split(" ")[0] for part in item.parts if part.kind == "clock"}
        # A year and a time of day take no comma.
        years = {g.text[-4:] for g in item.givens if self.model.givens[g.name].kind == "date"}
        charted = set(re.findall(r"\b(?:Time:|today,|yesterday,) (\d{4})\b", item.in_words))
        times = frozenset(clocks | years | charted)
        texts = [(fact("errors_proving.the_stem"), item.in_words, self.stem_line)]
        if item.caution:
            texts.append((fact("errors_proving.the_caution"), item.caution, self.line_of("caution")))
        for words in stray_words(item):
            what = fact("errors_proving.stray_caution", words=words)
            self.fault(self.line_of("caution"), what, f"stray caution {words}")
        for part, model in zip(item.parts, self.model.parts, strict=True):
            texts.append((fact("errors_proving.question_of_part", part=part.name), part.asked, model.line))
        drawings = [(fact("errors_proving.words_for_drawing", name=one.given), one.alt, None) for one in item.drawings]
        choices = [
            (fact("errors_proving.answer_of_part", part=part.name), choice, model.line)
            for part, model in zip(item.parts, self.model.parts, strict=True)
            for choice in (part.answer, *part.choices)
        ]
        for says, text, line in (*texts, *drawings, *choices):
            # Signs that stand apart in the file may come together in a draw.
            if markup := markup_in(text):
                self.fault(line, fact("errors_proving.markup", where=says, markup=markup), f"{says.kind} markup")
        for says, text, line in texts:
            for slip in slips(text):
                self.fault(line, fact("errors_proving.slip", where=says, slip=slip), f"{says.kind} {slip.kind}")
            self.is_safe(says, text, line, times)
        for says, choice, line in choices:
            self.is_safe(says, choice, line, times)

    def is_safe(self, says: Fact, text: str, line: int | None, clock_times: frozenset[str]) -> None:
        for rule, words in unsafe_notation(text, clock_times):
            self.fault(
                line, fact("errors_proving.unsafe_notation", where=says, text=words, rule=rule), f"{says.kind} {rule}"
            )

    def order_is_sound(self, item: Item) -> None:
        """No order that is rightly carried out passes a sourced limit; amounts that no source limits are counted."""
        if not self.model.orders:
            return
        self.look_at(looks_at_orders(item, self.model, self.policy))

    def look_at(self, looks: Iterable[OrderLook]) -> None:
        """Note what orders show."""
        for look in looks:
            self.unsourced[look.unsourced] += bool(look.unsourced)
            for kind, says in look.beyond:
                self.fault(self.model.orders[0].line, fact("errors_proving.order_to_stop", says=says), kind)
            for kind, says in look.rounded:
                cause = fact("errors_proving.rounded_past_limit", says=says)
                self.fault(self.model.orders[0].line, cause, f"rounded past {kind}")

    def numbers_of(self, item: Item) -> str:
        """A mark of the numbers on which the answers depend, however they are stated."""
        values = []
        for given in item.givens:
            if given.name in self.counted:
                value = read_stated(self.model.givens[given.name], given.text).working
                values.append(given.text if value is None else str(value))
        return numbers_mark(values)

    def look_closely(self, item: Item) -> None:
        """The key again from the texts of the stem, by sympy, by pint, by fixed values and from the record."""
        self.sampled += 1
        self.mistakes += sum(fault.hard for part in item.parts for fault in part.faults)
        try:
            solution = solution_of(item, self.model, self.policy)
            if self.first is None:
                self.first = solution
                for name, cause in unused_givens(self.model, solution.chain):
                    self.fault(self.model.givens[name].line, cause)
            self.keys_agree(item, solution.chain, solution.values)
            self.reads_again(item)
        except CalclibError as error:
            self.fault(error.line, fact("errors_proving.not_read_back", what=error.what), "read back")
        except KeyError as error:
            self.fault(None, fact("errors_proving.missing_to_read_back", error=str(error)), "read back")
        for name, lines in item.worked.items():
            for line in lines:
                self.worked_is_right(name, sentence(line))
        if item_from_record(json.loads(json.dumps(item.to_record()))) != item:
            self.fault(None, fact("errors_proving.record_of_item"), "record")

    def keys_agree(self, item: Item, chain: Chain, values: Mapping[str, Value]) -> None:
        rounded = rounded_as_recorded(item, self.model, self.policy)
        for part, model in zip(item.parts, rounded.parts, strict=True):
            again = part_of(model, self.policy, chain, values)
            if (again.answer, again.exact, again.key) != (part.answer, part.exact, part.key):
                cause = fact("errors_proving.keyed_otherwise", part=part.name, answer=part.answer, again=again.answer)
                self.fault(model.line, cause, "stated")
        lines = {step.name: step.line for step in self.model.steps}
        for step, cause in disagreements(chain, values):
            self.fault(lines.get(step), cause, f"independent {step}")

    def reads_again(self, item: Item) -> None:
        """The item's own values, fixed by a teacher, lead to the same answers."""
        fixed = {given.name: given.text for given in item.givens}
        again = draw_item(self.model, item.seed, policy=self.policy, given=fixed)
        for part, other, model in zip(item.parts, again.parts, self.model.parts, strict=True):
            if (part.answer, part.key) != (other.answer, other.key):
                cause = fact(
                    "errors_proving.keyed_otherwise_by_given", part=part.name, answer=part.answer, again=other.answer
                )
                self.fault(model.line, cause, "fixed")

    def worked_is_right(self, part: str, line: str) -> None:
        found = self.model.part(part)
        for pattern in (r"[{}]", r"eq:|None|Fraction\("):
            if re.search(pattern, line):
                self.fault(found.line, fact("errors_proving.worked_solution", part=part, line=line[:60]), "worked")


def _reason(against: Fact) -> str:
    """A reason without the numbers of one draw, so that equal ones are counted together."""
    text = sentence(against)
    return text if against.kind == "draw.outside" else _NUMBERS.sub("…", text)


def _commonest(reasons: Counter[str]) -> Fact:
    if not reasons:
        return fact("draw.no_short_form")
    return fact("errors_proving.most_often", reason=reasons.most_common(1)[0][0])


def proof_seeds(count: int, first: int = 0) -> Iterator[str]:
    """Yield the texts from which a proof draws."""
    for number in range(first, first + count):
        yield f"proof {number}"
