"""`calclib example` and `calclib simulate`: files to copy from, and students to try them with."""

from __future__ import annotations

from pathlib import Path

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.errors.printed_command import printed_command
from calclib.wording.sentences import said

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", type=FOLDER)
def example(folder: Path) -> None:
    """Write an example class into FOLDER, a new or empty one: a roster, an exam and a problem of its own, to copy from.

    The roster lists 62 invented students, some with accommodations; the blueprint has every field that there is. Its
    README.md goes through a whole term, command by command.
    """
    from calclib.demo.example import write_example

    for path in write_example(folder):
        say(said("command.file_written", file=str(path)))
    say(said("demo.example_next", folder=str(folder)))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("downloads", type=FOLDER)
@click.option("--seed", default="example", show_default=True, help="Any text; it decides what the students answer.")
def simulate(folder: Path, set_name: str, downloads: Path, seed: str) -> None:
    """Let simulated students answer SET and put their notebooks into DOWNLOADS, as if they came from your LMS.

    To try what comes after: nothing in the class changes until you collect from DOWNLOADS. Only notebooks that aren't
    marked yet are answered, and one student in 24 hands in nothing. They can work the problems of the example class and
    of the demo, and leave others blank. Don't do it in a class of real students: whatever you collect counts.
    """
    from calclib.class_files import class_folder
    from calclib.demo.filling_in import PREPARED, fill_in

    with progress_bar(said("command.answering")) as progress:
        answered = fill_in(class_folder(folder), set_name, downloads, seed, progress, prepared=PREPARED)
    say(said("demo.answered", count=len({student for student, _ in answered}), folder=str(downloads)))
    say(said("command.next", command=printed_command("collect", folder, set_name, downloads)))
