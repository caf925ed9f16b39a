"""One value as an order, a label or a book states it, by the rules of its kind."""

from __future__ import annotations

import re
from fractions import Fraction

from calclib.reading.orders.frequencies import FrequencyGrammar
from calclib.reading.orders.strengths import PACKS, StrengthGrammar
from calclib.reading.orders.values import Amount, Form, OrderContext, OrderValue
from calclib.reading.plain_text.characters import plain_text
from calclib.reading.plain_text.tokens import cut_tokens
from calclib.reading.records import Unreadable
from calclib.reading.vocabulary import FREQUENCY

_NONE = frozenset({"none", "nothing", "nil", "zero", "no", "0"})
_SIGNS = {"#": " lb ", "''": " in ", '"': " in ", "'": " ft "}
_BEHIND = re.compile(r" ?\([^()]*\)$|(?<=[a-z]),? (?:of )?body ?weight\b")
_PACKED = re.compile(rf"(?i)(?:1|one|an?) (?:{'|'.join(sorted(PACKS))}) \((.+)\)")


def read_order_value(text: str, order: OrderContext) -> OrderValue:
    """Return what one text states.

    Args:
        text: For example "1 1/2 cups", "in 3 divided doses", "5 ft 6 in", "U-100", "50 mg scored tablets".
        order: What is known of the value.

    Raises:
        Unreadable: It states no value, or more than one.
    """
    if "packed" in order.rules and (inside := _PACKED.fullmatch(text.strip())):
        text = inside[1]  # 1 unit (350 mL)
    plain = _BEHIND.sub("", plain_text(text)[0].strip())
    for sign, word in _SIGNS.items():
        plain = plain.replace(sign, word)
    tokens = cut_tokens(plain)
    if "often" in order.rules and (often := FrequencyGrammar(tokens, order).frequency()) is not None:
        return often
    grammar = StrengthGrammar(tokens, order)
    return _by_rule(grammar) or _amounts(grammar)


def _by_rule(grammar: StrengthGrammar) -> OrderValue | None:
    """What the words that only this kind of value has say; None if none of them stands here."""
    rules = grammar.order.rules
    grammar.pass_lead()
    if "mixture" in rules:
        return grammar.strength()
    if "solid" in rules:
        return grammar.per_container()
    if "factor" in rules:
        return grammar.drop_factor()
    if rules & {"fluid", "rate"} and grammar.token().text.lower() in _NONE and grammar.kind(1) == "":
        return _amount(Fraction(0), grammar.order.unit)
    if "lasting" in rules:
        return _lasting(grammar)
    if "plain_number" in rules:
        return _number(grammar)
    if "share" in rules:
        return _share(grammar)
    if "area" in rules and grammar.kind() == "n":
        return _area(grammar)
    if "charges" in rules:
        return _charges(grammar)
    return _degrees(grammar) if "warm" in rules else None


def _amounts(grammar: StrengthGrammar) -> OrderValue:
    if grammar.order.drug_first:
        grammar.pass_name()
    if "packed" in grammar.order.rules and grammar.word() in ("one", "a", "an") and grammar.kind(1) == "n":
        grammar.at += 1  # one 8-oz can
    amounts = grammar.amount()
    if not grammar.ended():
        grammar.pass_rest()
    return OrderValue(Form.AMOUNT, amounts)


def _amount(value: Fraction, unit: str) -> OrderValue:
    return OrderValue(Form.AMOUNT, (Amount(value, unit),))


def _lasting(grammar: StrengthGrammar) -> OrderValue | None:
    """ "q6min", “per day”: how long something takes."""
    if grammar.word() == "q" and grammar.kind(1) == "n":
        grammar.at += 1
    if grammar.word() in ("per", "a") and grammar.word(1) in ("day", "hour") and grammar.kind(2) == "":
        grammar.at += 1
    if grammar.word() in ("day", "hour") and grammar.kind(1) == "":
        return _amount(Fraction(1), "day" if grammar.word() == "day" else "h")
    return None


def _number(grammar: StrengthGrammar) -> OrderValue | None:
    """ "10%", “half strength”, “3 times a day”."""
    if (share := grammar.share()) is not None:
        return _amount(share, "")
    place = grammar.at
    if grammar.kind() not in ("n", "-") and grammar.word() not in FREQUENCY and not grammar.number_follows():
        return None
    value = Fraction(FREQUENCY.get(grammar.word(), 0)) or grammar.number()
    if grammar.word() in FREQUENCY:
        grammar.at += 1
    if grammar.word() == "%" and value.denominator == 1:
        grammar.at += 1
        value /= 100
    else:
        grammar.pass_words("strength")
        for word in ("x", "times", "time", "doses", "dose"):
            grammar.pass_words(word)
        any(grammar.pass_words(*words) for words in (("a", "day"), ("per", "day"), ("each", "day"), ("daily",)))
    if grammar.ended():
        return _amount(value, "")
    grammar.at = place
    return None


def _share(grammar: StrengthGrammar) -> OrderValue | None:
    """ "half", “D10W”, “0.9% NaCl”; plain water holds none."""
    if grammar.word() in ("water", "sterile", "distilled", "plain") and "water" in (grammar.word(), grammar.word(1)):
        return _amount(Fraction(0), "%")
    if (share := grammar.share()) is not None:
        return _amount(share * 100, "%")
    value = grammar.percent()
    return None if value is None else _amount(value, "%")


def _area(grammar: StrengthGrammar) -> OrderValue | None:
    """A percent of the body's surface."""
    place = grammar.at
    value = grammar.number()
    if grammar.word() not in ("%", "percent"):
        grammar.at = place
        return None
    return _amount(value, "%TBSA")


def _charges(grammar: StrengthGrammar) -> OrderValue | None:
    """ "+2", “2+”, “valence of 2”."""
    if grammar.kind() == "+":
        grammar.at += 1
    if grammar.pass_words("valence"):
        grammar.pass_words("of")
    if grammar.kind() != "n" or grammar.kind(1) not in ("", "+"):
        return None
    return _amount(grammar.number(), grammar.order.unit)


def _degrees(grammar: StrengthGrammar) -> OrderValue | None:
    """Degrees of which it isn't said whether they are Celsius: those of the problem."""
    place = grammar.at
    if grammar.kind() not in ("n", "-"):
        return None
    value = grammar.number()
    if grammar.word() in ("degree", "degrees", "deg", "°") and grammar.kind(1) in ("", "."):
        return _amount(value, grammar.order.unit)
    grammar.at = place
    return None


def unit_of_order(text: str) -> str:
    """Return a unit as an order spells it in the words of units.toml; the text itself where it is no unit.

    Args:
        text: For example "mls/hr", "milligrams per deciliter".
    """
    try:
        grammar = StrengthGrammar(cut_tokens(text), OrderContext())
        unit = grammar.unit_text()
    except Unreadable:
        return text
    return unit if unit and grammar.ended() else text
