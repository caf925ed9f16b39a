"""`calclib site`."""

from __future__ import annotations

from pathlib import Path

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.wording.sentences import said

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("course", metavar="COURSE", type=FOLDER)
@click.option("--to", "folder", metavar="FOLDER", required=True, type=FOLDER, help="Where the pages go.")
def site(course: Path, folder: Path) -> None:
    """Write the lessons of COURSE as pages to read and print.

    COURSE is the folder with the lessons' notebooks, such as course. FOLDER gets a contents page, index.html, and one
    page a lesson: its text, its questions and worked examples with the answers folded, one problem of each kind with
    its solution. The pages need no script, no account and no network. Put the folder on any web space or in the file
    area of your course, or open index.html where it lies.

    Nothing on the pages checks an answer or counts toward a mark, and nothing leaves the browser. To update the pages,
    run the command again with the same FOLDER; a folder that holds other files is left alone.
    """
    from calclib.pages.book import write_book

    with progress_bar(said("book.writing")) as progress:
        files = write_book(course, folder, progress)
    say(said("book.printed", count=len(files), file=str(files[0])))
