"""A run of practice: the problem at hand, what was typed and told, what was solved unaided. No widget, no markup."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from calclib.errors import BadInput
from calclib.widgets.engine import Engine
from calclib.widgets.mathematics import mathematics_tree
from calclib.widgets.rounds import Turn, next_skill
from calclib.widgets.shown import RIGHT, paragraphs, shown_problem, shown_verdict, spoken
from calclib.wording import fact, said

if TYPE_CHECKING:
    from calclib.answers import PartVerdict
    from calclib.items import Item
    from calclib.widgets.devices.hands import HandsOn

RUNGS = 3
Finished = Callable[[str, bool], None]
"""Told of each problem that ends: its kind, and whether it was solved unaided."""


class Session:
    """The problems of one practice box, one after another.

    Args:
        skills: Names of item models that are practiced.
        mixed: Names of earlier ones to mix in.
        seed: The text from which all problems are drawn.
        engine: What draws and judges.
        finished: Told of each problem that ends.
    """

    def __init__(
        self,
        skills: Sequence[str],
        mixed: Sequence[str],
        seed: str,
        engine: Engine,
        finished: Finished = lambda *_: None,
    ) -> None:
        self.skills, self.mixed, self.seed, self.engine, self.finished = skills, mixed, seed, engine, finished
        self.turns: list[Turn] = []
        self.number = 0
        self.skill = ""
        self.item: Item | None = None
        self.hands: HandsOn | None = None
        self._begin()

    def _begin(self) -> None:
        self.verdicts: dict[str, PartVerdict] = {}
        self.rungs: dict[str, int] = {}
        self.tries = 0
        self.helped = self.over = False

    def next_problem(self) -> dict[str, Any]:
        """Draw the next problem, and return it as the page shows it.

        Raises:
            BadInput: A model is missing or can't be drawn.
        """
        if self.item is not None and not self.over:
            self._end(False if self.tries or self.helped else None)
        self.skill = next_skill(self.skills, self.mixed, self.turns)
        self.item = self.engine.draw(self.skill, f"{self.seed}/{self.number}")
        self.number += 1
        self._begin()
        self.hands = self.engine.hands(self.item)
        shown = shown_problem(self.item, self.engine.title(self.skill), self.number)
        if self.hands is None:
            return shown
        # A device that is drawn stands in the place of its picture.
        return {**shown, "hands": self.hands.shown(), **({"drawings": []} if self.hands.drawn else {})}

    def set_by_hand(self, state: Mapping[str, Any]) -> dict[str, Any]:
        """Set the problem's device as the page sent it; return what follows, for the page.

        Raises:
            BadInput: It can't be set so.
        """
        return {} if self.hands is None else self.hands.set(state)

    def check(
        self, answers: Mapping[str, str], setups: Mapping[str, str], by_hand: Collection[str] = ()
    ) -> dict[str, Any]:
        """Judge what was typed, and what is set; return what is told of each part and of each set-up.

        Args:
            answers: What was typed, by part.
            setups: The set-ups that were typed, by part.
            by_hand: The parts of which the device holds the answer, judged as if it had been typed.
        """
        item = self._drawn()
        typed = {part.name: answers.get(part.name, "") for part in item.parts}
        if self.hands is not None:
            typed.update({part: text for part, text in self.hands.answers().items() if part in by_hand})
        verdicts = self.engine.judge(item, typed)
        self.verdicts = {verdict.part: verdict for verdict in verdicts}
        told = {verdict.part: shown_verdict(verdict) for verdict in verdicts}
        for verdict in verdicts:
            told[verdict.part]["run"] = self._run(verdict.part) is not None
        asked = {part.name: typed[part.name] for part in item.parts if part.kind == "setup"}
        for part, text in {**setups, **asked}.items():
            if part in told and text.strip():
                told[part]["setup"] = self.setup(part, text, typed, asked=part in asked)
        self.tries += any(text.strip() for text in typed.values())
        solved = all(one["state"] == RIGHT for one in told.values())
        if solved and not self.over:
            self._end(self.tries == 1 and not self.helped)
        return {"parts": told, "solved": solved, "said": spoken(item, verdicts, told), "progress": self.progress()}

    def setup(self, part: str, text: str, answers: Mapping[str, str], *, asked: bool = False) -> dict[str, Any]:
        """Return what a set-up shows: the mathematics, and a sentence unless the verdict says it already."""
        if not text.strip():
            return {"tree": None, "lines": []}
        try:
            message, latex = self.engine.setup(self._drawn(), part, text, answers)
        except Exception as error:  # noqa: BLE001 - whatever one set-up sets off, the answers are judged
            broken = said("practice.setup_not_read", error=type(error).__name__)
            return {"tree": None, "lines": [broken]}
        return {"tree": mathematics_tree(latex) if latex else None, "lines": [message] if message and not asked else []}

    def run(self, part: str) -> dict[str, Any]:
        """Return what the last answer to a part would do, against the order.

        Raises:
            BadInput: There is nothing to run.
        """
        found = self._run(part)
        if found is None:
            raise BadInput(fact("errors_widgets.nothing_to_run"))
        return {"part": part, **found}

    def _run(self, part: str) -> Mapping[str, Any] | None:
        verdict = self.verdicts.get(part)
        if verdict is None or verdict.right or verdict.verdict == "blank":
            return None
        return self.engine.run(self._drawn(), verdict)

    def hint(self, part: str) -> dict[str, Any]:
        """Return the next hint for a part; the last one stays once all are told."""
        item = self._drawn()
        rung = self.rungs[part] = min(self.rungs.get(part, 0) + 1, RUNGS)
        self._help()
        lines = self.engine.hint(item, part, rung, self.verdicts.get(part)).split("\n")
        return {"part": part, "rung": rung, "of": RUNGS, "lines": [line for line in lines if line.strip()]}

    def worked(self) -> list[dict[str, Any]]:
        """Return the worked solution of each part."""
        item = self._drawn()
        self._help()
        if not self.over:
            self._end(False)
        several = len(item.parts) > 1
        return [
            {"asked": part.asked if several else "", "lines": paragraphs_of_lines(self.engine.worked(item, part.name))}
            for part in item.parts
        ]

    def progress(self) -> str:
        """Return how many problems were solved unaided, in a sentence."""
        ended = [turn for turn in self.turns if turn.unaided is not None]
        if not ended:
            return ""
        alone = sum(bool(turn.unaided) for turn in ended)
        return said("practice.unaided", alone=alone, count=len(ended))

    def _help(self) -> None:
        """Help after the end takes nothing away."""
        self.helped = self.helped or not self.over

    def _end(self, unaided: bool | None) -> None:
        self.over = True
        self.turns.append(Turn(self.skill, unaided))
        if unaided is not None:
            self.finished(self.skill, unaided)

    def _drawn(self) -> Item:
        if self.item is None:
            raise BadInput(fact("errors_widgets.no_problem_yet"))
        return self.item


def paragraphs_of_lines(text: str) -> list[str]:
    """Return the lines of a text that say something."""
    return [line for paragraph in paragraphs(text) for line in paragraph.split("\n") if line.strip()]
