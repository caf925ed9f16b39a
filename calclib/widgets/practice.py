"""The practice box: problems one after another, judged and explained beside each field."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from calclib.errors import BadInput
from calclib.memory import kept_in, practice_file, read_memory, today, with_practice
from calclib.widgets.asleep import Sentence, Waking
from calclib.widgets.devices.scripts import devices_script
from calclib.widgets.engine import Engine, practice_engine
from calclib.widgets.failing import failure_sentence
from calclib.widgets.session import Session
from calclib.widgets.shown import today_lines
from calclib.widgets.styles import styles
from calclib.wording import fact, said, sentence

NOTHING_DUE = fact("practice.nothing_due")
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
        raise BadInput(fact("errors_widgets.no_kind_of_problem"))
    return PracticeBox(Session(names, tuple(mixed), seed or secrets.token_hex(8), engine or practice_engine()))


def todays_practice(exam: str = "", *, engine: Engine | None = None) -> PracticeBox | Sentence:
    """Ten minutes of practice: what was missed, and what is due.

    Args:
        exam: The day of the exam, as 2026-12-15; nothing is put off past it. It is remembered; "" keeps the day given
            before.
        engine: What draws and judges; the library's own if None.

    Raises:
        BadInput: The day is none, or your practice can't be kept.
    """
    opened = read_memory(practice_file())
    if exam:
        day = _day(exam)
        opened = kept_in(practice_file(), lambda memory: memory._replace(exam=day))
    found = today(opened.memory, datetime.now(UTC))
    engine = engine or practice_engine()
    if not found.plan:
        return Sentence(f"{opened.notice} {sentence(NOTHING_DUE)}".strip())
    session = Session(found.plan, (), secrets.token_hex(8), engine)
    return PracticeBox(session, heading=today_lines(found, engine.title, opened.notice))


class PracticeBox(Waking, anywidget.AnyWidget):
    """The box on the page. The page sends what was typed with each press; all judging is done here.

    Args:
        session: The run of problems that it shows.
        heading: Sentences above the problems.
    """

    _esm = devices_script() + (HERE / "practice.js").read_text(encoding="utf-8")
    _css = styles("practice.css", "devices/front_end/devices.css")
    problem = traitlets.Dict().tag(sync=True)
    """The problem at hand: see `shown_problem`."""
    told = traitlets.Dict().tag(sync=True)
    """What was last told, with the number of the telling."""

    heading = traitlets.List(traitlets.Unicode()).tag(sync=True)
    rule = traitlets.Unicode().tag(sync=True)
    stands = fact("asleep.practice")

    def __init__(self, session: Session, heading: Sequence[str] = ()) -> None:
        super().__init__(heading=list(heading), rule=said("practice.mastery"))
        self.session = session
        self.session.finished = self._remember
        self._notice = ""
        self._telling = 0
        self.on_msg(self._receive)
        self._reported(self._next)

    def _receive(self, _: object, content: Any, __: object = None) -> None:
        """Do what a message of the page asks; one about an earlier problem comes too late and is dropped."""
        if not isinstance(content, dict) or content.get("problem") != self.problem.get("number"):
            return
        asked: Mapping[str, Callable[[dict[str, Any]], None]] = {
            "check": self._check,
            "setup": self._setup,
            "hint": self._hint,
            "set": self._set,
            "run": self._run,
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
        self.problem = {**problem, "progress": self.session.progress(), "notice": self._notice}

    def _check(self, content: dict[str, Any]) -> None:
        answers, setups = _texts(content.get("answers")), _texts(content.get("setups"))
        hand = content.get("hand")
        state, by_hand = (hand.get("state"), hand.get("parts")) if isinstance(hand, dict) else (None, None)
        if isinstance(state, dict):
            self.session.set_by_hand(state)
        parts = [str(part) for part in by_hand] if isinstance(by_hand, list) else []
        told = self.session.check(answers, setups, parts)
        self._tell("check", **told, answers=answers, setups=setups, hand={"state": state or {}, "parts": parts})

    def _set(self, content: dict[str, Any]) -> None:
        """Set the device while a hand moves it; what follows from it goes back to the page."""
        state = content.get("state")
        follows = self.session.set_by_hand(state) if isinstance(state, dict) else {}
        self.send({"told": "set", "problem": self.problem["number"], "state": follows})

    def _run(self, content: dict[str, Any]) -> None:
        self._tell("run", **self.session.run(str(content.get("part"))))

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
        about = {"telling": self._telling, "problem": self.problem.get("number"), "notice": self._notice}
        self.told = {"what": what, **about, **more}

    def _remember(self, skill: str, unaided: bool) -> None:
        """Keep what was practiced; where that fails, the practice goes on, and a sentence says so."""
        now = datetime.now(UTC)
        day = now.astimezone().date()
        try:
            self._notice = kept_in(
                practice_file(), lambda memory: with_practice(memory, skill, at=now, day=day, unaided=unaided)
            ).notice
        except Exception as error:  # noqa: BLE001 - a verdict is never lost because its trace can't be kept
            self._notice = failure_sentence(error)


def _texts(given: object) -> dict[str, str]:
    """Typed texts by part; what is no text is left out."""
    return {str(part): _text(text) for part, text in given.items()} if isinstance(given, dict) else {}


def _text(given: object) -> str:
    return given[:MOST_TEXT] if isinstance(given, str) else ""


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput(fact("errors_widgets.day_of_exam", text=text[:40])) from None
