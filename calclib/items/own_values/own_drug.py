"""A drug that a teacher names takes its own row of a table, never another drug's numbers."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.formulary.amount import SUBSTANCES
from calclib.formulary.catalogue import drug_text
from calclib.items.own_values.drug_measure import ANY_DRUG
from calclib.items.own_values.rows import covers
from calclib.models.model import FromRow, GivenModel, ItemModel, TableRow
from calclib.models.stated import read_stated
from calclib.wording.facts import fact


def with_own_row(model: ItemModel, fixed: dict[str, str]) -> dict[str, str]:
    """Return the fixed texts, a drug's name as its row writes it.

    A drug that has no row is taken if all its amounts are fixed too.

    Args:
        model: The item model.
        fixed: Texts by the givens' full names.

    Raises:
        BadInput: The drug has no row, and amounts that belong to a drug would be another's.
    """
    named = {order.words.get("drug", "") for order in model.orders}
    for name in sorted(named & fixed.keys()):
        given = model.givens[name]
        if isinstance(given.draw, FromRow) and isinstance((row := model.givens[given.draw.row]).draw, TableRow):
            cells = [str(one[given.draw.column]) for one in model.rows[row.draw.table]]
            fixed = _own(model, given, given.draw.row, cells, fixed)
    return fixed


def with_no_other_name(model: ItemModel, fixed: dict[str, str]) -> dict[str, str]:
    """Return the fixed texts; where no row has all the fixed amounts of a drug, none of the rows lends its name.

    Args:
        model: The item model.
        fixed: Texts by the givens' full names, those of amounts as the model measures its drug.

    Raises:
        BadInput: A fixed amount is no value of its given.
    """
    named = {order.words.get("drug", "") for order in model.orders}
    looked_up = {str(field) for step in model.steps for field in step.fields.values()}
    for name in sorted(named - fixed.keys() - looked_up):
        given = model.givens.get(name)
        if given is not None and isinstance(given.draw, FromRow) and not _some_row_has(model, given.draw.row, fixed):
            fixed = {**fixed, name: ANY_DRUG}
    return fixed


def _some_row_has(model: ItemModel, row: str, fixed: dict[str, str]) -> bool:
    """Whether a row of the table has every fixed amount that belongs to it."""
    columns = {
        name: given.draw.column
        for name in fixed
        if _of_the_drug(model, name, row) and isinstance((given := model.givens[name]).draw, FromRow)
    }
    values = {name: read_stated(model.givens[name], fixed[name], {}).working for name in columns}
    draw = model.givens[row].draw
    assert isinstance(draw, TableRow)
    return any(
        all(covers(model.givens[name], one[column], values[name], {}) for name, column in columns.items())
        for one in model.rows[draw.table]
    )


def _own(model: ItemModel, given: GivenModel, row: str, cells: list[str], fixed: dict[str, str]) -> dict[str, str]:
    text = fixed[given.name]
    if text in cells:
        return fixed
    same = [cell for cell in cells if _generic(cell) == _generic(text)]
    if same:
        return {**fixed, given.name: same[0]}
    missing = sorted(name for name in model.givens if _of_the_drug(model, name, row) and name not in fixed)
    if missing:
        raise BadInput(
            fact(
                "errors_items.no_row_for_drug",
                model=model.id,
                drug=text,
                missing=tuple(missing),
                known=tuple(dict.fromkeys(cells)),
            )
        )
    return fixed


def _generic(name: str) -> str:
    known = drug_text(name)
    return known[0] if known is not None else name.lower()


def _of_the_drug(model: ItemModel, name: str, row: str) -> bool:
    """Whether a stated given is an amount of the drug that the row holds."""
    given = model.givens[name]
    if not isinstance(given.draw, FromRow) or given.draw.row != row or given.role != "stated" or given.unit is None:
        return False
    return any(dimension in SUBSTANCES for dimension, _ in given.unit.dimension)
