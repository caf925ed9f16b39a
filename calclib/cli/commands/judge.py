"""`calclib judge`: one item from the command line, or requests as JSON lines."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, TextIO

import click

from calclib.answers.carrying import carried_from
from calclib.answers.feedback.messages import not_judged_told
from calclib.answers.judging import judge_item, not_judged
from calclib.answers.marking_policy import marking_policy
from calclib.answers.setups.judging import judge_setup
from calclib.answers.setups.parts import setups_of
from calclib.answers.verdict import PartVerdict
from calclib.cli.contract import CONTRACT, json_line, pairs
from calclib.cli.say import say
from calclib.errors.messages import BadInput
from calclib.items.drawing import draw_item
from calclib.items.item import Item
from calclib.models.bank import item_model
from calclib.models.model import ItemModel
from calclib.proving.own_models import model_named
from calclib.quantity.policies import DEFAULT_POLICY, rounding_policy
from calclib.wording import fact, of_kind, said, sentence
from calclib.wording.messages import message as told_in_words

DEFAULT_MARKING = "homework"
MAX_LINE = 1_000_000


@click.command()
@click.argument("item")
@click.option("--seed", default="1", show_default=True, help="The text from which the item was drawn.")
@click.option("--given", multiple=True, metavar="NAME=VALUE", help="A number that was fixed.")
@click.option("--use", multiple=True, metavar="NAME=VALUE", help="A conversion that was fixed.")
@click.option("--policy", default=DEFAULT_POLICY, show_default=True, help="The rounding policy.")
@click.option("--marking", default=DEFAULT_MARKING, show_default=True, help="The marking policy.")
@click.option("--answer", multiple=True, metavar="[PART=]TEXT", help="What was typed, for one part.")
@click.option("--setup", multiple=True, metavar="[PART=]TEXT", help="The set-up that was typed, for one part.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object, for programs.")
def judge(
    item: str,
    seed: str,
    given: tuple[str, ...],
    use: tuple[str, ...],
    policy: str,
    marking: str,
    answer: tuple[str, ...],
    setup: tuple[str, ...],
    as_json: bool,
) -> None:
    """Judge typed answers to an item drawn from ITEM, an item model or a file of your own (mine.toml).

    With “-” as ITEM, requests are read as JSON lines from standard input and each is answered with one line.
    """
    if item == "-":
        judge_lines(sys.stdin, sys.stdout)
        return
    model, rules = model_named(item), rounding_policy(policy)
    drawn = draw_item(model, seed, policy=rules, given=pairs(given, "--given"), use=pairs(use, "--use"))
    verdicts = _verdicts(drawn, model, _by_part(drawn, answer, "--answer"), marking)
    setups = _setups(drawn, model, _by_part(drawn, setup, "--setup"))
    if as_json:
        reply = {"contract": CONTRACT, "item": item, "seed": seed, "parts": [_part(v) for v in verdicts]}
        say(json_line({**reply, **({"setups": setups} if setups else {})}))
        return
    say(drawn.in_words)
    for part, verdict in zip(drawn.parts, verdicts, strict=True):
        typed = verdict.reading.text
        say(f"\n{part.asked} {part.rule_text}")
        say(said("drawn_problem.typed", text=typed) if typed else said("drawn_problem.typed_nothing"))
        name = sentence(of_kind("verdict_name", verdict.verdict))
        say(said("drawn_problem.judged", verdict=name, score=f"{float(verdict.score):g}"))
        say(f"  {verdict.message}")
        if part.name in setups:
            say(said("drawn_problem.set_up", text=setups[part.name]["shown"]))
            say(f"  {setups[part.name]['message']}")


def judge_lines(requests: TextIO, replies: TextIO) -> None:
    """Answer each request line with one reply line, in order and flushed, whatever the line holds.

    Args:
        requests: JSON lines {id, item, seed, givens?, use?, policy?, marking?, answers: {part: text}, setups?}.
        replies: Where the lines {id, item, parts, setups?} or {id, error} go.
    """
    for line in _lines(requests):
        replies.write(json_line(reply_to(line)) + "\n")
        replies.flush()


def _lines(requests: TextIO) -> Any:
    """Lines as text; bytes that are no UTF-8 are replaced, so that a line is refused and not the run."""
    raw = getattr(requests, "buffer", None)
    if raw is None:
        yield from requests
        return
    while chunk := raw.readline(MAX_LINE + 1):
        rest = b""
        while not chunk.endswith(b"\n") and len(chunk) > MAX_LINE and (rest := raw.readline(MAX_LINE)):
            if rest.endswith(b"\n"):
                break
        yield chunk.decode("utf-8", "replace")


def reply_to(line: str) -> dict[str, Any]:
    """Return the reply to one request line."""
    identity: Any = None
    try:
        if len(line) > MAX_LINE:
            raise BadInput(fact("errors_cli.request_too_long", most=MAX_LINE))
        try:
            request = json.loads(line, parse_constant=_no_constant, parse_int=_bounded_int)
        except (ValueError, RecursionError) as error:
            raise BadInput(fact("errors_cli.no_json", error=str(error))) from None
        if not isinstance(request, dict):
            raise BadInput(fact("errors_cli.no_object"))
        identity = request.get("id")
        if isinstance(identity, (dict, list)):
            identity = None
            raise BadInput(fact("errors_cli.id_of_request"))
        return {"contract": CONTRACT, "id": identity, **_judged(request)}
    except BadInput as error:
        return {"contract": CONTRACT, "id": identity, "error": _encodable(str(error))}
    except Exception as error:  # noqa: BLE001 - a program that sent a thousand lines must get a thousand answers
        told = said("command.not_judged", error=type(error).__name__)
        return {"contract": CONTRACT, "id": identity, "error": told}


def _judged(request: Mapping[str, Any]) -> dict[str, Any]:
    known = {"id", "item", "seed", "given", "givens", "use", "policy", "marking", "answers", "setups", "contract"}
    if extra := set(request) - known:
        raise BadInput(fact("errors_cli.no_field_of_request", name=min(extra)[:40], known=tuple(sorted(known))))
    if request.get("contract", CONTRACT) != CONTRACT:
        raise BadInput(fact("errors_cli.another_contract", contract=CONTRACT))
    item = _text(request, "item", None)
    fixed = request.get("givens", request.get("given", {}))
    drawn = _drawn(
        item,
        _text(request, "seed", "1"),
        _frozen(_texts(fixed, "givens")),
        _frozen(_texts(request.get("use", {}), "use")),
        _text(request, "policy", DEFAULT_POLICY),
    )
    answers = _texts(request.get("answers", {}), "answers")
    verdicts = _verdicts(drawn, item_model(item), answers, _text(request, "marking", DEFAULT_MARKING))
    reply = {"item": item, "parts": [_safe(_part(v)) for v in verdicts]}
    if "setups" in request:
        reply["setups"] = _safe(_setups(drawn, item_model(item), _texts(request["setups"], "setups")))
    return reply


def _verdicts(item: Item, model: ItemModel, answers: Mapping[str, str], marking: str) -> tuple[PartVerdict, ...]:
    policy = rounding_policy(item.policy_name)
    carried, setups = carried_from(item, model, policy), setups_of(item, model, policy)
    return judge_item(item, answers, marking_policy(marking), carried=carried, setups=setups)


def _setups(item: Item, model: ItemModel, texts: Mapping[str, str]) -> dict[str, Any]:
    """The verdict on each typed set-up, by part."""
    return {name: _setup(item, model, name, text) for name, text in texts.items()}


def _setup(item: Item, model: ItemModel, part: str, text: str) -> dict[str, Any]:
    try:
        one = judge_setup(item, model, rounding_policy(item.policy_name), part, text)
    except BadInput:
        raise
    except Exception as error:  # noqa: BLE001 - whatever one set-up sets off, the other parts are answered
        kind = type(error).__name__
        message = told_in_words(not_judged_told(kind))
        return {
            "verdict": "not_judged", "findings": [], "message": message, "shown": text, "latex": "", "error": kind,
        }  # fmt: skip
    return {
        "verdict": one.verdict,
        "findings": [{"kind": f.kind, "what": f.what, "says": f.says} for f in one.findings],
        "message": one.message,
        "shown": one.shown,
        "latex": one.latex,
    }


def _part(verdict: PartVerdict) -> dict[str, Any]:
    try:
        return verdict.to_json()
    except Exception as error:  # noqa: BLE001 - whatever one answer sets off, the other parts are answered
        return not_judged(verdict.part, verdict.reading.text, error, rule=verdict.expected_rule).to_json()


@lru_cache(maxsize=2048)
def _drawn(
    item: str, seed: str, given: tuple[tuple[str, str], ...], use: tuple[tuple[str, str], ...], policy: str
) -> Item:
    return draw_item(item_model(item), seed, policy=rounding_policy(policy), given=dict(given), use=dict(use))


def _frozen(values: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted(values.items()))


def _by_part(item: Item, options: tuple[str, ...], where: str) -> dict[str, str]:
    names = [part.name for part in item.parts]
    result: dict[str, str] = {}
    for option in options:
        name, equals, text = option.partition("=")
        if not equals or name.strip() not in names:
            if len(names) > 1:
                raise BadInput(
                    fact("errors_cli.no_part_first", option=option[:40], parts=tuple(n + "=" for n in names)),
                    where=where,
                )
            name, text = names[0], option
        result[name.strip()] = text
    return result


def _text(request: Mapping[str, Any], field: str, default: str | None) -> str:
    value = request.get(field, default)
    if not isinstance(value, str):
        raise BadInput(fact("errors_cli.must_be_text" if field in request else "errors_cli.field_missing", field=field))
    if len(value) > 1000:
        raise BadInput(fact("errors_cli.text_too_long", field=field))
    return value


def _texts(value: Any, field: str) -> dict[str, str]:
    if not isinstance(value, dict) or not all(isinstance(v, str) for v in value.values()):
        raise BadInput(fact("errors_cli.no_texts", field=field))
    return value


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no JSON")


def _bounded_int(digits: str) -> int:
    if len(digits) > 40:
        raise ValueError("a number is too long")
    return int(digits)


def _encodable(text: str) -> str:
    """Halves of characters can't be written as UTF-8; they are shown as a question mark."""
    return text.encode("utf-8", "replace").decode()


def _safe(value: Any) -> Any:
    if isinstance(value, str):
        return _encodable(value)
    if isinstance(value, dict):
        return {k: _safe(v) for k, v in value.items()}
    return [_safe(v) for v in value] if isinstance(value, list) else value
