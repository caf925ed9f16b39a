"""`calclib items` and `calclib draw`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import click

from calclib.class_files.kept_files import refuse_kept
from calclib.cli.contract import CONTRACT, item_json, json_line, model_json, pairs
from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.cli.solutions import worked_of
from calclib.errors.messages import BadInput
from calclib.errors.printed_command import printed_command
from calclib.items.drawing import draw_item
from calclib.items.item import Item
from calclib.items.keys.keying import COINCIDENCE
from calclib.items.mistakes.fault_text import fault_answer
from calclib.items.model_facts import difficulty
from calclib.items.searching import is_found_by, search_words
from calclib.models.bank import bank
from calclib.models.model import ItemModel, Level
from calclib.proving.own_models import model_named, model_text
from calclib.proving.proof_row import FULL_PROOF
from calclib.quantity.policies import DEFAULT_POLICY, rounding_policy
from calclib.wording import of_kind, said, sentence
from calclib.wording.facts import Fact, fact

TRIED = 10


@click.command()
@click.argument("models", nargs=-1, metavar="[FILE | ITEM]...")
@click.option(
    "--find", metavar="WORDS", default="", help="Only models that speak of all these words, as nurses say them."
)
@click.option("--level", type=click.Choice([one.value for one in Level]), help="Only models of this level.")
@click.option("--prove", is_flag=True, help="Draw many items from each model and report where it falls short.")
@click.option("--draws", default=FULL_PROOF, show_default=True, type=click.IntRange(1, 1_000_000), help="For --prove.")
@click.option("--jobs", type=click.IntRange(1, 1_000), help="Processes for --prove; all processors if left out.")
@click.option("--scheduler", metavar="ADDRESS", help="Prove on the Dask cluster of this scheduler: tcp://HOST:8786.")
@click.option("--try", "try_out", is_flag=True, help=f"Show {TRIED} draws with solution and mistakes.")
@click.option("--page", metavar="FILE.html", help="Write the catalogue as a page.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for programs.")
@click.option("--faults", is_flag=True, help="List the kinds of mistakes that are looked for.")
def items(
    models: tuple[str, ...],
    find: str,
    level: str | None,
    prove: bool,
    draws: int,
    jobs: int | None,
    scheduler: str | None,
    try_out: bool,
    page: str | None,
    as_json: bool,
    faults: bool,
) -> None:
    """List the item models: the kinds of problem that can be drawn.

    Without a FILE, all models that ship; a FILE is an item model of your own (a path that ends in .toml).
    """
    if faults:
        _list_faults(as_json)
    elif prove:
        _prove(models, draws, jobs, scheduler)
    elif try_out:
        if not models:
            raise BadInput(fact("errors_cli.file_to_try"), where="--try")
        for name in models:
            _try_out(model_named(name))
    elif page is not None:
        _write_page(_chosen(models, find, level), Path(page))
    elif as_json:
        for model in _chosen(models, find, level):
            say(json_line(model_json(model)))
    else:
        for line in _catalogue(_chosen(models, find, level)):
            say(line)


def _chosen(names: tuple[str, ...], find: str, level: str | None) -> list[ItemModel]:
    models = [model_named(name) for name in names] if names else list(bank().values())
    named = [model for model in models if model.id == find.strip()]
    found = named or [model for model in models if is_found_by(search_words(model), find)]
    found = [model for model in found if level in (None, model.level)]
    if not found and level is not None:
        raise BadInput(fact("errors_cli.no_model_of_level", level=level), where="--level")
    if not found:
        raise BadInput(fact("errors_cli.no_model_of", text=find), where="--find")
    return found


def _list_faults(as_json: bool) -> None:
    from calclib.faults.fault import KINDS

    for kind in KINDS:
        says = sentence(of_kind("fault_kind", kind))
        say(json_line({"contract": CONTRACT, "fault": kind, "says": says}) if as_json else f"{kind:22} {says}")


def _catalogue(models: list[ItemModel]) -> Iterator[str]:
    """The list: under each topic the models with what they ask and how much there is to do."""
    topic = ""
    for model in models:
        if model.topic != topic:
            topic = model.topic
            yield "\n" + said("drawn_problem.topic", title=topic.replace("_", " ").capitalize(), topic=topic)
        yield f"  {model.id:34} {model.skill}"
        yield f"{'':37}{_hardness(model)}"
        for part in model.parts:
            yield f"{'':37}{part.asked}"
    yield "\n" + said("drawn_problem.kinds", count=len(models), command=printed_command("draw", models[0].id))


def _hardness(model: ItemModel) -> str:
    says = difficulty(model).says
    return f"{model.level}; {says}" if model.level else says


def _prove(names: tuple[str, ...], draws: int, jobs: int | None, scheduler: str | None) -> None:
    from calclib.cli.cluster import maybe_cluster
    from calclib.cli.proofs import proof_rows
    from calclib.proving.proof_report import legend, proof_table, proof_totals

    with maybe_cluster(scheduler) as across, progress_bar(said("command.proving")) as progress:
        rows = proof_rows(list(_texts(names)), draws, jobs, progress, across)
    for line in proof_table(rows):
        say(line)
    say(f"\n{legend()}\n{proof_totals(rows)}")
    if any(row.verdict() for row in rows):
        sys.exit(1)


def _texts(names: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """File name and text of each model, in the order of learning where all are proved."""
    if not names:
        for model in bank().values():
            yield f"{model.id.replace('-', '_')}.toml", model.text
    for name in names:
        yield (Path(name).name, model_text(name)) if name.endswith(".toml") else (name, model_named(name).text)


def _try_out(model: ItemModel) -> None:
    level = difficulty(model).says
    say(said("drawn_problem.tried", title=model.title, skill=model.skill, level=level) + "\n")
    for number in range(1, TRIED + 1):
        one = draw_item(model, f"try {number}")
        head = said("drawn_problem.number_of", number=number, of=TRIED)
        say(f"{head}\n{_text(one, worked_of(one, model), True)}")


def _write_page(models: list[ItemModel], path: Path) -> None:
    from calclib.pages.catalogue import catalogue_page

    with progress_bar(said("command.drawing")) as progress:
        page = catalogue_page(models, progress)
    refuse_kept(path)
    path.write_bytes(page)
    say(said("drawn_problem.page", file=str(path), count=len(models)))


def _is_of_mistakes(why: Fact) -> bool:
    """Whether what speaks against a draw is that two mistakes lead to one answer."""
    problem = dict(why.fields).get("problem", why)
    return isinstance(problem, Fact) and problem.kind == COINCIDENCE


@click.command()
@click.argument("item")
@click.option("--seed", default="1", show_default=True, help="Any text; the same text draws the same numbers.")
@click.option("--count", default=1, show_default=True, type=click.IntRange(1, 100_000), help="How many to draw.")
@click.option("--given", multiple=True, metavar="NAME=VALUE", help='Fix a value, as in --given "volume=500 mL".')
@click.option("--use", multiple=True, metavar="NAME=VALUE", help="Fix a conversion, as in --use lb_per_kg=2.2.")
@click.option("--policy", default=DEFAULT_POLICY, show_default=True, help="How to round; see calclib policies.")
@click.option("--faults", is_flag=True, help="Also show the answer to which each mistake leads.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for programs.")
def draw(
    item: str,
    seed: str,
    count: int,
    given: tuple[str, ...],
    use: tuple[str, ...],
    policy: str,
    faults: bool,
    as_json: bool,
) -> None:
    """Draw problems from ITEM, an item model or a file of your own (mine.toml), with answers and worked solutions.

    \b
    --given takes values as orders, labels and books state them:
      order="0.5 g"  order="600,000 units"  strength="250 mg/5 mL"
      strength="1:1,000"  strength="50 mg scored tablets"
      concentration="800 mg in 500 mL"  weight="154 lb"  weight="7 lb 3 oz"
      height="5 ft 4 in"  dose="40 mg/kg/day"  frequency="q8h"
      frequency="in 3 divided doses"  volume="1 1/2 cups"  time="1 h 30 min"
      start="1930"  start="7:30 pm"  patient="woman"
      range="20-40 mg/kg/day"  (both ends of a safe range; also as low=...)
    What is not given is drawn. `calclib items ITEM --json` lists an item's
    names; a value that does not fit is answered with forms that do.
    """
    model, rules = model_named(item), rounding_policy(policy)
    for number in range(count):
        one = draw_item(
            model,
            seed if number == 0 else f"{seed}#{number}",
            policy=rules,
            given=pairs(given, "--given"),
            use=pairs(use, "--use"),
        )
        worked = worked_of(one, model)
        say(json_line(item_json(one, worked, faults)) if as_json else _text(one, worked, faults))


def _text(item: Item, worked: dict[str, tuple[str, ...]], faults: bool) -> str:
    lines = [item.in_words, ""]
    for part in item.parts:
        choices = f" ({' / '.join(part.choices)})" if part.choices else ""
        lines.append(f"{part.asked}{choices} {part.rule_text}")
        lines += [f"    {line}" for line in worked.get(part.name, ())]
        lines.append(said("drawn_problem.answer", answer=part.answer))
        if faults:
            lines.append(said("drawn_problem.mistakes"))
            lines += [
                said("drawn_problem.mistake", answer=fault_answer(part, f), clause=f.says)
                for f in part.faults
                if f.hard
            ]
    if item.caution:
        lines += ["", said("drawn_problem.caution", text=item.caution)]
    # Which mistakes lead to one answer is said beside the mistakes, not to somebody who may still have to make them.
    lines += [said("drawn_problem.note", text=why) for why in item.why if faults or not _is_of_mistakes(why)]
    lines += [said("drawn_problem.unusual", text=one.says) for one in item.unusual]
    lines.append(said("command.for_learning"))
    return "\n".join([*lines, ""])
