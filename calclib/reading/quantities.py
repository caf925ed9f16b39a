"""Reads a typed quantity: words around one number with its unit, or arithmetic on such numbers."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from calclib.reading.context import NO_CONTEXT, Context
from calclib.reading.grammar.expressions import ExpressionGrammar
from calclib.reading.grammar.labels import pass_label
from calclib.reading.grammar.numerals import read_numeral
from calclib.reading.grammar.roundings import before_rounding, unrounded
from calclib.reading.grammar.trees import Expression, InUnit, Number, Product, Quotient, Sum, has_unit
from calclib.reading.grammar.values import tree_value
from calclib.reading.notation import rule_of_word
from calclib.reading.plain_text.tokens import cut_tokens
from calclib.reading.records import Notice, Reading, Unit, Unreadable
from calclib.reading.vocabulary import AFTER, BEFORE, FREQUENCY, NAMES, NUMBERS, RATES, REMARK, SCHEDULES
from calclib.reading.whole_answers import whole_answer
from calclib.reading.writing import shown_number, shown_quantity
from calclib.wording.facts import fact

_OPENING = frozenset({"~", "=", ":", "@", '"', "'", "·", "["})
_ONE = frozenset({"one", "each", "a", "the", "this", "1"})
_QUOTES = ('"', "'")
_CLOSING = frozenset({".", ",", ";", "!", "?", '"', "'", "]", "=", "~"})
_JOINS = frozenset({"and", "to", "&", "-"})
_ROUNDING = frozenset({"rounded", "rounds", "round"})
_BRACKETS = str.maketrans("[]", "()")
_TIMES = frozenset({"h", "min", "day", "wk", "s"})
_LENGTHS = _TIMES | {"dose"}

_Side = tuple[Fraction, int | None, Unit, bool]
"""Value, decimals, unit, and whether it was arithmetic."""


# Most answers are a plain number with a unit, and few words around it: the grammar reads each wording once.
_COMMON = re.compile(
    r"((?:[A-Za-z=:~ ]{0,30}[=:~ ])?)([0-9]{1,9}|[1-9][0-9]{0,2}(?:,[0-9]{3}){1,2})(\.[0-9]{1,5})?([A-Za-z%/. ]{0,30})"
)

# In words it is longer than the words around a number may be, so that they never come to it.
_EXAMPLE = Fraction(86_421)


@lru_cache(maxsize=4096)
def _wording(before: str, after: str, decimals: bool) -> Reading | None:
    """The reading of words around a number that stands for all such; None if they change it or can't be read."""
    value, numeral = (_EXAMPLE + Fraction(7, 10), "86,421.7") if decimals else (_EXAMPLE, "86,421")
    plain = before + numeral + after
    try:
        reading = read_quantity(plain, plain)
    except Unreadable:
        return None
    return reading if (reading.value, reading.decimals) == (value, int(decimals)) else None


def read_common_quantity(text: str, plain: str) -> Reading | None:
    """What `read_quantity` gives for a plain number with its unit and a few words; None for any other text."""
    found = _COMMON.fullmatch(plain)
    if found is None:
        return None
    before, whole, fraction, after = found.groups("")
    wording = _wording(before, after, bool(fraction))
    if wording is None:
        return None
    noticed: list[str] = []
    value, decimals = read_numeral(whole + fraction, 0, noticed)
    if wording.notices:
        noticed += [notice.rule for notice in wording.notices]
    return _reading(text, value, decimals, wording.unit, noticed)


def _reading(text: str, value: Fraction, decimals: int | None, unit: Unit, noticed: list[str]) -> Reading:
    notices = tuple(Notice(rule) for rule in dict.fromkeys(noticed)) if noticed else ()
    return Reading(text, value, decimals, unit, None, None, notices, shown_quantity(value, unit))


def read_quantity(text: str, plain: str, context: Context = NO_CONTEXT) -> Reading:
    """The one quantity in the text; raises Unreadable if there is none or more than one."""
    plain = plain.translate(_BRACKETS)
    tokens = cut_tokens(plain)
    grammar = ExpressionGrammar(tokens, plain, context=context)
    if (alone := whole_answer(grammar)) is not None:
        value, decimals, unit = alone
        return _reading(text, value, decimals, unit, grammar.notices)
    label_unit = pass_label(grammar)
    value, decimals, unit, _ = _sides(grammar)
    if label_unit:
        if unit and sorted(unit) != sorted(label_unit) and label_unit != (("dose", 1),):
            raise Unreadable(fact("unread.two_different_units_typed"), tokens[0].start)
        unit = unit or label_unit
    unit = _behind(grammar, value, decimals, unit)
    _check_unit(unit, tokens[0].start)
    if "/" not in text and "fraction_tablet" in grammar.notices:  # a small fraction sign is the safe way
        grammar.notices.remove("fraction_tablet")
    return _reading(text, value, decimals, unit, grammar.notices)


def _pass_words(grammar: ExpressionGrammar) -> None:
    first = grammar.at
    while True:
        kind, text, start, glued = grammar.token()
        worded = grammar.at > first and grammar.tokens[grammar.at - 1].kind == "w"
        if kind == "w":
            if text.lower() in ("between", "from") and any(token.text in _JOINS for token in grammar.tokens):
                raise Unreadable(fact("unread.looks_like_range"), start)
            if text.lower() not in BEFORE and not _is_name(grammar, text):
                return
        elif text in ("=>", "==>"):
            raise Unreadable(fact("unread.type_one_number_without_sign_comparison"), start)
        elif kind == "-" and glued and grammar.token(1).glued and _is_name(grammar, grammar.token(1).text):
            pass
        elif kind == "-" and worded:
            raise Unreadable(fact("unread.could_minus_sign_or_dash"), start)
        elif kind == "." and worded and glued and not grammar.token(1).glued:
            pass
        elif kind not in _OPENING:
            return
        elif kind == "@":
            grammar.notices.append("sign_for_word")
        if kind == "·" and grammar.token(1).glued:
            raise Unreadable(fact("unread.dot_could_decimal_point"), start)
        if kind == "w" and grammar.kind(1) == "n" and grammar.token(1).glued:
            raise Unreadable(fact("unread.letters_or_digits"), start)
        grammar.at += 1


def _is_name(grammar: ExpressionGrammar, word: str) -> bool:
    """Whether a word names a drug or fluid and says no more than the question."""
    return word.lower() in NAMES or word.lower() in grammar.context.names


def _side(grammar: ExpressionGrammar) -> _Side:
    _pass_words(grammar)
    start = grammar.token().start
    if (
        grammar.kind() == "w"
        and grammar.unit_word(grammar.at) is not None
        and not grammar.stands_for_number(grammar.at)
    ):
        raise Unreadable(fact("unread.type_number_first_then_its_unit"), start)
    tree = grammar.sum()
    if isinstance(tree, Number):
        return tree.value, tree.decimals, tree.unit, False
    _refuse_range(grammar, tree, start)
    _refuse_how_long(grammar, tree, start)
    try:
        value, unit = tree_value(tree)
    except Unreadable as stop:
        raise Unreadable(stop.why, start) from None
    if value < 0:
        raise Unreadable(fact("unread.arithmetic_comes_out_below_zero"), start)
    if not unit and has_unit(tree):
        raise Unreadable(fact("unread.units_cancel_out"), start)
    if any(abs(power) > 1 for _, power in unit):
        raise Unreadable(fact("unread.units_come_to_no_one_unit"), start)
    return value, _decimals(tree), unit, True


def _refuse_how_long(grammar: ExpressionGrammar, tree: Expression, start: int) -> None:
    """ "125 mL/h x 8 h" says for how long as often as it multiplies."""
    match tree:
        case Product(factors=(*_, Number(unit=((name, 1),)))) if name in _LENGTHS and grammar.kind() != "=":
            raise Unreadable(fact("unread.x_and_could_how_long_or_how", name=name), start)
        case Product(factors=(Number(unit=(_, *_)), Number(unit=(), value=times, text=text))) if grammar.kind() != "=":
            if times != 1 and "^" not in text:
                raise Unreadable(fact("unread.x_could_how_many_or_how_often", text=text), start)


def _refuse_range(grammar: ExpressionGrammar, tree: Expression, start: int) -> None:
    """A bare minus could be a range: 5-6 mL. In brackets, or with its result behind it, it subtracts."""
    inner = tree.of if isinstance(tree, InUnit) else tree
    bare = grammar.kind() not in ("=", "~") and "(" not in grammar.text[start : grammar.token().start]
    if bare and isinstance(inner, Sum) and any(sign < 0 for sign, _ in inner.terms):
        raise Unreadable(fact("unread.could_range_or_subtraction"), start)


def _decimals(tree: Expression) -> int | None:
    """Digits after the point where nothing was computed: 125 mL/1 h."""
    match tree:
        case Quotient(top=Number(decimals=decimals), bottom=Number(value=1)):
            return decimals
    return None


def _sides(grammar: ExpressionGrammar) -> _Side:
    """The last of the sides joined by "=": working before it is passed over, another number before it is refused."""
    side = _side(grammar)
    earlier: list[_Side] = []
    while joint := _joint(grammar):
        bracket = grammar.kind() == "("
        grammar.at += joint
        earlier.append(side)
        noticed = len(grammar.notices)
        place = grammar.token().start
        side = _side(grammar)
        del grammar.notices[:noticed]
        if bracket:
            _close_bracket(grammar)
        for value, _, unit, computed in earlier:
            if not computed and value == side[0] and unit and side[2] and sorted(unit) != sorted(side[2]):
                raise Unreadable(fact("unread.two_different_units_typed"), place)
            rounded = _rounds_to(value, side[0], side[1]) and (
                not unit or not side[2] or sorted(unit) == sorted(side[2])
            )
            if value != side[0] and (not computed or side[3]) and not rounded:
                raise _two_numbers(value, side[0], place)
    value, decimals, unit, computed = side
    if not unit:
        same = (other for number, _, other, _ in reversed(earlier) if other and _is_it(number, value, decimals))
        unit = next(same, ())
    return value, decimals, unit, computed


def _joint(grammar: ExpressionGrammar) -> int:
    """How many tokens join a number with the same number again or rounded: "=", "≈", "->", "rounded to", "so"."""
    kinds = [token.kind for token in grammar.tokens[grammar.at : grammar.at + 4]]
    if kinds[0] in ("=", "~"):
        signs = 2 if kinds[1] in ("=", "~") else 1
        return signs if kinds[signs] else 0
    ahead = 1 if kinds[0] in (",", ";", "(") else 0
    word = grammar.token(ahead).text.lower()
    if word in ("so", "then") and kinds[0] != "(":
        return ahead + 1 if grammar.kind(ahead + 1) == "n" else 0
    if word not in _ROUNDING:
        return 0
    ahead += 2 if grammar.token(ahead + 1).text.lower() in ("up", "down", "off") else 1
    ahead += 2 if grammar.token(ahead + 1).text.lower() in ("about", "approximately") else 1
    said = grammar.token(ahead - 1 if grammar.token(ahead - 1).text.lower() == "to" else ahead - 2).text.lower() == "to"
    return ahead if said and grammar.kind(ahead) == "n" and grammar.token(ahead + 1).text[:7] != "decimal" else 0


def _rounds_to(value: Fraction, rounded: Fraction, decimals: int | None) -> bool:
    """Whether a number is another one rounded, up or down, to the digits that were typed."""
    return decimals is not None and value != rounded and abs(value - rounded) * 10**decimals < 1


def _is_it(value: Fraction, rounded: Fraction, decimals: int | None) -> bool:
    return value == rounded or _rounds_to(value, rounded, decimals)


def _close_bracket(grammar: ExpressionGrammar) -> None:
    if grammar.kind() != ")":
        raise Unreadable(fact("unread.bracket_not_closed"), grammar.token().start)
    grammar.at += 1


def _two_numbers(first: Fraction, second: Fraction, position: int) -> Unreadable:
    both = fact("unread.two_numbers", first=shown_number(first), second=shown_number(second))
    return Unreadable(both, position)


def _behind(grammar: ExpressionGrammar, value: Fraction, decimals: int | None, unit: Unit) -> Unit:
    """What may stand behind the quantity: how often it is given, the way it is given, the same quantity again."""
    while True:
        kind, text, start, _ = grammar.token()
        word = text.lower()
        if kind == "":
            return unit
        if kind in ("w", "n") and _schedule(grammar, word):
            unit = _for_one_dose(unit, word, start)
        elif kind == "w" and word in RATES and unit and all(power > 0 for _, power in unit):
            unit = grammar.rated(unit)  # 1 tablet PO daily
        elif remark := _remark(grammar):
            grammar.at += remark
        elif kind == "w" and (word in AFTER or _is_name(grammar, word)) and not _on_a_number(grammar):
            if rule := rule_of_word(text):
                grammar.notices.append(rule)
            grammar.at += 1
        elif _passed_over(grammar, kind, text):
            continue
        elif (said := _said_again(grammar, value, decimals, unit)) is not None:
            unit = said
        elif kind in _QUOTES and _on_a_number(grammar) and grammar.tokens[0].kind != kind:
            raise Unreadable(fact("unread.sign_could_feet_inches_minutes_or_seconds"), start)
        elif kind in _CLOSING or (kind == "-" and _is_name(grammar, grammar.token(1).text)):
            grammar.at += 1
        else:
            raise _left_over(grammar, value)


def _said_again(grammar: ExpressionGrammar, value: Fraction, decimals: int | None, unit: Unit) -> Unit | None:
    """Passes over the same number again, or the exact one with words that say so; gives the unit, None if none is."""
    kind, text, start, _ = grammar.token()
    before = before_rounding(grammar)
    if not before and not ((kind in (",", ";", "(") or text.lower() in ("or", "and")) and _may_be_again(grammar)):
        return None
    grammar.at += before or 1
    again, _, again_unit, _ = _side(grammar)
    exact = again != value and _rounds_to(again, value, decimals) and (unrounded(grammar) or before > 0)
    if again != value and not exact:
        raise _two_numbers(value, again, start)
    if unit and again_unit and sorted(unit) != sorted(again_unit):
        raise Unreadable(fact("unread.two_different_units_typed"), start)
    unit = unit or again_unit
    if kind == "(":
        _close_bracket(grammar)
        unit = unit or grammar.unit()
    return unit


def _for_one_dose(unit: Unit, word: str, position: int) -> Unit:
    """The unit of what is given on a schedule; “1 drop every 2 seconds” is a rate and no dose."""
    if unit == (("gtt", 1),) and word in ("q", "every"):
        raise Unreadable(fact("unread.cannot_tell_rate_from_dose"), position)
    if unit == (("dose", 1),):
        raise Unreadable(fact("unread.cannot_tell_how_often"), position)
    return unit if any(name in ("dose", "day") for name, _ in unit) else (*unit, ("dose", -1))


def _may_be_again(grammar: ExpressionGrammar) -> bool:
    """Whether the same number may follow: in digits, or in words, as in “2 (two) tablets”."""
    return grammar.kind(1) not in ("", "w") or (grammar.kind() == "(" and grammar.begins_number(grammar.token(1)))


def _remark(grammar: ExpressionGrammar) -> int:
    """How many tokens say only how the number was rounded, or that it is the answer: "(rounded)", "rounded up"."""
    bracket = 1 if grammar.kind() == "(" else 0
    place = grammar.at + bracket
    if not bracket and grammar.token().text.lower() not in _ROUNDING:
        return 0
    while grammar.tokens[place].text.lower() in REMARK or grammar.tokens[place + 1].text.lower()[:7] == "decimal":
        place += 1
    if grammar.tokens[place - 1].text.lower() == "to" or (bracket and grammar.tokens[place].kind != ")"):
        return 0
    return place + bracket - grammar.at if place > grammar.at + bracket else 0


def _passed_over(grammar: ExpressionGrammar, kind: str, text: str) -> bool:
    """“for one dose”, which says no more than the question, or a drug's unsafe short name."""
    words = [token.text.lower() for token in grammar.tokens[grammar.at : grammar.at + 3]]
    if len(words) == 3 and words[0] == "for" and words[1] in _ONE and words[2] == "dose":
        grammar.at += 3
        return True
    if kind == "w" and rule_of_word(text) == "ms":
        grammar.notices.append("ms")
        grammar.at += 1
        return True
    return False


def _on_a_number(grammar: ExpressionGrammar) -> bool:
    """Whether the token stands on a number without a blank, so that its letters could be digits: 2OU."""
    return grammar.token().glued and grammar.tokens[grammar.at - 1].kind == "n"


def _schedule(grammar: ExpressionGrammar, word: str) -> bool:
    """Passes over "q8h", "every 8 hours", "bid", "twice a day", "3 times a day" behind a dose."""
    if word in SCHEDULES:
        if rule := rule_of_word(word):
            grammar.notices.append(rule)
        grammar.at += 1
        return True
    if word in ("q", "every") and (grammar.kind(1) == "n" or grammar.token(1).text.lower() in NUMBERS):
        found = grammar.unit_word(grammar.at + 2)
        if found is None or found[0] not in _TIMES:
            return False
        if grammar.token(1).text == "1" and found[0] == "day":
            grammar.notices.append("once_daily_q1d")
        grammar.at += 2 + found[1]
        return True
    if word in FREQUENCY:
        grammar.operand()
        return True
    if grammar.token(1).text.lower() in ("times", "time", "x") and (word.isdigit() or word in NUMBERS):
        place = grammar.at
        grammar.at += 2
        if grammar.per_time():
            return True
        grammar.at = place
    return False


def _left_over(grammar: ExpressionGrammar, value: Fraction) -> Unreadable:
    kind, text, start, _ = grammar.token()
    if kind == "n":
        return Unreadable(fact("unread.number_behind", number=shown_number(value)), start)
    if text.lower() in ("to", "-"):
        return Unreadable(fact("unread.looks_like_range"), start)
    if kind == ":":
        return Unreadable(fact("unread.could_time_or_ratio"), start)
    if text.lower() in ("degrees", "degree", "deg", "°"):
        return Unreadable(fact("unread.degrees_could_celsius_or_fahrenheit"), start)
    if text in ("k", "K"):
        return Unreadable(fact("unread.k_could_thousand_or_kilo"), start)
    if kind == "w" and grammar.unit_word(grammar.at) is not None:
        return Unreadable(fact("unread.cannot_tell_how_belongs_unit", text=text[:20]), start)
    return Unreadable(fact("unread.cannot_read_in_answer", text=text[:20]), start)


def _check_unit(unit: Unit, position: int) -> None:
    tops = [word for word, power in unit if power > 0]
    if len(tops) > 1:
        raise Unreadable(fact("unread.units_come_to_no_one_unit"), position)
