"""What may stand before an equals sign or colon: "Answer:", "rate =", "mL/h ="."""

from __future__ import annotations

from calclib.reading.grammar.expressions import ExpressionGrammar
from calclib.reading.records import Unit, Unreadable
from calclib.reading.vocabulary import FRACTIONS, FREQUENCY, NUMBERS, SCALES
from calclib.wording.facts import fact

_NUMBERS = frozenset(NUMBERS) | frozenset(FRACTIONS) | frozenset(FREQUENCY) | frozenset(SCALES)
_IN_LABEL = frozenset({"w", "(", ")", "/", "?", "."})


def pass_label(grammar: ExpressionGrammar) -> Unit:
    """Passes over "Answer:", "rate =", "mL/h:"; gives the unit if the label is one."""
    tokens = grammar.tokens
    place = next((index for index, token in enumerate(tokens) if token.kind in ("=", ":", "")), 0)
    if place == 0 or not tokens[place].kind:
        return ()
    if any(kind not in _IN_LABEL or word.lower() in _NUMBERS for kind, word, _, _ in tokens[:place]):
        return ()
    unit: Unit = ()
    if grammar.unit_word(0) is not None:
        unit = grammar.unit()
        if grammar.at != place:
            unit = ()
    named = any(grammar.unit_word(index) for index in range(place)) if not unit and place > 1 else False
    grammar.at = place + 1
    if named and not any(grammar.unit_word(index) for index in range(place + 1, len(tokens))):
        raise Unreadable(fact("unread.type_unit_behind_number"), tokens[0].start)
    return unit
