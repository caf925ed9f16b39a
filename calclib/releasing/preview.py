"""A look at a set before it is handed out: one sample notebook, of which nothing is recorded."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.blueprint import read_blueprint
from calclib.class_files.catalogue import whole_catalogue
from calclib.class_files.class_folder import class_folder
from calclib.class_files.secrets_file import read_secret
from calclib.class_files.text_files import replace_file
from calclib.gradebook.notebook import notebook_bytes, problem_of, render_notebook
from calclib.records.database import reading
from calclib.records.sealed import sealed_set
from calclib.releasing.proved_model import own_models
from calclib.releasing.seal import Ordered, placed

_NOBODY = "preview"


@dataclass(frozen=True)
class Previewed:
    """A sample of a set.

    Attributes:
        set_name: Name of the set.
        notebook: Where the sample is.
        problems: How many problems it has.
        handed_out: When a set of this name was handed out, "" if it wasn't.
    """

    set_name: str
    notebook: Path
    problems: int
    handed_out: str


def preview(folder: Path, blueprint: Path | str) -> Previewed:
    """Write the notebook that an invented student would get beside the blueprint; no record is touched.

    Args:
        folder: The class folder.
        blueprint: The blueprint's file, or the name of a set that was handed out before.

    Raises:
        BadInput: the class isn't started, or the blueprint or a file that it names is wrong.
    """
    where = class_folder(folder)
    file = where.blueprint(blueprint) if isinstance(blueprint, str) else blueprint
    catalogue = whole_catalogue()
    order = read_blueprint(file, catalogue)
    with reading(where) as connection:
        before = sealed_set(connection, order.set)
    problems = tuple(
        problem_of(item, number=slot.number, title=slot.title, points=slot.points)
        for slot, item in placed(Ordered(order, catalogue, own_models(order, file)), read_secret(where.secret), _NOBODY)
    )
    # Handed in by mistake, it is set aside: nobody has that pseudonym.
    notebook = render_notebook(
        set_name=order.set, title=f"{order.title} (preview)", problems=problems, made_for=_NOBODY, tag=_NOBODY
    )
    path = file.parent / f"{order.set}-preview.ipynb"
    replace_file(path, notebook_bytes(notebook))
    return Previewed(order.set, path, len(problems), before.handed_out if before else "")
