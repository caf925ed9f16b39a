"""`calclib rule`: what faculty decides about answers and problems, shown first, then applied."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import confirm, say, say_each
from calclib.errors.messages import BadInput
from calclib.errors.printed_command import printed_command
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.judging_papers.mark_set import Marked

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--problem", type=click.IntRange(1), help="The number of the problem.")
@click.option("--part", default="", help="The part of the problem, where it has several (calclib review names them).")
@click.option("--student", default="", metavar="ID", help="The student's id. Without it the ruling is for everyone.")
@click.option(
    "--attempt",
    type=click.IntRange(1),
    help="The attempt that is ruled on, where another counts (calclib review names it).",
)
@click.option("--points", metavar="NUMBER", help="Give this one answer of --student so many points; 0 is possible.")
@click.option("--confirm-failure", is_flag=True, help="The error of --student in --problem fails the whole set.")
@click.option("--dismiss-failure", is_flag=True, help="It doesn't; it only loses the points of its own answer.")
@click.option("--accept", metavar="TEXT", help="Accept this text as right, for example “hold and call”.")
@click.option("--within", metavar="AMOUNT", help="Accept numbers this close to each student's key: 0.1, or 2%.")
@click.option("--from", "low", metavar="NUMBER", help="With --to: accept the numbers between, in the unit asked.")
@click.option("--to", "high", metavar="NUMBER", help="With --from: the largest number that is accepted.")
@click.option("--credit-all", is_flag=True, help="Give everyone who handed in full points for --problem.")
@click.option("--void", is_flag=True, help="Let --problem count for nobody; the set is out of fewer points then.")
@click.option("--take-notebook", is_flag=True, help="Mark the notebook of --student although it was set aside.")
@click.option("--leave-notebook", is_flag=True, help="Leave the notebook of --student set aside, without points.")
@click.option("--leave-hand-in", metavar="SIGN", help="A hand-in in the name of --student isn't theirs: it stays out.")
@click.option("--take-hand-in", metavar="SIGN", help="A hand-in in the name of --student is theirs: it is taken.")
@click.option("--handed-in", metavar="TIME", help="When --student handed in: 2026-12-01T23:10:00-05:00.")
@click.option(
    "--in-time", is_flag=True, help="What came at a time that isn't known came in time; of one --student or all."
)
@click.option("--marking", metavar="POLICY", help="Mark the whole set by another marking policy or by a file of yours.")
@click.option("--rounding", metavar="POLICY", help="Re-key the whole set by another rounding policy.")
@click.option("--model", metavar="MODEL", help="Re-key the problems of an item model by MODEL, a corrected one.")
@click.option("--instead", is_flag=True, help="With --rounding or --model: right as handed out no longer counts.")
@click.option("--withdraw", metavar="NUMBER", help="Take an earlier ruling back, by its number.")
@click.option("--reason", required=True, help="Why, in a sentence. Students read it in their feedback.")
@click.option("--by", default="", metavar="NAME", help="Who rules.")
@click.option("--yes", is_flag=True, help="Apply it without asking.")
@click.option("--preview", is_flag=True, help="Only show who would gain and who would lose.")
def rule(
    folder: Path,
    set_name: str,
    problem: int | None,
    part: str,
    student: str,
    attempt: int | None,
    points: str | None,
    confirm_failure: bool,
    dismiss_failure: bool,
    accept: str | None,
    within: str | None,
    low: str | None,
    high: str | None,
    credit_all: bool,
    void: bool,
    take_notebook: bool,
    leave_notebook: bool,
    leave_hand_in: str | None,
    take_hand_in: str | None,
    handed_in: str | None,
    in_time: bool,
    marking: str | None,
    rounding: str | None,
    model: str | None,
    instead: bool,
    withdraw: str | None,
    reason: str,
    by: str,
    yes: bool,
    preview: bool,
) -> None:
    """Rule on answers of SET. You first see who gains and who loses; nothing changes until you agree.

    A ruling is kept with its reason and date, holds however often the set is marked again, and is shown to the student
    and by calclib explain. It can be withdrawn, never deleted. A later ruling goes over an earlier one.

    \b
    Give one answer a score (it holds until the student types something else):
      calclib rule CLASS SET --student ann --problem 3 --points 1 --reason "The unit is in the margin."
    Confirm that a tenfold error fails the whole set, or that it doesn't (by a strict policy; until then it waits):
      calclib rule CLASS SET --student ann --problem 3 --confirm-failure --reason "1,250 for 125 mL/h."
    Accept another answer, from everyone or from one --student:
      calclib rule CLASS SET --problem 5 --part verdict --accept "call first" --reason "Means to hold."
      calclib rule CLASS SET --problem 2 --within 0.1 --reason "Two syringes were in use."
      calclib rule CLASS SET --problem 2 --student ann --from 1.2 --to 1.3 --reason "Her syringe."
    A problem that went wrong:
      calclib rule CLASS SET --problem 4 --credit-all --reason "The order was unclear."
      calclib rule CLASS SET --problem 4 --void --reason "It was not taught."
    The wrong policy (calclib policies lists them):
      calclib rule CLASS SET --marking first-practice --reason "The first set is for practice."
      calclib rule CLASS SET --rounding tenths --reason "We teach tenths."
      calclib rule CLASS SET --rounding tenths --instead --reason "I said so in the room."
    A wrong key: the item model computes wrongly, and is corrected in a file of yours or by now in the bank:
      calclib rule CLASS SET --model corrected.toml --reason "The added volume counts too."
      calclib rule CLASS SET --model drop-rate --reason "The newer version has the right key."
    A hand-in that another account made in a student's name (calclib review lists them):
      calclib rule CLASS SET --student ann --leave-hand-in 3f2a9c1b --reason "She knows nothing of it."
      calclib rule CLASS SET --student ann --take-hand-in 3f2a9c1b --reason "She sat at Ben's computer."
    A hand-in of which the time isn't known (calclib review lists them):
      calclib rule CLASS SET --student ann --handed-in 2026-12-01T23:10:00-05:00 --reason "The LMS says so."
      calclib rule CLASS SET --in-time --reason "The LMS shows nobody as late."
    A notebook that was set aside, a ruling taken back:
      calclib rule CLASS SET --student ann --take-notebook --reason "She copied it to a new file."
      calclib rule CLASS SET --student ann --leave-notebook --reason "It is another student's."
      calclib rule CLASS SET --withdraw 2 --reason "Wrong problem."

    With --rounding each student's problems are re-keyed from the recorded numbers; nothing is drawn. Since the
    notebooks printed the old rule, what is right by it stays right, unless you say --instead. A problem that isn't
    fair by the new policy is named: whatever one of its ways leads to is right, and the old answer too.

    With --model so are all problems that were drawn from the item model of that id, and what is right by the key that
    was handed out stays right in the same way. MODEL is a file (copy the bank's from calclib/models/bank, correct its
    steps and give it a higher version) or an id, for the version that this library has by now. It must state the same
    givens and ask the same parts; what the notebooks print stays. A file is proved first: calclib items --prove
    corrected.toml says all that is wrong with it.
    """
    from calclib.judging_papers.make_ruling import make_ruling as ruled
    from calclib.judging_papers.ruling_request import RulingRequest
    from calclib.pages.changed_marks import key_lines, note_lines, summary_lines
    from calclib.records import ruling_fact
    from calclib.wording import said

    if instead and rounding is None and model is None:
        raise BadInput(fact("errors_cli.instead_alone"))
    policies = {"marking": marking, "rounding": rounding}
    notebooks = {"take": take_notebook, "leave": leave_notebook}
    hand_ins = {"left": leave_hand_in, "taken": take_hand_in}
    if handed_in is not None and in_time:
        raise BadInput(fact("errors_cli.handed_in_and_in_time"))
    time = "" if in_time else handed_in
    failing = {"confirmed": confirm_failure, "dismissed": dismiss_failure}
    kind, value = _kind(
        points,
        failing,
        accept,
        within,
        (low, high),
        credit_all,
        void,
        notebooks,
        hand_ins,
        policies,
        model,
        withdraw,
        time,
    )
    if kind in ("rounding", "model"):
        value = {**value, "printed": "" if instead else "yes"}
    request = RulingRequest(kind, value, reason, problem, part, student, by, attempt or 0)
    if not yes or preview:
        with progress_bar(said("command.trying")) as progress:
            tried = ruled(folder, set_name, request, now=_now(), preview=True, progress=progress)
        made, what = tried.ruling, ruling_fact(tried.ruling)
        say(said("change.ruling_made", number=made.number, what=what, reason=made.reason))
        say_each(key_lines(tried.keys))
        _show_others(tried.marked, folder, set_name)
        say_each(note_lines(tried.notes))
        if preview:
            say(said("marking.preview"))
            return
        agree(said("command.apply_ruling"))
    with progress_bar(said("command.marking")) as progress:
        done = ruled(folder, set_name, request, now=_now(), progress=progress)
    changes = done.marked.changes
    if yes:
        _show_others(done.marked, folder, set_name)
        say_each(note_lines(done.notes))
    say(said("change.ruling_recorded", number=done.ruling.number, count=len(changes)))
    for line in summary_lines(changes) if changes and not yes else ():
        say(f"{line}.")
    say(said("command.next", command=printed_command("report", folder, set_name)))


def _show_others(marked: Marked, folder: Path, set_name: str) -> None:
    """Print who resubmitted and which further attempts are marked by the way, then whose marks the ruling changes."""
    from calclib.cli.set_zone import set_zone
    from calclib.pages.changed_marks import change_lines, further_lines, resubmitted_lines

    say_each(resubmitted_lines(marked.resubmitted, set_zone(folder, set_name)))
    say_each(further_lines(marked.further))
    say_each(change_lines(marked.changes, others=bool(marked.resubmitted or marked.further)))


def _kind(
    points: str | None,
    failing: Mapping[str, bool],
    accept: str | None,
    within: str | None,
    between: tuple[str | None, str | None],
    credit_all: bool,
    void: bool,
    notebooks: Mapping[str, bool],
    hand_ins: Mapping[str, str | None],
    policies: Mapping[str, str | None],
    model: str | None,
    withdraw: str | None,
    time: str | None,
) -> tuple[str, Mapping[str, str]]:
    low, high = between
    if (low is None) != (high is None):
        raise BadInput(fact("errors_cli.from_and_to"))
    requested: list[tuple[str, Mapping[str, str]]] = []
    for kind, key, text in (
        ("answer", "points", points),
        ("text", "text", accept),
        ("within", "amount", within),
        *((kind, "policy", text) for kind, text in policies.items()),
        ("model", "model", model),
        ("withdraw", "number", withdraw),
        ("time", "time", time),
    ):
        if text is not None:
            requested.append((kind, {key: text}))
    requested += [("hand_in", {"sign": sign, "outcome": end}) for end, sign in hand_ins.items() if sign is not None]
    requested += [("failing", {"outcome": outcome}) for outcome, asked in failing.items() if asked]
    if low is not None and high is not None:
        requested.append(("between", {"low": low, "high": high}))
    requested += [(kind, {}) for kind, asked in (("credit", credit_all), ("void", void), *notebooks.items()) if asked]
    if len(requested) != 1:
        raise BadInput(fact("errors_cli.one_thing_to_do"))
    return requested[0]


def agree(question: str) -> None:
    """Ask a person, or end the program where there is nobody to ask.

    Raises:
        BadInput: nobody can be asked.
        click.Abort: the answer is no.
    """
    if not sys.stdin.isatty():
        raise BadInput(fact("errors_cli.nothing_changed"))
    confirm(question)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
