"""The contract for programs: JSON lines with a version, documented in CONTRACT.md."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from calclib.errors.messages import BadInput
from calclib.errors.unseen import is_unseen
from calclib.items.drawn import Drawing
from calclib.items.item import Item, ItemPart
from calclib.items.recorded.recorded_numbers import exact_text
from calclib.items.recorded.unusual import Unusual
from calclib.models.model import ItemModel
from calclib.models.stated import examples
from calclib.quantity.enclosure import Enclosure
from calclib.quantity.writing import write_number
from calclib.wording import sentence
from calclib.wording.facts import fact

CONTRACT = 2


def json_line(value: Mapping[str, Any]) -> str:
    """Return one line of JSON."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    if text.isprintable():
        return text
    # They stand within strings alone, and are the same characters to whoever reads the line.
    return "".join(json.dumps(one)[1:-1] if is_unseen(one) else one for one in text)


def pairs(options: Iterable[str], what: str) -> dict[str, str]:
    """Return NAME=VALUE options as a mapping.

    Raises:
        BadInput: An option has no “=”, or a name comes twice.
    """
    result: dict[str, str] = {}
    for option in options:
        name, equals, value = option.partition("=")
        if not equals or not name.strip():
            raise BadInput(fact("errors_cli.no_name_and_value", option=option[:60]), where=what)
        if name.strip() in result:
            raise BadInput(fact("errors_cli.given_twice", name=name.strip()), where=what)
        result[name.strip()] = value.strip()
    return result


def model_json(model: ItemModel) -> dict[str, Any]:
    """Return what programs may know of an item model."""
    return {
        "contract": CONTRACT,
        "item": model.id,
        "version": model.version,
        "reviewed": [{"by": one.by, "on": one.on} for one in model.reviews],
        "title": model.title,
        "topic": model.topic,
        "level": model.level,
        "skill": model.skill,
        "order": model.order,
        "sources": list(model.sources),
        "stem": model.stem,
        "caution": model.caution,
        "states": list(model.states),
        "givens": [
            {
                "name": g.name,
                "kind": g.kind,
                "unit": None if g.unit is None else str(g.unit),
                "forms": list(g.forms) if isinstance(g.forms, tuple) else "by row",
                "examples": list(examples(g)),
                "role": "stated" if g.role == "column" else g.role,
                **({"drawn_on": g.drawn_on, "reads": g.reads} if g.drawn_on else {}),
                "says": g.says,
            }
            for g in model.givens.values()
            if g.kind != "row" and g.role != "hidden"
        ],
        "steps": [
            {"step": s.name, "kind": s.kind, "unit": str(s.unit), "says": s.says, "sources": list(s.sources)}
            for s in model.steps
        ],
        "parts": [
            {"part": p.name, "asked": p.asked, "unit": str(p.unit), "rule": p.rounding, "points": p.points}
            | ({"kind": p.kind} if p.kind else {})
            for p in model.parts
        ],
    }


def item_json(item: Item, worked: Mapping[str, tuple[str, ...]], faults: bool) -> dict[str, Any]:
    """Return a drawn item as `calclib draw` prints it."""
    return {
        "contract": CONTRACT,
        "item": item.model_id,
        "version": item.model_version,
        "seed": item.seed,
        "policy": item.policy_name,
        "stem": item.stem,
        **({"drawings": [_drawing_json(one) for one in item.drawings]} if item.drawings else {}),
        **({"papers": [{**one.to_record(), "alt": one.alt} for one in item.papers]} if item.papers else {}),
        "givens": {given.name: given.text for given in item.givens},
        "use": dict(item.equivalences),
        "parts": [_part_json(part, faults) for part in item.parts],
        "fair": item.fair,
        "diagnosable": item.diagnosable,
        "why": [sentence(one) for one in item.why],
        **({"unusual": [_unusual_json(one) for one in item.unusual]} if item.unusual else {}),
        "caution": item.caution,
        "worked": {part: list(lines) for part, lines in worked.items()},
    }


def _unusual_json(one: Unusual) -> dict[str, Any]:
    found = one.finding
    return {
        "kind": found.kind,
        "drug": one.drug,
        "ordered": one.ordered or str(found.figure),
        "figure": str(found.figure),
        "limit": str(found.limit),
        "times": str(found.factor),
        "source": found.citation.key,
        "place": found.citation.place,
        "says": one.says,
    }


def _drawing_json(drawing: Drawing) -> dict[str, Any]:
    return {"given": drawing.given, "device": drawing.device.name, "alt": drawing.alt}


def _part_json(part: ItemPart, faults: bool) -> dict[str, Any]:
    result: dict[str, Any] = {
        "part": part.name,
        "kind": part.kind,
        "asked": part.asked,
        "answer": part.accepted_choice if part.kind == "choice" else part.answer,
        "exact": _exact_json(part),
        "key": part.accepted_choice if part.key is None else _number(part.key),
        "unit": part.unit,
        "rule": part.rule_text,
        "points": part.points,
        "accepted": [part.accepted_choice]
        if part.kind == "choice"
        else [
            {"low": _number(a.low), "high": _number(a.high), "by": a.by.to_record(), "says": sentence(a.by)}
            for a in part.accepted
        ],
    }
    if part.kind == "choice":
        result["choices"] = list(part.choices)
    if faults:
        result["faults"] = [
            {
                "fault": f.fault,
                "step": f.step,
                "given": f.given,
                "says": f.says,
                "value": f.choice if f.value is None else str(f.value),
                "written": f.choice if f.written is None else _number(f.written),
                "hard": f.hard,
                "also": list(f.also),
            }
            for f in part.faults
        ]
    return result


def _exact_json(part: ItemPart) -> Any:
    """A fraction as text; an enclosure as its two ends, never a made-up fraction."""
    if part.exact is None:
        return None
    if isinstance(part.exact, Enclosure):
        return {"low": str(part.exact.low), "high": str(part.exact.high)}
    return exact_text(part.exact)


def _number(value: Any) -> str:
    try:
        return write_number(value).replace(",", "")
    except BadInput:
        return str(value)
