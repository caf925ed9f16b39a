"""The practice box: problems one after another, judged and explained beside each field."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from calclib.errors import BadInput
from calclib.widgets.asleep import shown_with_fallback
from calclib.widgets.engine import Engine, practice_engine
from calclib.widgets.failing import failure_sentence
from calclib.widgets.session import Session

HERE = Path(__file__).parent
MOST_TEXT = 2000
"""Characters of one field that are looked at."""


def practice_box(
    skills: str | Sequence[str],
    seed: str | None = None,
    *,
    mixed: Sequence[str] = (),
    engine: Engine | None = None,
) -> PracticeBox:
    """Problems to practice on, one after another.

    Args:
        skills: Names of item models.
        seed: Any text; the same text gives the same problems. None for new problems each time.
        mixed: Names of earlier ones: one problem of three is of these.
        engine: What draws and judges; the library's own if None.

    Raises:
        BadInput: No item model is named.
    """
    names = (skills,) if isinstance(skills, str) else tuple(skills)
    if not names:
        raise BadInput("name at least one kind of problem to practice on")
    return PracticeBox(Session(names, tuple(mixed), seed or secrets.token_hex(8), engine or practice_engine()))


class PracticeBox(anywidget.AnyWidget):
    """The box on the page. The page sends what was typed with each press; all judging is done here.

    Args:
        session: The run of problems that it shows.
    """

    _esm = HERE / "practice.js"
    _css = HERE / "practice.css"
    problem = traitlets.Dict().tag(sync=True)
    """The problem at hand: see `shown_problem`."""
    told = traitlets.Dict().tag(sync=True)
    """What was last told, with the number of the telling."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._telling = 0
        self.on_msg(self._receive)
        self._reported(self._next)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        return shown_with_fallback(super()._repr_mimebundle_(**kwargs), "practice problems")

    def _receive(self, _: object, content: Any, __: object = None) -> None:
        """Do what a message of the page asks; one about an earlier problem comes too late and is dropped."""
        if not isinstance(content, dict) or content.get("problem") != self.problem.get("number"):
            return
        asked: Mapping[str, Callable[[dict[str, Any]], None]] = {
            "check": self._check,
            "setup": self._setup,
            "hint": self._hint,
            "worked": self._worked,
            "next": self._next,
        }
        action = asked.get(str(content.get("ask")))
        if action is not None:
            self._reported(action, content)

    def _reported(self, action: Callable[[dict[str, Any]], None], content: dict[str, Any] | None = None) -> None:
        """Say in one sentence what failed: a student is never shown a traceback."""
        try:
            action(content or {})
        except Exception as error:  # noqa: BLE001 - whatever fails, one sentence tells of it
            self._tell("failed", sentence=failure_sentence(error))

    def _next(self, _: dict[str, Any]) -> None:
        problem = self.session.next_problem()
        self.told = {}
        self.problem = {**problem, "progress": self.session.progress()}

    def _check(self, content: dict[str, Any]) -> None:
        answers, setups = _texts(content.get("answers")), _texts(content.get("setups"))
        self._tell("check", **self.session.check(answers, setups), answers=answers, setups=setups)

    def _setup(self, content: dict[str, Any]) -> None:
        """Show a set-up while it is typed: its units cancel, nothing is judged in words."""
        part = str(content.get("part"))
        found = self.session.setup(part, _text(content.get("text")), _texts(content.get("answers")))
        self.send({"told": "setup", "problem": self.problem["number"], "part": part, "tree": found["tree"]})

    def _hint(self, content: dict[str, Any]) -> None:
        self._tell("hint", **self.session.hint(str(content.get("part"))))

    def _worked(self, _: dict[str, Any]) -> None:
        self._tell("worked", parts=self.session.worked(), progress=self.session.progress())

    def _tell(self, what: str, **more: Any) -> None:
        self._telling += 1
        self.told = {"what": what, "telling": self._telling, "problem": self.problem.get("number"), **more}


def _texts(given: object) -> dict[str, str]:
    """Typed texts by part; what is no text is left out."""
    return {str(part): _text(text) for part, text in given.items()} if isinstance(given, dict) else {}


def _text(given: object) -> str:
    return given[:MOST_TEXT] if isinstance(given, str) else ""
