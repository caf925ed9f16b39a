"""`calclib demo`."""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.wording.facts import fact
from calclib.wording.sentences import said


@click.command()
@click.option(
    "--to",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("calclib-demo"),
    show_default=True,
    help="Where the class folder is made.",
)
@click.option("--students", type=click.IntRange(1, 260), default=24, show_default=True, help="How many students.")
@click.option("--seed", default="demo", show_default=True, help="Any text; it decides numbers and answers.")
@click.option(
    "--lesson",
    type=click.Path(path_type=Path),
    default=Path("course/start.ipynb"),
    show_default=True,
    help="The page of the lessons that is named at the end, if it is there.",
)
def demo(folder: Path, students: int, seed: str, lesson: Path) -> None:
    """Run a whole teaching cycle with an invented class, in a folder of its own.

    Draws a set of ten problems, writes each student's notebook, fills in simulated answers, marks them without running
    any of the students' code, writes plans for those who failed, lets the first of them sit a retest, and writes the
    feedback pages and the class report.
    """
    from calclib.demo.printed import file_lines, summary_lines
    from calclib.demo.run import run_demo

    say(said("demo.begins"), err=True)
    with progress_bar("") as progress:
        summary = run_demo(folder, students, seed, progress)
    say("\n".join(("", *summary_lines(summary), "", *file_lines(summary))))
    jupyter = Path(sys.executable).with_name("jupyter.exe" if os.name == "nt" else "jupyter")
    is_lesson = lesson.is_file()
    what, opened = fact("demo.a_lesson" if is_lesson else "demo.a_notebook"), lesson if is_lesson else summary.notebook
    say(said("demo.open", what=what, command=opening_command(_near(jupyter), opened)))
    say(said("command.for_learning"))


def opening_command(jupyter: str, page: Path) -> str:
    """Return the command that opens a page in JupyterLab, with the settings for students where they lie beside it.

    Args:
        jupyter: The program.
        page: A notebook.
    """
    settings = page.parent / ".lab" / "config.py"
    return shlex.join([jupyter, "lab", *(["--config", str(settings)] if settings.is_file() else []), str(page)])


def _near(path: Path) -> str:
    """The path as it is shortest from here."""
    here = Path.cwd()
    return str(path.relative_to(here)) if path.is_relative_to(here) else str(path)
