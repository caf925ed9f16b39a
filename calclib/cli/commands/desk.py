"""`calclib desk`: a class in the browser."""

from __future__ import annotations

from pathlib import Path

import click

from calclib.cli.say import say
from calclib.wording.sentences import said

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--port", type=click.IntRange(1, 65535), default=8890, show_default=True, help="The port to begin with.")
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def desk(folder: Path, port: int, no_browser: bool) -> None:
    """Open CLASS in the browser: its sets, each one's report, what waits for you, every student's answers.

    You settle a case by a click: you see first who gains and who loses, then write the reason, and the ruling is
    recorded as calclib rule does it. You can print why an answer has its marks, write feedback and report, write
    plans for those who failed, draw a retest, record who coached a student and appeals, and sign where students stand.

    It is served on this machine alone, behind a token that is in the printed address, until you press Ctrl-C.
    """
    from calclib.desk.starting import start_desk

    def started(address: str) -> None:
        say(said("desk.address", address=address))
        say(said("desk.stop"))

    start_desk(folder, port=port, browser=not no_browser, started=started)
