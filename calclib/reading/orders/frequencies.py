"""The grammar of how often: q6h, t.i.d., 4 times a day, in 3 divided doses."""

from __future__ import annotations

from fractions import Fraction

from calclib.reading.orders.amounts import OrderGrammar
from calclib.reading.orders.values import Amount, Form, OrderValue
from calclib.reading.vocabulary import DOSES_A_DAY, FREQUENCY, NUMBERS, ordered_unit

_SCHEDULES: dict[tuple[str, ...], int] = {
    **{(word,): count for word, count in DOSES_A_DAY.items()},
    **{(word,): count for word, count in FREQUENCY.items()},
    ("od",): 1,
    ("hs",): 1,
    ("qhs",): 1,
    ("at", "bedtime"): 1,
    ("every", "day"): 1,
    ("every", "morning"): 1,
    ("every", "evening"): 1,
    ("every", "night"): 1,
    ("before", "meals", "and", "at", "bedtime"): 4,
    ("ac", "and", "hs"): 4,
}
_SHARED = frozenset({"daily", "in", "into", "equally", "divided", "equal", "doses"})
_DAY = (("a", "day"), ("per", "day"), ("each", "day"), ("every", "day"), ("daily",))
_BEHIND = (
    ("with", "meals"),
    ("with", "food"),
    ("before", "meals"),
    ("after", "meals"),
    ("after", "food"),
    ("prn",),
    ("as", "needed"),
)


class FrequencyGrammar(OrderGrammar):
    """Reads how often a dose is given."""

    __slots__ = ()

    def frequency(self) -> OrderValue | None:
        """How often; None if no such words stand here."""
        if (count := self._schedule()) is not None:
            return OrderValue(Form.AMOUNT, (Amount(Fraction(count), "dose/day"),))
        while self.word() in _SHARED or (self.word() == "per" and self.word(1) == "day"):
            self.at += 2 if self.word() == "per" else 1
        if self.word() in ("q", "every") and self.kind(1) == "n":
            self.at += 1
            hours = self.number()
            if ordered_unit(self.word()) == "h":
                self.at += 1
                return OrderValue(Form.EVERY_HOURS, (Amount(hours, ""),)) if self._ends() else None
            return None
        if (count := self._schedule()) is not None:
            return OrderValue(Form.AMOUNT, (Amount(Fraction(count), "dose/day"),))
        count = self._count()
        if count is None:
            return None
        while self.word() in ("equally", "equal", "divided"):
            self.at += 1
        if self.word() not in ("x", "times", "dose", "doses"):
            return None
        self.at += 1
        return OrderValue(Form.AMOUNT, (Amount(Fraction(count), "dose/day"),)) if self._ends() else None

    def _count(self) -> int | None:
        token = self.token()
        if token.kind == "n" and token.text.isdigit() and len(token.text) < 3:
            self.at += 1
            return int(token.text)
        count = NUMBERS.get(self.word())
        if count:
            self.at += 1
        return count or None

    def _schedule(self) -> int | None:
        place = self.at
        for words in sorted(_SCHEDULES, key=len, reverse=True):
            if self.pass_words(*words):
                if self._ends():
                    return _SCHEDULES[words]
                self.at = place
        return None

    def _ends(self) -> bool:
        if self.kind() == "/" and self.word(1) == "day":
            self.at += 2
        any(self.pass_words(*words) for words in _DAY)
        any(self.pass_words(*words) for words in _BEHIND)
        return self.ended()
