"""The grammar of strengths on labels: 250 mg/5 mL, D10W, 1:1,000, U-100, each tablet = 60 mg, 15 gtt/mL."""

from __future__ import annotations

from fractions import Fraction

from calclib.reading.grammar.numerals import read_numeral
from calclib.reading.orders.amounts import OrderGrammar
from calclib.reading.orders.values import Amount, Form, OrderValue
from calclib.reading.vocabulary import FRACTIONS, PER, ordered_unit

_VOLUMES = frozenset({"mL", "L", "dL", "mcL", "tsp", "tbsp", "oz", "cup"})
_SOLID = frozenset(
    "tablet tablets tab tabs capsule capsules cap caps caplet caplets pulvule pulvules pill pills puff puffs vial "
    "vials ampule ampules each apiece".split()
)
PACKS = frozenset(
    "vial vials ampule ampules ampul ampuls ampulle ampulles syringe syringes bag bags bottle bottles powder can cans "
    "carton cartons glass glasses unit".split()
)
_HOLDS = frozenset({"contain", "contains", "containing", "hold", "holds", "has", "provides", "of", "with"})
_MIXED = frozenset({"diluted", "dissolved", "mixed", "added", "made", "up"})
_ONE = frozenset({"each", "every", "one", "a", "an"})
_MADE = ("scored", "unscored", "coated", "release", "strength")
_PERCENT_WORDS = frozenset({"%", "percent"})
_FACTOR_WORDS = frozenset(
    "of is at a the with drop drops factor set tubing macro micro macrodrip microdrip drip calibrated deliver delivers "
    "per administration iv = : / . "
    "gtt gtts mcgtt mcgtts microgtt microgtts macrodrop macrodrops microdrop microdrops".split()
)


class StrengthGrammar(OrderGrammar):
    """Reads how much drug is in what, and how many drops are in a milliliter."""

    __slots__ = ()

    def percent(self) -> Fraction | None:
        """Pass over “0.9% NaCl”, “lidocaine 1%”, “D10W”; None, and nothing passed, if that isn't what stands here."""
        place = self.at
        value = self._dextrose() or self._percent()
        if value is None:
            self.at = place
        return value

    def _dextrose(self) -> Fraction | None:
        if self.word() != "d" or self.kind(1) != "n" or not self.token(1).glued:
            return None
        self.at += 1
        value = read_numeral(self.token().text, self.token().start, self.notices)[0]
        self.at += 1
        if self.kind() and not (
            self.word() in ("w", "s", "r", "ns", "lr") or not self.token().glued or self.kind() == "/"
        ):
            return None
        self._pass_all()
        return value

    def _percent(self) -> Fraction | None:
        self.pass_name()
        if self.kind() != "n":
            return None
        value = self.number()
        if self.word() not in _PERCENT_WORDS:
            return None
        self.at += 1
        sugar = self.word() in ("dextrose", "glucose") and self.word(1) in ("in", "and")
        rest = self.at
        while self.kind():
            if self.kind() == "n" and not sugar:
                self.at = rest
                return None
            self.at += 1
        return value

    def _pass_all(self) -> None:
        while self.kind():
            self.at += 1

    # Amounts in a volume

    def strength(self) -> OrderValue:
        """How much of a drug is in a volume."""
        if (units := self._units_of_insulin()) is not None:
            return OrderValue(Form.AMOUNT, (Amount(units, "units/mL"),))
        if (value := self.percent()) is not None:
            return OrderValue(Form.PERCENT, (Amount(value, ""),))
        if (parts := self._ratio()) is not None:
            return OrderValue(Form.RATIO, (Amount(parts, ""),))
        if (volume := self._volume_first()) is not None:
            amounts = self.amount()
            if not self.ended():
                raise self.fail()
            return OrderValue(Form.IN_VOLUME, amounts, volume)
        self.pass_name()
        amount = self._drug_amount()
        self._pass_drug()
        volume = self._volume_behind()
        if self.kind():
            self.pass_rest()
        return OrderValue(Form.IN_VOLUME if volume else Form.AMOUNT, (amount,), volume)

    def _drug_amount(self) -> Amount:
        """An amount of drug up to what holds it."""
        if (grains := self.grains()) is not None:
            return grains
        value = self.number_before_unit()
        found = self.unit_word(self.at)
        if found is None:
            raise self.fail()
        self.at += found[1]
        return Amount(value, found[0])

    def _units_of_insulin(self) -> Fraction | None:
        ahead = 0
        while self.kind(ahead) == "w" and self.word(ahead) != "u" and ahead < 4:
            ahead += 1
        dash = 1 if self.kind(ahead + 1) == "-" else 0
        if self.word(ahead) != "u" or self.kind(ahead + 1 + dash) != "n":
            return None
        self.at += ahead + 1 + dash
        value = self.number()
        self.pass_words("insulin")
        return value

    def _ratio(self) -> Fraction | None:
        """ "1:1,000", “1 in 10,000”; the drug may stand before and behind it."""
        place = self.at
        self.pass_name()
        if self.token().text == "1" and (self.kind(1) == ":" or self.word(1) in ("in", "to")) and self.kind(2) == "n":
            self.at += 2
            parts = self.number()
            if self.word() == "w" and self.word(2) == "v":
                self.at += 3
            if self.unit_word(self.at) is None:
                self._pass_all()
                return parts
        self.at = place
        return None

    def _volume_first(self) -> Amount | None:
        """ "each 5 mL contains", “1 mL =”."""
        place = self.at
        if self.word() in _ONE:
            self.at += 1
        value = self.number() if self.kind() == "n" else Fraction(1)
        found = self.unit_word(self.at)
        if found is not None and found[0] in _VOLUMES:
            self.at += found[1]
            if self.kind() == "=" or self.word() in _HOLDS:
                self.at += 1
                return Amount(value, found[0])
        self.at = place
        return None

    def _pass_drug(self) -> None:
        """Pass over “of heparin” up to what says in how much it is."""
        place = self.at
        if self.kind() == ",":
            self.at += 1
        while self.kind() == "w" and self.word() not in _MIXED and self.word() not in ("in", "to", "per"):
            self.at += 2 if self.kind(1) == "-" and self.kind(2) == "w" else 1
        if not (self.kind() in ("/", "=") or self.kind() == "w"):
            self.at = place

    def _volume_behind(self) -> Amount | None:
        """ "/5 mL", “in 500 mL of NS”, “per mL”, “in a liter”, “diluted in D5W 250 mL”."""
        place = self.at
        while self.word() in _MIXED:
            self.at += 1
        if self.kind() not in ("/", "=") and self.word() not in ("in", "to", "per"):
            self.at = place
            return None
        self.at += 1
        if self.word() in _ONE and self.word(1) != "in":
            self.at += 1
        if self.kind() == "w" and not self._is_volume(self.at):
            self._pass_fluid()
        value = self.number() if self.number_follows() else Fraction(1)
        if self.kind() == "-" and self.token().glued:
            self.at += 1
        found = self.unit_word(self.at)
        if found is None:
            raise self.fail()
        self.at += found[1]
        return Amount(value, found[0])

    def _pass_fluid(self) -> None:
        """ "in NS 500 mL": the fluid before its volume."""
        ahead = 0
        while self.kind(ahead) and not (self.kind(ahead) == "n" and self._is_volume(self.at + ahead + 1)):
            ahead += 1
        if not self.kind(ahead):
            raise self.fail()
        self.at += ahead

    def _is_volume(self, place: int) -> bool:
        found = self.unit_word(place)
        return found is not None and found[0] in _VOLUMES

    # Tablets, capsules, vials

    def per_container(self) -> OrderValue:
        """How much is in a tablet, capsule or vial: “50 mg scored tablets”, “1 tablet = 60 mg”, “325 mg each”."""
        container = self.order.unit.rpartition("/")[2] or "tab"
        while self.word() in ("each", "scored") or self._is_made(0) or (self.token().text == "1" and self._is_solid(1)):
            self.at += 1 if self.kind(1) != "-" else 3
        if self._is_solid(0):
            self.at += 1
        if self.kind() == "=" or self.word() in _HOLDS:
            self.at += 1
        start = self.at
        self.pass_name()
        named = self.at > start
        amount = self._drug_amount()
        unit = amount.unit
        while self.kind() == "/" and not self._is_solid(1) and (below := self.unit_word(self.at + 1)):
            self.at += 1 + below[1]
            unit = f"{unit}/{below[0]}"
        held = self._pass_container()
        if named and not held:
            raise self.fail()
        if held or "/" not in unit:
            unit = f"{unit}/{container}"
        if self.kind() == "," or self.word() in ("scored", "coated"):
            self.at += 1 if self.kind() != "," else 2
        if not self.ended() and not (self.word() == "of" and self.kind(1) == "w") and not self._is_pack():
            raise self.fail()
        return OrderValue(Form.AMOUNT, (Amount(amount.value, unit),))

    def _is_pack(self) -> bool:
        """Whether “single-dose vial” ends the text."""
        if self.kind(1) == "-" and self.word(2) == "dose":
            self.at += 3
        return self.word() in PACKS and self.kind(1) == ""

    def _is_solid(self, ahead: int) -> bool:
        return self.word(ahead) in _SOLID

    def _is_made(self, ahead: int) -> bool:
        """Whether “scored”, “film-coated”, “extended-release” stands there."""
        if self.kind(ahead + 1) == "-":
            return self.word(ahead + 2) in _MADE
        return self.word(ahead) in _MADE

    def _pass_container(self) -> bool:
        place = self.at
        if self.kind() == "/" or self.word() in PER or self.word() == "in":
            self.at += 1
        if self.word() in _ONE or self.token().text == "1":
            self.at += 1
        while self._is_made(0):
            self.at += 3 if self.kind(1) == "-" else 1
        if self.kind() == "-":
            self.at += 1
        if self._is_solid(0) or (self.at > place and self.unit_word(self.at) and ordered_unit(self.word()) in _SOLID):
            self.at += 1
            return True
        self.at = place
        if self.word() in ("each", "apiece"):
            self.at += 1
            return True
        return False

    # Drop factors and shares

    def drop_factor(self) -> OrderValue:
        """ "15 gtt/mL", “tubing of 15 drops = 1 mL”, “microdrip”."""
        numbers: list[Fraction] = []
        words = []
        place = self.at
        while self.kind():
            if self.kind() == "n":
                one = self.token().text == "1" and self.kind(1) == "w" and ordered_unit(self.word(1)) == "mL"
                if one:
                    self.at += 1
                    continue
                if not self.token().text.replace(".", "").isdigit():
                    raise self.fail()
                numbers.append(self.number())
                continue
            words.append(self.word() or self.kind())
            self.at += 1
        rest = {word for word in words if word not in _FACTOR_WORDS and ordered_unit(word) not in ("mL", "gtt")}
        if not numbers and set(words) & {"micro", "mini", "microdrip", "minidrip", "microdrop", "microdrops"}:
            return OrderValue(Form.AMOUNT, (Amount(Fraction(60), "gtt/mL"),))
        if len(numbers) == 1 and not rest:
            return OrderValue(Form.AMOUNT, (Amount(numbers[0], "gtt/mL"),))
        self.at = place
        raise self.fail()

    def share(self) -> Fraction | None:
        """A part of one in words: “half”, “three-fourths strength”, “full”; None, and nothing passed, for others."""
        place = self.at
        if self.pass_words("full"):
            value = Fraction(1)
        elif self.kind() == "n":
            value = self._counted_share()
        else:
            value = self.number_words()[0] if self.begins_number(self.token()) else Fraction(0)
        if self.kind() == "-":
            self.at += 1
        self.pass_words("strength")
        if self.kind() or not (0 < value < 1 or self.tokens[place].text.lower() == "full"):
            self.at = place
            return None
        return value

    def _counted_share(self) -> Fraction:
        """ "1 quarter", “3/4-strength”; 0 for a number that isn't said to be a share."""
        value = self.number()
        dash = 1 if self.kind() == "-" else 0
        if value < 1:
            return value if self.word(dash) == "strength" else Fraction(0)
        below = FRACTIONS.get(self.word(dash))
        if below is None:
            return Fraction(0)
        self.at += 1 + dash
        return value / below
