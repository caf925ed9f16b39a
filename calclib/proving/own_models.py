"""Item models by id of the bank, or by the path of a file of one's own."""

from __future__ import annotations

from pathlib import Path

from calclib.errors.file_bounds import MAX_FILE
from calclib.errors.messages import BadInput
from calclib.models.bank import item_model
from calclib.models.model import ItemModel
from calclib.models.reader import read_item_model
from calclib.proving.standing import standing_problems
from calclib.wording.facts import fact


def model_named(name: str) -> ItemModel:
    """Return the item model of the bank of that id, or the one in the file of that path (it ends in .toml).

    Raises:
        BadInput: There is no such model or file, or the file has a mistake; with its line.
    """
    if not name.endswith(".toml"):
        return item_model(name)
    model = read_item_model(model_text(name), Path(name).name)
    for line, what in standing_problems(model):
        raise BadInput(what, where=Path(name).name, line=line)
    return model


def model_text(path: str) -> str:
    """Return the text of a file of one's own.

    Raises:
        BadInput: There is no such file, it is too long, or it is no text.
    """
    file = Path(path)
    if not file.is_file():
        raise BadInput(fact("errors_proving.no_file"), where=path)
    with file.open("rb") as opened:
        raw = opened.read(4 * MAX_FILE + 1)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise BadInput(fact("errors_proving.no_utf_8"), where=file.name, line=line) from None
