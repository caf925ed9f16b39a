"""The mistakes of a decision about an order: a sound one refused, an unsound one given, the wrong reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Value
from calclib.chains.kinds.decide import ACT, Decide
from calclib.faults.fault import Fault
from calclib.wording.facts import Fact, fact

REFUSED, GIVEN = "sound order refused", "unsound order given"
_KINDS: Mapping[tuple[str, str], tuple[str, Fact]] = {
    (ACT, "refused"): (REFUSED, fact("mistake.sound_order_refused")),
    (ACT, "given"): (GIVEN, fact("mistake.unsound_order_given")),
    (ACT, "other"): ("other act", fact("mistake.other_act")),
    ("reason", "refused"): ("finding imagined", fact("mistake.finding_imagined")),
    ("reason", "given"): ("finding missed", fact("mistake.finding_missed")),
    ("reason", "other"): ("other finding", fact("mistake.other_finding")),
}
DECISION_KINDS = frozenset(kind for kind, _ in _KINDS.values())


def wrong_decisions(chain: Chain, done: Mapping[str, Value]) -> Iterator[Fault]:
    """Yield each other act and reason than the right one, as the mistake that it is with what is printed.

    Args:
        chain: The compiled chain.
        done: All values of the chain.
    """
    for step in chain.steps:
        if not isinstance(step, Decide):
            continue
        right = done[step.name]
        for label in step.labels:
            if label == right:
                continue
            how = "refused" if right == step.proceed else "given" if label == step.proceed else "other"
            kind, words = _KINDS[step.column, how]
            yield Fault(kind, step.name, "", words, Edit(step=step.always(label)))
