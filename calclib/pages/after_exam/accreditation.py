"""Tables for the accreditation folder: passes, skills and problems, term by term; no names and no small cells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from calclib.analysis.small_cells import LEAST, shown_share
from calclib.class_files.class_folder import class_folder
from calclib.class_files.kept_files import refuse_kept
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.gradebook.attempt_results import attempt_results
from calclib.gradebook.outcomes import first_attempt_problems
from calclib.gradebook.results import SetResults, set_results
from calclib.gradebook.standing import Standing, standing_of
from calclib.pages.export import Table, Value, csv_bytes, xlsx_bytes
from calclib.records.database import reading
from calclib.records.sealed import sets_in_order
from calclib.releasing.erasing.erase import finish_erasure
from calclib.wording import Fact, fact, said, sentence

_TERM = (fact("accreditation.term"), fact("accreditation.set"))
_PASSES = (
    *_TERM,
    fact("accreditation.decided"),
    fact("accreditation.cut"),
    fact("accreditation.passed_first"),
    fact("accreditation.passed"),
)
_SHARES = (fact("accreditation.answered"), fact("accreditation.right"))


@dataclass(frozen=True)
class Outcome:
    """How one student did one problem at the first attempt."""

    term: str
    skill: str
    model: str
    right: bool


def write_accreditation(folders: Sequence[Path], target: Path) -> tuple[Table, ...]:
    """Write what classes reached, without names: a workbook with three sheets, or as .csv the first of them.

    Args:
        folders: The class folders, one a term, the earliest first.
        target: A file that ends in .xlsx or .csv.

    Raises:
        BadInput: a class folder is wrong, or the file has another ending or lies in a folder that isn't there.
    """
    refuse_kept(target)
    kind = target.suffix.casefold()
    if kind not in (".csv", ".xlsx"):
        raise BadInput(fact("errors_pages.csv_or_xlsx"), where=str(target))
    if not target.absolute().parent.is_dir():
        raise BadInput(fact("errors_pages.no_folder", folder=str(target.absolute().parent)), where=str(target))
    passes: list[tuple[Value, ...]] = []
    outcomes: list[Outcome] = []
    for folder in folders:
        _add(folder, passes, outcomes)
    tables = (
        _table("sets", _PASSES, passes),
        _table("skills", (fact("accreditation.skill"), _TERM[0], *_SHARES), _trend(outcomes, "skill")),
        _table("problems", (fact("accreditation.problem"), _TERM[0], *_SHARES), _trend(outcomes, "model")),
    )
    replace_file(target, csv_bytes(tables[0]) if kind == ".csv" else xlsx_bytes(tables), mode=0o600)
    return tables


def _table(name: str, head: Sequence[Fact], rows: Sequence[tuple[Value, ...]]) -> Table:
    return Table(name, tuple(map(sentence, head)), tuple(rows))


def _add(folder: Path, passes: list[tuple[Value, ...]], outcomes: list[Outcome]) -> None:
    """Add what one class reached."""
    where = class_folder(folder)
    finish_erasure(where)
    term = where.path.name
    with reading(where) as connection:
        names = sets_in_order(connection)
    for name in names:
        results = set_results(where, name)
        with reading(where) as connection:
            attempts = attempt_results(connection, results)
            first = first_attempt_problems(connection, results)
        at_first = {
            student: every[0].standing is Standing.PASSES
            for student, every in attempts.items()
            if every and every[0].attempt == 1
        }
        passes.append(_passes(term, results, at_first))
        models = {slot.number: slot.model for slot in results.sealed.slots}
        for problems in first.values():
            told = (one for one in problems if not one.waits)
            outcomes += [Outcome(term, one.skill, models[one.slot], one.right) for one in told]


def _passes(term: str, results: SetResults, at_first: dict[str, bool]) -> tuple[Value, ...]:
    standings = [standing_of(results, one) for one in results.marked]
    decided = [one for one in standings if one not in (Standing.UNDECIDED, Standing.FAILURE_WAITS)]
    passed, first = decided.count(Standing.PASSES), sum(at_first.values())
    # What lies between the two shares would tell of single people too.
    between = 0 < abs(passed - first) < LEAST
    return (
        term,
        results.sealed.name,
        _shown(_count(len(decided))),
        results.sealed.cut_score,
        _shown(_share(first, len(at_first))),
        _shown(None if between else _share(passed, len(decided))),
    )


def _trend(outcomes: Sequence[Outcome], by: str) -> list[tuple[Value, ...]]:
    """A row a skill or problem and term: how many were answered, and the share that was right."""
    found: dict[tuple[str, str], list[bool]] = {}
    terms = list(dict.fromkeys(one.term for one in outcomes))
    for one in outcomes:
        found.setdefault((str(getattr(one, by)), one.term), []).append(one.right)
    return list(_rows(found, terms))


def _rows(found: dict[tuple[str, str], list[bool]], terms: Sequence[str]) -> Iterator[tuple[Value, ...]]:
    for (what, term), rights in sorted(found.items(), key=lambda pair: (pair[0][0], terms.index(pair[0][1]))):
        share = _share(sum(rights), len(rights))
        yield what, term, _shown(_count(len(rights))), _shown(share)


def _share(count: int, of: int) -> Fraction | None:
    shown = shown_share(count, of)
    return None if shown is None else Fraction(100 * shown, of)


def _count(count: int) -> int | None:
    return count if count >= LEAST else None


def _shown(value: Value) -> Value:
    return said("accreditation.too_few", count=LEAST) if value is None else value
