"""Whose result waits for an error that fails the whole set, as `mark` and `report` say it."""

from __future__ import annotations

from pathlib import Path

from calclib.cli.say import say
from calclib.errors.printed_command import printed_command


def tell_failures(folder: Path, set_name: str, *, err: bool = False) -> None:
    """Print who reaches the cut score with an error that fails the whole set once it is confirmed.

    Args:
        folder: The class folder.
        set_name: The set.
        err: Whether it goes to standard error.
    """
    from calclib.class_files import class_folder
    from calclib.gradebook import set_results
    from calclib.gradebook.standing import Standing, standing_of
    from calclib.wording import fact, said

    results = set_results(class_folder(folder), set_name)
    wait_for_it = [one.student for one in results.marked if standing_of(results, one) is Standing.FAILURE_WAITS]
    if wait_for_it:
        who = tuple(fact("report.who", name=one.name, id=one.id) for one in wait_for_it)
        say(said("marking.failures_wait", students=who, command=printed_command("review", folder, set_name)), err=err)
