"""The numbers of a stem, and the values for which each may be taken in one draw."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from calclib.faults.enumeration import StatedNumber
from calclib.items.compiled import CompiledModel
from calclib.models.devices import device, misreadings
from calclib.models.model import FromRow, GivenModel, ItemModel
from calclib.models.stated import EVERY_HOURS, Stated, read_own
from calclib.quantity.kinds import is_number
from calclib.quantity.units import Unit, parse_unit


def stated_numbers(model: ItemModel, ready: CompiledModel, stated: Mapping[str, Stated]) -> tuple[StatedNumber, ...]:
    """Return the numbers of a stem, each with the values for which it may be taken in this draw.

    Args:
        model: The item model.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
    """
    result = []
    for name, value in stated.items():
        given = model.givens[name]
        # A column that only a constraint looks at is no number that a student could take.
        only_looked_at = given.role == "column" and name not in model.printed
        if given.role == "hidden" or not is_number(given.kind) or only_looked_at:
            continue
        mistaken = _mistaken(model, stated, name)
        for number, amount in value.numbers:
            if isinstance(amount, str):
                continue
            says = ready.chain.names.says.get(number, given.says)
            of_amount = mistaken if number != f"{name}.volume" else ()
            result.append(StatedNumber(number, name, says, of_amount, _misread(given, value), given.says))
    return tuple(result)


def _misread(given: GivenModel, value: Stated) -> tuple[tuple[Fraction, str, str], ...]:
    if given.kind == "frequency" and value.working and value.form[0] == EVERY_HOURS:
        return _miscounted_doses(value.working, given.unit)
    if not given.drawn_on or not value.working:
        return ()
    right = value.working
    found = misreadings(device(given.drawn_on), given.reads, right)
    return tuple((read / right, kind, way) for read, kind, way in found)


def _miscounted_doses(frequency: Fraction, unit: Unit | None) -> tuple[tuple[Fraction, str, str], ...]:
    """One dose a day too many or too few; what the stem states are the hours between doses."""
    doses = frequency * (24 if unit == parse_unit("dose/h") else 1)
    found = []
    for more, word in ((1, "many"), (-1, "few")):
        if doses + more > 0:
            found.append((doses / (doses + more), "doses miscounted", f"too {word}"))
    return tuple(found)


def _mistaken(model: ItemModel, stated: Mapping[str, Stated], name: str) -> tuple[tuple[Fraction, str], ...]:
    given, value = model.givens[name], stated[name]
    texts: Sequence[str] = ()
    if isinstance(given.mistaken, FromRow):
        texts = _row_texts(model, stated, given.mistaken)
    else:
        texts = given.mistaken
    result = []
    for text in texts:
        other = read_own(given, text)
        if other.working is None or value.working is None or other.working == value.working:
            continue
        ratio = other.working / value.working
        if given.kind == "frequency" and value.form[0] == "every h":
            ratio = 1 / ratio
        result.append((ratio, other.text))
    return tuple(result)


def _row_texts(model: ItemModel, stated: Mapping[str, Stated], where: FromRow) -> Sequence[str]:
    """The texts of a column in the row whose words are stated."""
    words = {n.rpartition(".")[2]: s.text for n, s in stated.items() if n.startswith(f"{where.row}.")}
    for given in model.givens.values():
        if given.name == where.row:
            table = model.rows[given.draw.table]  # type: ignore[union-attr]
            for row in table:
                if all(
                    str(row.get(column)) == text
                    for column, text in words.items()
                    if model.givens[f"{where.row}.{column}"].kind == "text"
                ):
                    cell = row[where.column]
                    return [str(t) for t in cell] if isinstance(cell, list) else [str(cell)]
    return ()
