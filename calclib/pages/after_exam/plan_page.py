"""A student's plan as a page: short, to be printed on one or two sheets."""

from __future__ import annotations

from typing import Any

from calclib.gradebook.results import SetResults
from calclib.gradebook.standing import standing_told
from calclib.pages.after_exam.places import place_words
from calclib.pages.templating import page
from calclib.quantity.units import unit_table
from calclib.quantity.writing import percent_text, points_text
from calclib.remediation.needs import Need, WrongAnswer
from calclib.remediation.planning import Plan
from calclib.remediation.sessions import Session, Task, TaskKind
from calclib.wording import fact, said, sentence
from calclib.wording.messages import recorded_message


def plan_page(results: SetResults, plan: Plan) -> bytes:
    """Return the page."""
    return page(
        "plan.html",
        {
            "title": results.sealed.title,
            "name": plan.one.student.name,
            "attempt": plan.attempt,
            "percent": percent_text(results.percent(plan.one)),
            "verdict": sentence(standing_told(results, plan.one)),
            "count": len(plan.needs),
            "needs": [_need(number, need) for number, need in enumerate(plan.needs, start=1)],
            "sessions": [_session(session) for session in plan.sessions],
            "until": plan.until.isoformat() if plan.until else "",
            "dated": any(session.day for session in plan.sessions),
        },
    )


def _need(number: int, need: Need) -> dict[str, Any]:
    return {
        "number": number,
        "skill": capital(need.skill),
        "lost": said("plan.lost", lost=points_text(need.lost), of=points_text(need.of)),
        "wrong": _wrong(need.wrong),
        "places": place_words(need),
        "practice": bool(need.model),
    }


def _wrong(one: WrongAnswer) -> dict[str, str]:
    return {
        "place": one.place,
        "asked": one.asked,
        "typed": one.mark.typed,
        "message": recorded_message(one.mark.detail, looked_at=True) if one.mark.typed else "",
        "right": one.right,
        "step": one.step,
    }


def _session(session: Session) -> dict[str, str]:
    day = session.day
    when = said("plan.calendar_day", day=day.isoformat()) if day else said("plan.session", number=session.number)
    return {"when": when, "what": said("plan.tasks", tasks=tuple(map(_task, session.tasks)))}


def _task(task: Task) -> Any:
    if task.kind is TaskKind.CHECK:
        return fact("plan.task_check")
    if task.kind is TaskKind.LEARN:
        return fact("plan.task_learn", number=task.skill)
    return fact("plan.task_alone", number=task.skill)


def capital(words: str) -> str:
    """Return words as a heading begins them; a unit such as mg keeps its letters."""
    first = words.split(" ", 1)[0].rstrip(",")
    keeps = first in unit_table().dimension_of or not (first.islower() and first.isalpha())
    return words if keeps else words[:1].upper() + words[1:]
