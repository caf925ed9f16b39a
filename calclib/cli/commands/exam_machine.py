"""`calclib exam-machine`: the part of this library that an exam notebook needs, for machines that have no other."""

from __future__ import annotations

from pathlib import Path

import click

from calclib.cli.say import say
from calclib.wording.sentences import said


@click.command("exam-machine")
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
def exam_machine(folder: Path) -> None:
    """Write into FOLDER, a new or empty one, what the machines of an exam need: how answers are read, and nothing else.

    The check cells of a notebook need only this; problems, keys and the judge are not in it, so that nobody can compute
    with them. Copy FOLDER to each machine, and don't install calclib there. Let the notebook server start with the
    environment variable PYTHONPATH set to FOLDER:

    \b
      PYTHONPATH=FOLDER jupyter lab

    It needs Python 3.11 or newer. It keeps no student from computing by other means: watch over the room, and let the
    machines reach no other.
    """
    from calclib.releasing.exam_environment import write_exam_environment

    written = write_exam_environment(folder)
    count = sum(path.is_file() for path in written.rglob("*"))
    say(said("exam_machine.files", count=count, folder=str(written)))
    say(said("exam_machine.on_each", folder=str(written.resolve())))
