"""The command `calclib` and how it meets errors: one sentence and an exit code, never a traceback."""

from __future__ import annotations

import errno
import importlib
import io
import os
import sys

import click

from calclib.cli.say import say
from calclib.errors.messages import BadInput, CalclibError
from calclib.errors.unseen import stands_for_nothing
from calclib.wording.facts import fact
from calclib.wording.sentences import said

COMMANDS = {
    "demo": "demo",
    "example": "example",
    "simulate": "example",
    "items": "items",
    "draw": "items",
    "judge": "judge",
    "policies": "policies",
    "formulary": "formulary",
    "site": "site",
    "start": "handing_out",
    "hand-out": "handing_out",
    "sign-off": "handing_out",
    "take-back": "handing_out",
    "accommodations": "accommodations",
    "release": "handing_out",
    "exam-machine": "exam_machine",
    "collect": "marking",
    "mark": "marking",
    "report": "marking",
    "desk": "desk",
    "again": "attempts",
    "remedy": "after_exam",
    "standing": "after_exam",
    "coached": "after_exam",
    "appeal": "after_exam",
    "review": "review",
    "rule": "rulings",
    "explain": "review",
    "history": "review",
    "export": "export",
    "zip": "export",
    "student-record": "after_exam",
    "erase": "export",
}

# Names of the version before, which still work and say the new one.
OLD_COMMANDS = {"drop": "release"}

# Names that Python has for something else.
_FUNCTIONS = {"zip": "zip_"}


class LazyCommands(click.Group):
    """A group whose commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the commands in the order of use."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return one command, its module imported now."""
        if cmd_name in OLD_COMMANDS:
            new = OLD_COMMANDS[cmd_name]
            say(said("command.renamed", old=cmd_name, new=new), err=True)
            return self.get_command(ctx, new)
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"calclib.cli.commands.{COMMANDS[cmd_name]}")
        command = getattr(module, _FUNCTIONS.get(cmd_name, cmd_name.replace("-", "_")))
        assert isinstance(command, click.Command)
        return command


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="calclib")
def calclib() -> None:
    """Dosage calculation for nursing education: draw, hand out, mark and explain problems.

    For learning only: the order, the label, the pharmacist and local policy decide at the bedside.
    """


def _refuse_unreadable(words: list[str]) -> None:
    """Refuse words that can't be kept in a record or a page: what isn't UTF-8, or stands for no letter."""
    for word in words:
        try:
            word.encode("utf-8")
        except UnicodeEncodeError:
            from calclib.class_files.names import visible

            raise BadInput(fact("errors_cli.no_utf_8", word=visible(word))) from None
        if any(map(stands_for_nothing, word)):
            from calclib.class_files.names import visible

            raise BadInput(fact("errors_cli.no_letter", word=visible(word)))


def _refused_by_the_system(error: OSError) -> str:
    from calclib.wording.sentences import said

    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return said("errors_cli.no_room")
    if not error.filename:
        return said("errors_cli.a_file", why=str(error.strerror or error))
    return said("errors_cli.that_file", file=str(error.filename), why=str(error.strerror or error))


def main() -> None:
    """Run the command; an error is one sentence on standard error and an exit code."""
    # A file name that isn't UTF-8 is shown with escapes, whatever the terminal takes.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        _refuse_unreadable(sys.argv[1:])
        sys.exit(calclib.main(prog_name="calclib", standalone_mode=False) or 0)
    except click.ClickException as error:
        shown = io.StringIO()
        error.show(file=shown)
        say(shown.getvalue(), err=True, nl=False)
        sys.exit(error.exit_code)
    except click.Abort:
        say("Aborted!", err=True)
        sys.exit(1)
    except CalclibError as error:
        say(f"calclib: {error}", err=True)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        # The reader of a pipe (head, less) has gone: nothing is left to say.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as error:
        say(f"calclib: {_refused_by_the_system(error)}", err=True)
        sys.exit(1)
