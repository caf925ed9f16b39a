"""What is wrong with a set-up, read from where it differs from the nearest right one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.answers.setups.meanings import Assignment, Meaning, meanings_of, typed_unit_of, units_of
from calclib.answers.setups.problem import NO_UNIT, SetupProblem
from calclib.answers.setups.quantities import Quantity
from calclib.answers.setups.terms import Atom, numbers_in
from calclib.quantity.equivalences import equivalences
from calclib.quantity.units import Unit, dimension_of_powers, unit_table
from calclib.reading.grammar.trees import Expression, Number
from calclib.reading.writing import shown_quantity
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

# Another value of a conversion lies within a fiftieth of the usual one.
CLOSE = 50


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong with a set-up.

    Args:
        kind: A word of `SETUP_KINDS`.
        what: The value or conversion that it concerns: the words of a given, or “1 h = 60 min”.
        fact: What is wrong, as a fact of `setup.toml`.
    """

    kind: str
    what: str
    fact: Fact

    @property
    def says(self) -> str:
        """A sentence without its period."""
        return sentence(self.fact)


def findings_of(problem: SetupProblem, atoms: Sequence[Atom], best: Assignment) -> tuple[Finding, ...]:
    """Return what is wrong with a product, from the way to understand it that lies nearest to the right one."""
    return tuple(_Search(problem, atoms, best).findings())


def findings_in_numbers(problem: SetupProblem, tree: Expression) -> tuple[Finding, ...]:
    """Return which numbers of a set-up are not in the problem, and which of the problem are not in the set-up.

    This serves sums, whose terms can't be compared one by one.
    """
    unknown: list[Number] = []
    used: set[str] = set()
    said: set[str] = set()
    for number in numbers_in(tree):
        meanings = meanings_of(problem, number.value, number.decimals, number.unit)
        unknown += [] if meanings else [number]
        used.update(name for meaning in meanings for name in meaning.names)
        said.update(meaning.quantity.says for meaning in meanings if meaning.quantity is not None)
    needed = problem.chain.ancestors(problem.asks)
    missing = [q for q in problem.quantities if q.stated and len(q.exponents) == 1 and not used & set(q.exponents)]
    missing = [q for q in missing if needed & set(q.exponents)]
    results = [q for q in problem.quantities if not q.stated and q.says not in said]
    found = []
    for number in unknown:
        typed = _as_typed(number)
        like = [q for q in missing if any(u.dimension == q.unit.dimension for u in units_of(number.unit))]
        if like or (missing and not number.unit):
            instead = (like or missing)[0]
            missing.remove(instead)
            with_text = value_named(instead.says, instead.text)
            found.append(
                Finding("wrong number", instead.says, fact("setup.not_the_value", typed=typed, phrase=with_text))
            )
        elif (result := _measured_alike(results, number)) is not None:
            missing = [q for q in missing if not set(q.exponents) & set(result.exponents)]
            found.append(
                Finding("wrong number", result.says, fact("setup.not_the_value", typed=typed, phrase=result.says))
            )
        else:
            found.append(Finding("extra", typed, fact("setup.not_in_problem", typed=typed)))
    return (*found, *(_missing(q.says, q.text) for q in missing))


def _measured_alike(results: Sequence[Quantity], number: Number) -> Quantity | None:
    """The one result of an earlier step that measures what a number measures."""
    units = [unit.dimension for unit in units_of(number.unit) if unit.powers]
    alike = {q.says: q for q in results if q.unit.dimension in units}
    return next(iter(alike.values())) if len(alike) == 1 else None


def _missing(says: str, text: str) -> Finding:
    return Finding("missing", says, fact("setup.value_missing", phrase=value_named(says, text)))


class _Search:
    """Explains the differences one by one; each explanation takes away what it explains."""

    def __init__(self, problem: SetupProblem, atoms: Sequence[Atom], best: Assignment) -> None:
        self.problem = problem
        self.names = dict(best.names)
        self.conversions = dict(best.conversions)
        self.typed_unit = typed_unit_of(atoms, best.meanings) if all(a.words for a in atoms) else None
        self.matched = [(a, m) for a, m in zip(atoms, best.meanings, strict=True) if m is not None]
        self.unmatched = [a for a, m in zip(atoms, best.meanings, strict=True) if m is None]

    def findings(self) -> Iterator[Finding]:
        yield from self._whole()
        yield from self._strengths()
        yield from self._inverted()
        yield from self._wrong_conversions()
        yield from self._wrong_numbers()
        yield from self._misplaced()
        yield from self._missing_and_extra()
        yield from self._conversions()

    def _whole(self) -> Iterator[Finding]:
        expected = self.problem.expected
        if len(expected) > 1 and all(self.names.get(n) == -2 * e for n, e in expected.items()):
            self.names.clear()
            self.conversions.clear()
            yield Finding("inverted", "set-up", fact("setup.upside_down"))

    def _strengths(self) -> Iterator[Finding]:
        """A strength, or a result of an earlier step, whose numbers were turned or left out together."""
        groups = [q for q in self.problem.quantities if len(q.exponents) > 1]
        for quantity in groups:
            expected = self.problem.expected
            signs = {expected.get(name, 0) * e for name, e in quantity.exponents.items()}
            if len(signs) != 1 or 0 in signs:
                continue
            (sign,) = signs
            surplus = {self.names.get(name, 0) * e for name, e in quantity.exponents.items()}
            if surplus not in ({-2 * sign}, {-sign}):
                continue
            kind = "inverted" if surplus == {-2 * sign} else "missing"
            if kind == "missing" and any(self._like(quantity, a) for a in self.unmatched):
                continue
            for name in quantity.exponents:
                self.names.pop(name)
            with_text = value_named(quantity.says, quantity.text)
            upside_down = Finding(kind, quantity.says, fact("setup.value_upside_down", phrase=with_text))
            yield upside_down if kind == "inverted" else _missing(quantity.says, quantity.text)

    def _like(self, quantity: Quantity, atom: Atom) -> bool:
        return any(unit.dimension == quantity.unit.dimension for unit in units_of(atom.words))

    def _inverted(self) -> Iterator[Finding]:
        for name, surplus in list(self.names.items()):
            expected = self.problem.expected.get(name, 0)
            if expected and surplus == -2 * expected:
                del self.names[name]
                if not self._alone(name) and not self.names and not self.unmatched:
                    yield Finding("inverted", "set-up", fact("setup.upside_down"))
                    continue
                says, text = self.problem.says(name), self._text(name)
                with_text = value_named(says, text)
                multiplied, divides = (
                    fact("setup.multiplied", phrase=with_text),
                    fact("setup.divides", phrase=with_text),
                )
                yield Finding("inverted", says, multiplied if expected < 0 else divides)

    def _text(self, name: str) -> str:
        """How a number was typed; how the problem states it where it was not."""
        for atom, meaning in self.matched:
            if meaning.names == {name: 1}:
                return _typed(atom)
        return self._stated(name)

    def _stated(self, name: str) -> str:
        text = self.problem.text_of(name)
        if text:
            return text
        value, unit = self.problem.values.get(name), self.problem.chain.names.units.get(name)
        if isinstance(value, Fraction) and unit is not None:
            words = tuple((unit_table().word_of[s], e) for s, e in unit.powers)
            return shown_quantity(value, words)
        return ""

    def _wrong_conversions(self) -> Iterator[Finding]:
        for atom in list(self.unmatched):
            found = self._wrong_conversion(atom)
            if found is None:
                continue
            self.unmatched.remove(atom)
            name, exponent = found
            is_near = self._is_near(name, atom.value)
            if self.conversions.get(name, 0) * exponent < 0 or (is_near and name in self.conversions):
                self.conversions.pop(name)
            true = self.problem.conversion_text(name)
            no_other = fact("setup.no_true_conversion", typed=_typed(atom), conversion=true)
            near = fact("setup.other_conversion", typed=_typed(atom), conversion=true)
            yield Finding("wrong conversion", true, near if is_near else no_other)

    def _is_near(self, name: str, value: Fraction) -> bool:
        """Whether a number is another value of a conversion, or of the same the other way round: 0.454 for 2.2."""
        usual = self.problem.conversion_value(name)
        return any(abs(ratio - 1) * CLOSE <= 1 for ratio in (value / usual, value * usual))

    def _wrong_conversion(self, atom: Atom) -> tuple[str, int] | None:
        """The conversion that an atom without a meaning should be: “100 min/h”, or “100 min” over 1 h."""
        units = units_of(atom.words)
        if not atom.words:
            return next(((n, e) for n, e in self.conversions.items() if self._is_near(n, atom.value)), None)
        if any(self._missing_like(atom, unit) for unit in units):
            return None
        known = dict.fromkeys((*self.conversions, *(c for _, m in self.matched for c in m.conversions)))
        for unit in units:
            symbols = {s for s, _ in unit.powers}
            if len(unit.powers) == 2 and not unit.dimension:
                for name in (*known, *equivalences()):
                    eq = equivalences()[name]
                    if symbols == {eq.of, eq.per}:
                        return name, atom.exponent * (1 if dict(unit.powers)[eq.of] > 0 else -1)
            if len(unit.powers) == 1 and unit.powers[0][1] == 1:
                for name in known:
                    if dimension_of_powers([(equivalences()[name].of, 1)]) == unit.dimension:
                        return name, atom.exponent
        return None

    def _missing_like(self, atom: Atom, unit: Unit) -> bool:
        """Whether a missing number of the stem measures what the atom measures and stands where it stands."""
        return any(
            unit.dimension in quantity.dimensions
            and all(self.names.get(n, 0) * e * atom.exponent < 0 for n, e in quantity.exponents.items())
            for quantity in self.problem.quantities
        )

    def _wrong_numbers(self) -> Iterator[Finding]:
        """A number without a meaning in the place of one that is missing."""
        for by_unit in (True, False):
            for atom in list(self.unmatched):
                found = self._replaced(atom, by_unit)
                found = found or (self._like_a_result(atom) if by_unit else None)
                if found is not None:
                    self.unmatched.remove(atom)
                    yield found

    def _like_a_result(self, atom: Atom) -> Finding | None:
        """A number that measures what one result of the problem alone measures, and would take its place."""
        units = [unit.dimension for unit in units_of(atom.words) if unit.powers]
        results = (q for q in (*self.problem.quantities, *self.problem.derived) if len(q.exponents) > 1)
        like = [q for q in results if q.plain.dimension in units]
        if len({tuple(q.exponents.items()) for q in like}) != 1 or any(m.quantity in like for _, m in self.matched):
            return None
        quantity = like[0]
        left = dict(self.names)
        for name, exponent in quantity.exponents.items():
            left[name] = left.get(name, 0) + exponent * atom.exponent
        if sum(map(abs, left.values())) > sum(map(abs, self.names.values())):
            return None
        self.names = {name: surplus for name, surplus in left.items() if surplus}
        self._forgive_conversions(atom, quantity)
        typed, with_text = _typed(atom), value_named(quantity.says, quantity.text)
        if quantity.derived:
            return Finding("wrong number", quantity.says, fact("setup.does_not_follow", typed=typed, phrase=with_text))
        return Finding("wrong number", quantity.says, fact("setup.not_the_value", typed=typed, phrase=with_text))

    def _replaced(self, atom: Atom, by_unit: bool) -> Finding | None:
        for quantity in self.problem.quantities:
            signs = {(self.names.get(n, 0) > 0) - (self.names.get(n, 0) < 0) for n in quantity.exponents}
            turned = {e * s for e, s in zip(quantity.exponents.values(), _signs(self.names, quantity), strict=True)}
            if 0 in signs or turned != {-atom.exponent}:
                continue
            says, typed = quantity.says, _typed(atom)
            text = quantity.text or "".join(self._stated(n) for n in quantity.exponents if len(quantity.exponents) == 1)
            same_unit = self._measures(atom, quantity)
            if atom.words and atom.value == quantity.value and by_unit == same_unit:
                kind, what = "wrong unit", fact("setup.other_unit", typed=typed, phrase=value_named(says, text))
            elif (same_unit and by_unit) or not atom.words:
                kind, what = "wrong number", fact("setup.not_the_value", typed=typed, phrase=value_named(says, text))
            else:
                continue
            for name in quantity.exponents:
                left = self.names[name] + quantity.exponents[name] * atom.exponent
                self.names[name] = left
                if not left:
                    del self.names[name]
            self._forgive_conversions(atom, quantity)
            return Finding(kind, says, what)
        return None

    def _forgive_conversions(self, atom: Atom, quantity: Quantity) -> None:
        """A conversion that is only needed because the replaced number has another unit is not missing too."""
        typed = next(iter(units_of(atom.words)), NO_UNIT)
        for name in list(self.conversions):
            eq = equivalences()[name]
            symbols = {s for s, _ in typed.powers} | {s for s, _ in quantity.unit.powers}
            if typed != quantity.unit and {eq.of, eq.per} & symbols:
                del self.conversions[name]

    def _measures(self, atom: Atom, quantity: Quantity) -> bool:
        above = Unit(tuple((s, e) for s, e in quantity.unit.powers if e > 0))
        return any(u.dimension in (quantity.unit.dimension, above.dimension) for u in units_of(atom.words) if u.powers)

    def _alone(self, name: str) -> bool:
        """Whether a number was typed itself, and not as a part of a result."""
        return any(meaning.names in ({name: 1}, {name: -1}) for _, meaning in self.matched)

    def _misplaced(self) -> Iterator[Finding]:
        """A number in the place of another that a typed result is made of: the bag's volume for the volume in all."""
        for name, surplus in list(self.names.items()):
            others = (n for n, s in self.names.items() if s == -surplus and not self._alone(n))
            unit = self.problem.chain.names.units.get(name)
            if not self._alone(name) or unit is None:
                continue
            for other in others:
                measured = self.problem.chain.unit(other) if other in self.problem.values else None
                if measured is not None and measured.dimension == unit.dimension:
                    del self.names[name], self.names[other]
                    says = self.problem.says(other)
                    what = fact("setup.in_the_place_of", typed=self._text(name), phrase=says)
                    yield Finding("wrong number", says, what)
                    break

    def _results(self) -> Iterator[Finding]:
        """Results that were typed whole and don't belong."""
        for atom, meaning in self.matched:
            if len(meaning.names) < 2 or not all(
                self.names.get(n, 0) * e * atom.exponent > 0 and not self._alone(n) for n, e in meaning.names.items()
            ):
                continue
            for name, exponent in meaning.names.items():
                self.names[name] -= exponent * atom.exponent
            what = fact("setup.does_not_belong", phrase=_typed(atom))
            yield Finding("extra", _says_of(meaning), what)
        self.names = {name: surplus for name, surplus in self.names.items() if surplus}

    def _missing_and_extra(self) -> Iterator[Finding]:
        yield from self._results()
        for name, surplus in self.names.items():
            expected = self.problem.expected.get(name, 0)
            says = self.problem.says(name)
            if expected and surplus * expected < 0:
                self._forgive_missing(name)
                yield _missing(says, self._stated(name))
            elif not self._alone(name):
                continue  # what was not typed itself is not told that it does not belong
            elif expected:
                yield Finding("extra", says, fact("setup.too_often", phrase=value_named(says, self._text(name))))
            else:
                with_text = value_named(says, self._text(name))
                yield Finding("extra", says, fact("setup.value_does_not_belong", phrase=with_text))
        for atom in self.unmatched:
            typed = _typed(atom)
            yield Finding("extra", typed, fact("setup.not_in_problem", typed=typed))

    def _forgive_missing(self, name: str) -> None:
        """A conversion that only the missing number would need is not missing too."""
        unit = self.problem.chain.names.units.get(name)
        measured = {dim for dim, _ in unit.dimension} if unit is not None else set()
        used = {c for _, meaning in self.matched for c in meaning.conversions}
        for conversion in list(self.conversions):
            dimension = dimension_of_powers([(equivalences()[conversion].of, 1)])
            if conversion not in used and dimension[0][0] in measured:
                del self.conversions[conversion]

    def _conversions(self) -> Iterator[Finding]:
        if self.typed_unit == self.problem.unit:
            return  # the units come out, so none is missing and none too many
        for name, surplus in self.conversions.items():
            text = self.problem.conversion_text(name)
            used = sum(m.conversions.get(name, 0) * a.exponent for a, m in self.matched)
            wanted = used - surplus
            if wanted and used == -wanted:
                yield Finding("inverted", text, fact("setup.conversion_upside_down", conversion=text))
            elif wanted and used * wanted >= 0 and abs(used) < abs(wanted):
                yield Finding("missing", text, fact("setup.conversion_missing", conversion=text))
            elif used and any(m.conversions.get(name) for _, m in self.matched):
                yield Finding("extra", text, fact("setup.conversion_too_many", conversion=text))


def _as_typed(number: Number) -> str:
    """A number with its unit; a time of day that was turned into minutes as it was typed."""
    clock = number.unit == (("min", 1),) and (":" in number.text or (len(number.text) == 4 and number.text.isdigit()))
    return number.text if clock else shown_quantity(number.value, number.unit)


def _says_of(meaning: Meaning) -> str:
    return meaning.quantity.says if meaning.quantity is not None else ""


def _signs(names: dict[str, int], quantity: Quantity) -> list[int]:
    return [(names.get(n, 0) > 0) - (names.get(n, 0) < 0) for n in quantity.exponents]


def _typed(atom: Atom) -> str:
    if isinstance(atom.node, Number):
        return _as_typed(atom.node)
    return shown_quantity(atom.value, atom.words)


def value_named(says: str, text: str) -> str | Fact:
    """Return a value with how it was typed or stated behind its words, where these have no brackets of their own."""
    return fact("setup.named", phrase=says, text=text) if text and says[-1:] != ")" else says
