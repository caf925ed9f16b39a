"""Judges a typed set-up: do the units cancel to what is asked, is each factor known, and is the formula right?"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType

from calclib.answers.diagnosis.causes import GUESSES, causes_of
from calclib.answers.setups.bridges import bridge_of
from calclib.answers.setups.clocks import duration_of
from calclib.answers.setups.findings import Finding, findings_in_numbers, findings_of
from calclib.answers.setups.folding import asked_root, atoms_of, below_root, folded, is_product_of
from calclib.answers.setups.formulas import formula_unit
from calclib.answers.setups.latex import setup_latex
from calclib.answers.setups.meanings import Assignment, meanings_of, nearest, typed_unit_of, units_of
from calclib.answers.setups.problem import NO_UNIT, SetupProblem, problem_of
from calclib.answers.setups.terms import Atom, Solved, Unsolvable, numbers_in, solved, value_at
from calclib.answers.typed_reading import context_of
from calclib.chains.factors import without_doses
from calclib.chains.kinds.root import Root
from calclib.items.item import Item, ItemPart
from calclib.models.model import ItemModel
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.units import Unit, parse_unit
from calclib.reading.grammar.trees import Expression, InUnit, Sum
from calclib.reading.grammar.trees import Root as RootTree
from calclib.reading.records import Unit as Words
from calclib.reading.records import Unread
from calclib.reading.setups import SetupReading, read_setup
from calclib.reading.writing import shown_quantity, shown_unit
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

UNITLESS = fact("setup.write_units")
_RIGHT = fact("setup.right")
_EMPTY = " \t\r\n\f\v.?_-\"'="
_REMEMBERED = 256


@dataclass(frozen=True)
class SetupVerdict:
    """What a set-up shows.

    Args:
        verdict: explained, unexplained (right, but with a number that is not in the problem), wrong, unread or blank.
        findings: What is wrong.
        told: What is told to the student, as facts; it never gives the answer away.
        shown: The set-up as it was read, in plain text.
        latex: The same as mathematics, the units that cancel struck out.
        value: The number to which it comes; None where it was not judged.
    """

    verdict: str
    findings: tuple[Finding, ...]
    told: tuple[Fact, ...]
    shown: str
    latex: str
    value: Fraction | None = None

    @property
    def message(self) -> str:
        """What is told to the student, in words."""
        return " ".join(map(sentence, self.told))


def judge_setup(
    item: Item,
    model: ItemModel,
    policy: RoundingPolicy,
    part_name: str,
    text: str,
    own: Mapping[str, Fraction] = MappingProxyType({}),
) -> SetupVerdict:
    """Return the verdict on the set-up that was typed for one part.

    Args:
        item: The item.
        model: Its model, of the same text as when it was drawn.
        policy: The rounding policy under which it was keyed.
        part_name: The part's name.
        text: What was typed; it is read and never evaluated.
        own: The student's own answers to earlier parts, by part; a set-up may use them.

    Raises:
        BadInput: There is no such part, or model and item do not belong together.
    """
    part = item.part(part_name)
    if not text.strip(_EMPTY):
        return SetupVerdict("blank", (), (fact("setup.blank"),), "", "")
    reading = read_setup(text)
    if isinstance(reading, Unread):
        reading = read_setup(text, context_of(item, part, setup=True))
    if isinstance(reading, Unread):
        return SetupVerdict("unread", (), (fact("setup.unread", reason=reading.why),), "", "")
    problem = _problem(item, model, policy, part_name, own)
    if problem is None:
        return _unread(reading, fact("setup.no_setup"))
    try:
        verdict, findings, told = _judged(problem, part, reading)
    except Unsolvable as stop:
        return _unread(reading, stop.reason)
    except ZeroDivisionError:
        return _unread(reading, fact("setup.divides_by_zero"))
    # The number alone: who goes on from it takes its unit for the one asked.
    value = value_at(solved(reading.tree).tree, lambda number: number.value)
    return SetupVerdict(verdict, findings, told, reading.shown, setup_latex(reading.tree), value)


def _unread(reading: SetupReading, reason: Fact) -> SetupVerdict:
    return SetupVerdict("unread", (), (reason,), reading.shown, setup_latex(reading.tree))


_PROBLEMS: OrderedDict[object, SetupProblem | None] = OrderedDict()


def _problem(
    item: Item, model: ItemModel, policy: RoundingPolicy, part_name: str, own: Mapping[str, Fraction]
) -> SetupProblem | None:
    """The problem, remembered for the items that are judged one after another."""
    key = (
        model.hash,
        policy.name,
        policy.version,
        item.seed,
        part_name,
        item.stem,
        tuple(item.equivalences.items()),
        tuple(own.items()),
    )
    if key in _PROBLEMS:
        _PROBLEMS.move_to_end(key)
        return _PROBLEMS[key]
    found = _PROBLEMS[key] = problem_of(item, model, policy, part_name, own)
    if len(_PROBLEMS) > _REMEMBERED:
        _PROBLEMS.popitem(last=False)
    return found


_Told = tuple[Fact, ...]
_Judged = tuple[str, tuple[Finding, ...], _Told]


def _judged(problem: SetupProblem, part: ItemPart, reading: SetupReading) -> _Judged:
    found = solved(reading.tree)
    duration = duration_of(problem, found.tree)
    found = replace(found, tree=duration.tree, result=None if duration.has_start else found.result)
    root = asked_root(problem)
    judged = _judged_root(problem, part, root, found) if root is not None else None
    verdict, findings, told = judged or _judged_tree(problem, part, found)
    if verdict == "wrong" and part.kind == "clock":  # the time may be in minutes too
        in_minutes = _judged_tree(replace(problem, unit=parse_unit("min")), part, found)
        verdict, findings, told = in_minutes if in_minutes[0] != "wrong" else (verdict, findings, told)
    if not duration.findings:
        return verdict, findings, told
    findings = (*duration.findings, *findings)
    return "wrong", findings, _look_again(findings)


def _judged_root(problem: SetupProblem, part: ItemPart, step: Root, found: Solved) -> _Judged | None:
    """The verdict where a square root is asked; None where none was typed and nothing is known of what was."""
    below = below_root(problem, step)
    tree = found.tree.of if isinstance(found.tree, InUnit) else found.tree
    if not isinstance(tree, RootTree):
        missing = (Finding("missing", "square root", fact("setup.root_missing")),)
        return ("wrong", missing, _look_again(missing)) if is_product_of(below, tree) else None
    if is_product_of(below, tree.of) or formula_unit(below, folded(below, tree.of)) is not None:
        return "explained", (), (_RIGHT,)
    if (unexplained := _right_number(problem, part, tree, None, None)) is not None:
        return unexplained
    findings = _under_root(problem, step, tree.of)
    return "wrong", findings, _look_again(findings)


def _under_root(problem: SetupProblem, step: Root, tree: Expression) -> tuple[Finding, ...]:
    """What is wrong with what stands under a root."""
    below = below_root(problem, step)
    atoms = atoms_of(folded(below, tree))
    found = findings_of(below, atoms, nearest(below, atoms)) if atoms is not None else ()
    return found or findings_in_numbers(below, tree)


def _wrong_roots(problem: SetupProblem, atoms: Sequence[Atom] | None) -> tuple[Finding, ...]:
    """What is wrong with a root that a product goes on from."""
    roots = [atom.node.of for atom in atoms or () if isinstance(atom.node, RootTree)]
    steps = [step for step in problem.chain.steps if isinstance(step, Root)]
    return _under_root(problem, steps[0], roots[0]) if roots and steps else ()


def _look_again(findings: Sequence[Finding]) -> _Told:
    if not findings:
        return (fact("setup.leads_elsewhere"),)
    if len(findings) == 1:
        return (fact("setup.look_again", finding=findings[0].fact),)
    return (fact("setup.look_again_at_both", first=findings[0].fact, second=findings[1].fact),)


def _judged_tree(problem: SetupProblem, part: ItemPart, found: Solved) -> _Judged:
    tree = folded(problem, found.tree)
    atoms = atoms_of(tree)
    best = nearest(problem, atoms) if atoms is not None else None
    known = best is None or not any(m.quantity is not None and m.quantity.derived for m in best.meanings if m)
    if atoms is not None and best is not None and best.distance < 10 and known and not _is_bare(problem, atoms, best):
        return "explained", (), _right(problem, found, typed_unit_of(atoms, best.meanings))
    unit = formula_unit(problem, tree) if known and len(list(numbers_in(tree))) > 1 else None
    if unit is not None:
        return "explained", (), _right(problem, found, unit)
    unexplained = _right_number(problem, part, tree, atoms, best)
    if unexplained is not None:
        return unexplained
    findings = _wrong_roots(problem, atoms)
    is_product = atoms is not None and not any(isinstance(a.node, Sum | RootTree) for a in atoms)
    if atoms is not None and best is not None and is_product and _uses_sums(problem, best):
        findings = findings_of(problem, atoms, best)
    findings = findings or _by_value(part, tree) or findings_in_numbers(problem, tree)
    return "wrong", findings, (*_look_again(findings), *_units_come_to(problem, atoms, best))


def _uses_sums(problem: SetupProblem, best: Assignment) -> bool:
    """Whether each result of an earlier sum or band that the product needs is used, so that it can be compared."""
    used = {name for meaning in best.meanings if meaning is not None for name in meaning.names}
    return all(name in used for name in problem.expected if name in problem.chain.by_name)


def _is_bare(problem: SetupProblem, atoms: Sequence[Atom], best: Assignment) -> bool:
    """Whether nothing but the answer stands there; a value that the stem states needs no more."""
    if len(atoms) != 1 or best.meanings[0] is None:
        return False
    quantity = best.meanings[0].quantity
    return quantity is None or not quantity.stated or quantity.unit != problem.unit


# Right numbers without an explanation, and wrong ones


def _right_number(
    problem: SetupProblem, part: ItemPart, tree: Expression, atoms: Sequence[Atom] | None, best: Assignment | None
) -> _Judged | None:
    """The verdict where the value is right but not each number is known, or where only the unit is another."""
    if not problem.points:
        return None
    value, asked = value_at(tree, lambda number: number.value), problem.points[0][1]
    unit, whole = NO_UNIT, False
    if atoms is not None and best is not None:
        unit, whole = typed_unit_of(atoms, best.meanings), _all_units(atoms, best)
        derived = any(m is not None and m.quantity is not None and m.quantity.derived for m in best.meanings)
        if derived and best.distance < 10:
            return "unexplained", (), (_explain(problem, tree),)
        if None not in best.meanings and len(atoms) > 1:
            return None
    factor = problem.factor(unit, problem.unit) if whole else Fraction(1)
    if factor is None or not _right_value(part, problem, value * factor, asked):
        return None
    if factor != 1:
        steps = [problem.conversion_text(name) for name in _between(problem, unit)]
        missing = (fact("setup.conversion_missing", conversion=text) for text in steps)
        findings = tuple(Finding("missing", text, what) for text, what in zip(steps, missing, strict=True))
        return "wrong", findings, (*_look_again(findings), *_units_come_to(problem, atoms, best))
    return "unexplained", (), (_explain(problem, tree),)


def _all_units(atoms: Sequence[Atom], best: Assignment) -> bool:
    """Whether a unit stands beside each number that has one."""
    return all(
        atom.words or (meaning is not None and not without_doses(meaning.unit).powers)
        for atom, meaning in zip(atoms, best.meanings, strict=True)
    )


def _right_value(part: ItemPart, problem: SetupProblem, value: Fraction, asked: Fraction) -> bool:
    if value == asked:
        return True
    if part.kind == "clock":
        return abs(value - asked) * 100 <= abs(asked)
    if part.kind != "quantity" or part.rule is None or value <= 0:
        return False
    near = abs(value - asked) * 50 <= abs(asked)
    return near and any(a.low <= part.rule.rounded(value) <= a.high for a in part.accepted)


def _between(problem: SetupProblem, unit: Unit) -> tuple[str, ...]:
    return tuple(name for name, _ in bridge_of(unit, problem.unit) or ())


def _explain(problem: SetupProblem, tree: Expression) -> Fact:
    numbers = list(numbers_in(tree))
    unknown = [
        shown_quantity(n.value, n.unit)
        for n in numbers
        if not any(m.quantity is None or m.quantity.stated for m in meanings_of(problem, n.value, n.decimals, n.unit))
    ]
    if unknown and len(numbers) > 1:
        return fact("setup.unknown_numbers", typed=tuple(dict.fromkeys(unknown)))
    return fact("setup.shows_no_way")


def _by_value(part: ItemPart, tree: Expression) -> tuple[Finding, ...]:
    """What the value of a set-up shows where its shape does not: the mistakes that lead to it."""
    if part.kind != "quantity" or part.key is None:
        return ()
    value = value_at(tree, lambda number: number.value)
    causes = [c for c in causes_of(part, value, None) if c.fault not in GUESSES]
    return tuple(Finding(_KINDS.get(c.fault, "wrong number"), c.given or c.step, c.what) for c in causes[:1])


_KINDS = {
    kind: found
    for found, kinds in {
        "missing": (
            "conversion left out",
            "amount left out",
            "volume left out",
            "left out",
            "term left out",
            "limit ignored",
            "first rate only",
            "root forgotten",
        ),
        "inverted": (
            "conversion inverted",
            "strength inverted",
            "inverted",
            "divided the wrong way",
            "wrong sign",
            "counted backwards",
        ),
        "wrong unit": ("used unconverted",),
    }.items()
    for kind in kinds
}
"""As what a kind of mistake is found in a set-up; any other as a wrong number."""


# What is told


def _right(problem: SetupProblem, found: Solved, unit: Unit) -> _Told:
    told = [_RIGHT]
    if unit != problem.unit and not _unit_typed(found.unit, problem):
        told.append(UNITLESS)
    if found.result is not None and not _result_fits(problem, found):
        told.append(fact("setup.other_result", typed=shown_quantity(found.result.value, found.result.unit)))
    return tuple(told)


def _unit_typed(words: Words, problem: SetupProblem) -> bool:
    return bool(words) and problem.unit in units_of(words)


def _result_fits(problem: SetupProblem, found: Solved) -> bool:
    assert found.result is not None
    result = found.result
    units = units_of(result.unit) if result.unit else (problem.unit,)
    factor = next((f for u in units if (f := problem.factor(without_doses(u), problem.unit)) is not None), None)
    if factor is None or not problem.points:
        return False
    value, asked = result.value * factor, problem.points[0][1]
    return abs(value - asked) * 100 <= abs(asked) or (result.decimals is not None and abs(value - asked) * 2 <= factor)


def _units_come_to(problem: SetupProblem, atoms: Sequence[Atom] | None, best: Assignment | None) -> _Told:
    """What the units come to, where they do not come to what is asked."""
    if atoms is None or best is None or not all(a.words for a in atoms):
        return ()
    unit = typed_unit_of(atoms, best.meanings)
    if unit == problem.unit:
        return ()
    words = tuple((symbol.removesuffix("_weight").removesuffix("_drug"), e) for symbol, e in unit.powers)
    shown, asked = shown_unit(words), str(problem.unit)
    cancel = fact("setup.units_cancel", asked=asked)
    return (fact("setup.units_come_to", unit=shown, asked=asked) if shown else cancel,)
