"""A whole teaching cycle with an invented class: an exam, plans for those who fail, a retest, and the report."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from calclib.demo.class_list import COURSE, SET, demo_blueprint, demo_roster
from calclib.demo.filling_in import PREPARED, fill_in
from calclib.demo.measure import Judged, Measured, measured, said_of
from calclib.demo.simulated_students import Planted
from calclib.errors import BadInput
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

if TYPE_CHECKING:
    from calclib.demo.handing_in import Place
    from calclib.gradebook import SetResults

Progress = Callable[[int, int, str], None]
RETEST_AFTER = dt.timedelta(days=10)
# So many sit the retest first: drawing one as hard as the first attempt takes longest of all.
RETESTED = 3


@dataclass(frozen=True)
class DemoSummary:
    """What the demo led to.

    Args:
        folder: The class folder.
        results: The results of the set.
        quality: How well the planted mistakes were named.
        planted: How many answers were planted of each kind.
        report: The class report.
        feedback: One student's feedback page.
        notebook: One student's notebook.
        plans: The list of who needs what.
        plan: One plan, None if everyone passed.
        retested: How many sat the retest.
    """

    folder: Path
    results: SetResults
    quality: Measured
    planted: dict[str, int]
    report: Path
    feedback: Path
    notebook: Path
    plans: Path
    plan: Path | None
    retested: int


def run_demo(
    folder: Path,
    students: int = 24,
    seed: str = "demo",
    progress: Progress | None = None,
    *,
    now: dt.datetime | None = None,
    prepared: Decimal = PREPARED,
    retest: bool = True,
) -> DemoSummary:
    """Run the cycle in a folder of its own; a second run does no harm.

    Args:
        folder: Where the class folder is to be made.
        students: Number of students, 1 to 260.
        seed: Decides the draws and what the students do.
        progress: Called with the number done, the number in all and what is being done.
        now: The time that is recorded; None for the clock's.
        prepared: By how much the class does better than the published one, in logits.
        retest: Whether those who fail get plans, and the first of them sit a retest.

    Raises:
        BadInput: The folder holds something else than a demo, or the number of students is too large.
    """
    from calclib.class_files import class_folder
    from calclib.class_files.kept_files import refuse_kept
    from calclib.collecting import collect
    from calclib.gradebook import set_results
    from calclib.judging_papers import mark
    from calclib.pages import write_feedback, write_report
    from calclib.pages.after_exam.plans import write_plans
    from calclib.releasing import hand_out, start_class
    from calclib.releasing.further_attempts.another_attempt import give_another_attempt

    refuse_kept(folder)
    time = now or dt.datetime.now(dt.UTC)
    roster = demo_roster(students)
    _prepare(folder, seed)
    with tempfile.TemporaryDirectory() as scratch:
        files = Path(scratch)
        (files / "roster.csv").write_text(roster, "utf-8")
        (files / "blueprint.toml").write_text(demo_blueprint(), "utf-8")
        start_class(folder, files / "roster.csv")
        hand_out(folder, files / "blueprint.toml", now=time, progress=_stage(progress, fact("demo.handing_out")))
    where = class_folder(folder)

    def sit(*, marked_too: bool) -> dict[tuple[str, int], dict[Place, Planted]]:
        came, filling = where.path / "handed-in", _stage(progress, fact("demo.filling_in"))
        typed = fill_in(where, SET, came, seed, filling, marked_too=marked_too, prepared=prepared)
        collect(folder, SET, came, now=time, progress=_stage(progress, fact("command.collecting")))
        mark(folder, SET, now=time, progress=_stage(progress, fact("command.marking")))
        return typed

    planted = sit(marked_too=True)
    if retest and not _retested(planted):
        until = time.date() + RETEST_AFTER
        write_plans(folder, SET, now=time, until=until, progress=_stage(progress, fact("after_exam.writing_plans")))
        stands = set_results(where, SET)
        failed = [one.student.id for one in stands.judged if not stands.reaches_cut(one)]
        if failed:
            drawing = _stage(progress, fact("demo.drawing_again"))
            give_another_attempt(folder, SET, now=time, students=failed[:RETESTED], progress=drawing)
            planted |= sit(marked_too=False)
    write_feedback(folder, SET, progress=_stage(progress, fact("demo.writing_feedback")))
    report = write_report(folder, SET)
    results = set_results(where, SET)
    answers = tuple(_judged(results, planted))
    one = results.judged[0].student.id if results.judged else results.students[0].student.id
    return DemoSummary(
        folder=where.path,
        results=results,
        quality=measured(answers),
        planted=_kinds(answers),
        report=report,
        feedback=where.feedback(SET, one),
        notebook=where.rendered(SET, one),
        plans=where.plan_list(SET),
        plan=next((plan for each in results.students if (plan := where.plan(SET, each.student.id, 1)).is_file()), None),
        retested=_retested(planted),
    )


def percent(share: Fraction | None) -> str:
    """Return a share in whole percent, cut off, so that 100 % means all."""
    return "none" if share is None else f"{100 * share.numerator // share.denominator} %"


def _prepare(folder: Path, seed: str) -> None:
    """Make the class folder with a secret that follows from the seed, so that a demo can be shown again."""
    settings = folder / "class.toml"
    wanted = f'course = "{COURSE}"\n'
    if settings.is_file():
        if settings.read_text("utf-8") != wanted:
            raise BadInput(fact("errors_demo.real_class", folder=str(folder)))
        return
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise BadInput(fact("errors_demo.not_empty", folder=str(folder)))
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle = os.open(folder / "course-secret.txt", os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(hashlib.sha256(seed.encode("utf-8", "surrogatepass")).hexdigest() + "\n")
    settings.write_text(wanted, "utf-8")


def _retested(planted: dict[tuple[str, int], dict[Place, Planted]]) -> int:
    return sum(attempt > 1 for _, attempt in planted)


def _judged(results: SetResults, planted: dict[tuple[str, int], dict[Place, Planted]]) -> list[Judged]:
    models = {slot.number: slot.model for slot in results.sealed.slots}
    found = []
    for one in results.judged:
        for part in one.parts:
            record = planted.get((one.pseudonym, one.attempt), {}).get((part.mark.slot, part.mark.part))
            if record is not None:
                mark = part.mark
                said = said_of(mark.verdict, mark.causes)
                found.append(Judged(models[mark.slot], record, mark.right, said, mark.verdict))
    return found


def _kinds(answers: tuple[Judged, ...]) -> dict[str, int]:
    kinds: dict[str, int] = {}
    for answer in answers:
        kinds[answer.planted.kind] = kinds.get(answer.planted.kind, 0) + 1
    return kinds


def _stage(progress: Progress | None, stage: Fact) -> Progress:
    def told(done: int, total: int, name: str) -> None:
        if progress is not None:
            progress(done, total, f"{sentence(stage)}: {name}" if name else sentence(stage))

    return told
