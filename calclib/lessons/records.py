"""What a lesson holds beside its page: questions with their answers, infusions to look at, orders of its patients."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calclib.errors.messages import BadInput
from calclib.timeline.hanging import Hanging
from calclib.wording.facts import fact


@dataclass(frozen=True)
class Choice:
    """One answer to choose.

    Args:
        says: Its words.
        why: Why it is right, or what goes wrong with it.
        right: Whether it is right.
    """

    says: str
    why: str
    right: bool = False


@dataclass(frozen=True)
class Drawn:
    """A problem of the bank that a question asks.

    Args:
        model: The item model.
        given: The numbers that are fixed, by name; empty for new ones each time.
        part: The part that is asked, "" for the only one.
        with_stem: Whether the problem's own text stands above the question.
    """

    model: str
    given: Mapping[str, str]
    part: str = ""
    with_stem: bool = True


@dataclass(frozen=True)
class Question:
    """A question whose explanation is told after an answer.

    Args:
        name: Its name within the lesson.
        ask: What is asked, in paragraphs.
        explains: What is told after an answer, in paragraphs.
        choices: The answers to choose from; empty for a typed answer.
        problem: What a typed answer is judged by, None for a choice.
        shows: The infusion that is drawn with the explanation, "" for none.
        order_to_question: Whether it is an order that must not be carried out as it stands.
        sources: Keys of the sources of what it says.
    """

    name: str
    ask: tuple[str, ...]
    explains: tuple[str, ...]
    choices: tuple[Choice, ...] = ()
    problem: Drawn | None = None
    shows: str = ""
    order_to_question: bool = False
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Shown:
    """An infusion to look at.

    Args:
        hanging: What is hung and entered.
        until: Minutes that are shown [min].
    """

    hanging: Hanging
    until: int


@dataclass(frozen=True)
class StatedOrder:
    """An order of a patient on the ward, as the lesson's text has it.

    Args:
        text: Its words, as they stand in the lesson.
        fields: Drug, route, dose and the like, by the names of `calclib.formulary.Order`.
        sound: Whether it can be carried out; False for one that is there to be questioned.
    """

    text: str
    fields: Mapping[str, str]
    sound: bool = True


@dataclass(frozen=True)
class Lesson:
    """One lesson.

    Args:
        name: Its name.
        number: Its place in the order of learning, from 1.
        title: Its title.
        teaches: The item models whose skill it teaches.
        questions: Its questions by name.
        infusions: Its infusions by name.
        orders: The orders of its text.
        sources: Keys of the sources that it names at its end.
    """

    name: str
    number: int
    title: str
    teaches: tuple[str, ...]
    questions: Mapping[str, Question]
    infusions: Mapping[str, Shown]
    orders: tuple[StatedOrder, ...]
    sources: tuple[str, ...]

    def question(self, name: str) -> Question:
        """Return a question.

        Raises:
            BadInput: The lesson has no question of that name.
        """
        if name not in self.questions:
            raise BadInput(fact("errors_lessons.no_question", lesson=self.name, name=name, known=tuple(self.questions)))
        return self.questions[name]
