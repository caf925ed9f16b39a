"""The grammar of quantities in two units, and of "and a half" behind a unit: 1 h 30 min, one tablet and a half."""

from __future__ import annotations

from fractions import Fraction

from calclib.reading.grammar.numerals import read_numeral
from calclib.reading.grammar.setup_words import SetupWordGrammar
from calclib.reading.records import Unit, Unreadable
from calclib.reading.vocabulary import COMPOUND
from calclib.wording.facts import fact

_LEAST_MINUTES = 10  # "two hours five" could be anything


class CompoundGrammar(SetupWordGrammar):
    """Joins a quantity with a smaller part of it."""

    __slots__ = ()

    def compound(self, value: Fraction, decimals: int | None, unit: Unit) -> tuple[Fraction, int | None, Unit]:
        """Joins what is said in two or three units: 1 h 30 min is 90 min."""
        while True:
            ahead = 1 if self.token().text.lower() in (",", "and", "&") else 0
            smaller = self.token(ahead)
            if smaller.kind == "w" and decimals == 0 and self.begins_number(smaller):
                return self._compound_in_words(value, unit, ahead)
            if smaller.kind != "n":
                return value, decimals, unit
            minutes = unit[0][0] == "h" and self.token(ahead + 1).text in ("m", "M")  # behind hours, never meters
            found = ("min", 1) if minutes else self.unit_word(self.at + ahead + 1)
            symbol = found[0] if found else None
            if unit[0][0] == "h" and self.kind(ahead + 1) == "" and len(smaller.text) == 2 and smaller.text.isdigit():
                symbol, found = "min", ("min", 0)
            count = COMPOUND.get((unit[0][0], symbol or ""))
            if count is None or found is None or decimals != 0:
                return value, decimals, unit
            part, part_decimals = read_numeral(smaller.text, smaller.start, self.notices)
            if part >= count or part_decimals is None:
                raise Unreadable(fact("unread.part_of_unit_too_large", text=smaller.text, count=count), smaller.start)
            self.at += ahead + 1 + found[1]
            value, decimals, unit = value * count + part, part_decimals, ((found[0], 1),)

    def _compound_in_words(self, value: Fraction, unit: Unit, ahead: int) -> tuple[Fraction, int | None, Unit]:
        """ "one hour thirty minutes"; leaves what is no smaller part of the same."""
        place = self.at
        self.at += ahead
        part, decimals = self.number_words()
        found = self.unit_word(self.at)
        count = COMPOUND.get((unit[0][0], found[0])) if found else None
        if unit[0][0] == "h" and self.kind() in ("", ".") and decimals == 0 and _LEAST_MINUTES <= part < 60:
            return value * 60 + part, 0, (("min", 1),)  # one hour fifteen
        if found is None or count is None or decimals != 0 or part >= count:
            self.at = place
            return value, 0, unit
        self.at += found[1]
        return value * count + part, 0, ((found[0], 1),)

    def fraction_behind(self) -> Fraction | None:
        """Passes over "and a half", "and 1/2" behind a unit: one tablet and a half."""
        return self.fraction_words(1) if self.token().text.lower() in ("and", "&") else None
