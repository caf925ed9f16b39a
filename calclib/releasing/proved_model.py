"""Item models of faculty's own: read from their file and proved before anything is drawn from them or keyed by them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from calclib.class_files.blueprint import Blueprint
from calclib.class_files.names import visible
from calclib.class_files.toml_lines import line_of
from calclib.errors import BadInput
from calclib.errors.printed_command import printed_command
from calclib.records.sealed import SealedSet
from calclib.wording import fact, said

if TYPE_CHECKING:
    from calclib.models import ItemModel

_DRAWS = 100
_LONGEST = 1_000_000
"""Bytes: a file that was longer could not have been handed out."""


def proved_model(name: str) -> ItemModel:
    """Return the item model of a file (its path ends in .toml), proved by some draws, or the bank's of that id.

    Raises:
        BadInput: There is no such model or file, or `calclib items --prove` would refuse it; with its line.
    """
    from calclib.proving.own_models import model_named, model_text

    if name.endswith(".toml"):
        _proved(model_text(name), Path(name).name)
    return model_named(name)


# A ruling is tried first and then made, from the same file.
@lru_cache(maxsize=8)
def _proved(text: str, where: str) -> None:
    from calclib.proving.prover import proof_seeds, prove

    found = prove(text, where, tuple(proof_seeds(_DRAWS))).verdict()
    if found:
        first = what = found[0].what
        if len(found) > 1:
            command = printed_command("items", "--prove", where)
            what = fact("errors_releasing.several_shortfalls", first=first, more=len(found) - 1, command=command)
        raise BadInput(what, where=where, line=found[0].line)


def own_models(order: Blueprint, blueprint: Path) -> Mapping[str, ItemModel]:
    """Return the item models that a blueprint orders by a file of faculty's own, by the path that it gives.

    Args:
        order: The blueprint.
        blueprint: Its file; paths are read from its folder.

    Raises:
        BadInput: There is no such file, proof refuses it, or its id is that of another item model.
    """
    found: dict[str, ItemModel] = {}
    for line, name in [(one, name) for one in order.lines for name in one.own_files]:
        if name in found:
            continue
        path = blueprint.parent / name
        if not path.is_file():
            raise BadInput(
                fact("errors_releasing.no_model_file", name=visible(name)),
                where=blueprint.name,
                line=line.line,
            )
        model = proved_model(str(path))
        refuse_taken_id(model, found.values(), path.name)
        found[name] = model
    return found


def refuse_taken_id(model: ItemModel, own: Iterable[ItemModel], where: str) -> None:
    """Refuse an item model of faculty's own that has the id of another.

    Args:
        model: The item model.
        own: The others of faculty's own.
        where: Its file.

    Raises:
        BadInput: The bank or another file has the id, for another text.
    """
    from calclib.models import bank

    of_the_bank = bank().get(model.id)
    others = [one for one in (of_the_bank, *own) if one is not None]
    if any(one.id == model.id and one.text != model.text for one in others):
        owner = fact("errors_releasing.one_that_ships" if of_the_bank is not None else "errors_releasing.another_file")
        raise BadInput(
            fact("errors_releasing.id_taken", model=model.id, owner=owner),
            where=where,
            line=line_of(model.text, "id"),
        )


def changed_files(
    order: Blueprint, blueprint: Path, sealed: SealedSet, models: Mapping[str, ItemModel]
) -> Iterator[str]:
    """Yield a sentence for each file of faculty's own that is another by now than the item model that is drawn from.

    Args:
        order: The blueprint.
        blueprint: Its file.
        sealed: The set.
        models: The item models from which the set is drawn, by id.
    """
    from calclib.models.formulary_rows import own_text

    place = 0
    seen = set()
    for line in order.lines:
        slot, place = sealed.slots[place], place + line.count
        path = blueprint.parent / line.name
        if not line.own_file or line.name in seen or not path.is_file():
            continue
        seen.add(line.name)
        with path.open("rb") as file:
            text = file.read(_LONGEST).decode("utf-8-sig", "replace")
        if text != own_text(models[slot.model].text):
            command = printed_command("rule", "CLASS", sealed.name, "--model", line.name)
            yield said("handing_out.model_changed", file=visible(line.name), command=command)
