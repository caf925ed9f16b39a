"""`calclib items` and `calclib draw`."""

from __future__ import annotations

import click

from calclib.cli.contract import CONTRACT, item_json, json_line, model_json, pairs
from calclib.cli.solutions import worked_of
from calclib.items.bank import bank, item_model
from calclib.items.drawing import draw_item
from calclib.items.item import Item
from calclib.quantity.policies import DEFAULT_POLICY, rounding_policy


@click.command()
@click.option("--json", "as_json", is_flag=True, help="One JSON object a line, for programs.")
@click.option("--faults", is_flag=True, help="List the kinds of mistakes that are looked for.")
def items(as_json: bool, faults: bool) -> None:
    """List the item models: the kinds of problem that can be drawn."""
    if faults:
        from calclib.faults.fault import KINDS

        for kind, says in KINDS.items():
            click.echo(
                json_line({"contract": CONTRACT, "fault": kind, "says": says}) if as_json else f"{kind:22} {says}"
            )
        return
    if as_json:
        for model in bank().values():
            click.echo(json_line(model_json(model)))
        return
    topic = ""
    for model in bank().values():
        if model.topic != topic:
            topic = model.topic
            click.echo(f"\n{topic.replace('_', ' ')}")
        asked = "; ".join(part.asked for part in model.parts)
        click.echo(f"  {model.id:32} {model.skill}\n{'':35}{len(model.steps)} steps. {asked}")


@click.command()
@click.argument("item")
@click.option("--seed", default="1", show_default=True, help="Any text; the same text draws the same numbers.")
@click.option("--count", default=1, show_default=True, type=click.IntRange(1, 100_000), help="How many to draw.")
@click.option("--given", multiple=True, metavar="NAME=VALUE", help='Fix a number, as in --given "volume=500 mL".')
@click.option("--use", multiple=True, metavar="NAME=VALUE", help="Fix a conversion, as in --use lb_per_kg=2.2.")
@click.option("--policy", default=DEFAULT_POLICY, show_default=True, help="The rounding policy.")
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
    """Draw problems from the item model ITEM, with answers and worked solutions."""
    model, rules = item_model(item), rounding_policy(policy)
    for number in range(count):
        one = draw_item(
            model,
            seed if number == 0 else f"{seed}#{number}",
            policy=rules,
            given=pairs(given, "--given"),
            use=pairs(use, "--use"),
        )
        worked = worked_of(one, model)
        click.echo(json_line(item_json(one, worked, faults)) if as_json else _text(one, worked, faults))


def _text(item: Item, worked: dict[str, tuple[str, ...]], faults: bool) -> str:
    lines = [item.stem, ""]
    for part in item.parts:
        choices = f" ({' / '.join(part.choices)})" if part.choices else ""
        lines.append(f"{part.asked}{choices} {part.rule_text}")
        lines += [f"    {line}" for line in worked.get(part.name, ())]
        lines.append(f"  Answer: {part.answer}")
        if faults:
            lines += [f"    {f.choice or f.written} if {f.says}" for f in part.faults if f.hard]
    if item.caution:
        lines += ["", f"Caution: {item.caution}"]
    lines += [f"Note: {why}" for why in item.why]
    lines.append("For learning only: the order, the label, the pharmacist and local policy decide.")
    return "\n".join([*lines, ""])
