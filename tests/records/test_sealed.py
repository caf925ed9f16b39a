from fractions import Fraction

import pytest
from sqlalchemy import create_engine, select
from sqlalchemy.exc import IntegrityError

from calclib.records.database import one_transaction
from calclib.records.frozen.frozen_texts import freeze_text, frozen_text
from calclib.records.handed_out import numbers_in_use
from calclib.records.part_marks import PartMark, marks_of, replace_marks
from calclib.records.sealed import (
    SealedItem,
    SealedPaper,
    seal_paper,
    seal_set,
    sealed_paper,
    sealed_papers,
    sealed_set,
)
from calclib.records.set_aside import SetAside, SetAsideKind, SetAsideReason, replace_set_aside, set_aside
from calclib.records.tables import ANSWER, MARK, METADATA
from tests.records.sealed_set import SEALED

WORKED = {"drops": [{"kind": "worked.line", "pieces": ["drops = 31 gtt/min"]}]}
PAPER = SealedPaper(
    set_name="week-3",
    pseudonym="p" * 16,
    attempt=1,
    tag="t" * 32,
    numbers="n" * 64,
    checksums={"q1-stem": "c" * 32},
    items=(SealedItem(1, "drop-rate", 1, "h" * 64, "k" * 64, {"stem": "1,000 mL…", "worked": WORKED}),),
    made="2026-11-25T08:00:00+00:00",
    library="0.2.0",
)
MARKED = PartMark(
    slot=1,
    part="drops",
    answer_cell="a",
    check_cell="c",
    verdict="wrong",
    right=False,
    critical=True,
    fails="part",
    score=Fraction(1, 3),
    points=Fraction(3, 2),
    needs_person=True,
    causes=({"fault": "x", "certain": False},),
    notices=({"rule": "trailing_zero"},),
    typed="5.0 mL",
    detail={"message": "…"},
)


@pytest.fixture
def engine():
    """A database in memory with our tables."""
    engine = create_engine("sqlite://")
    METADATA.create_all(engine)
    yield engine
    engine.dispose()


def test_what_is_sealed_is_read_back_whole(engine) -> None:
    """Set and paper come back equal, fractions and times included."""
    with engine.begin() as connection:
        seal_set(connection, SEALED)
        seal_paper(connection, PAPER)
        assert sealed_set(connection, "week-3") == SEALED
        assert sealed_paper(connection, "week-3", "p" * 16) == PAPER
        assert list(sealed_papers(connection, "week-3")) == [PAPER]
        assert sealed_set(connection, "other") is None
        assert sealed_paper(connection, "week-3", "q" * 16) is None
        assert numbers_in_use(connection, "week-3") == {1: {"k" * 64: 1}}


def test_two_students_never_share_a_full_set_of_numbers(engine) -> None:
    """The database itself refuses a second paper with the same numbers."""
    with engine.begin() as connection:
        seal_paper(connection, PAPER)
        twin = SealedPaper(**{**PAPER.__dict__, "pseudonym": "q" * 16})
        with pytest.raises(IntegrityError):
            seal_paper(connection, twin)


def test_a_text_is_frozen_once(engine) -> None:
    """The same text gives the same hash and one row."""
    with engine.begin() as connection:
        first = freeze_text(connection, "policy", "p", "text")
        assert freeze_text(connection, "policy", "p", "text") == first
        assert frozen_text(connection, first) == "text"


def marks(connection, *given: PartMark) -> None:
    """Record marks for the one student of these tests."""
    replace_marks(
        connection,
        set_name="week-3",
        pseudonym="p" * 16,
        attempt=1,
        marks=given,
        submission="s" * 64,
        marked="2026-11-25T08:00:00+00:00",
    )


def test_marks_take_the_place_of_earlier_ones(engine) -> None:
    """Marking twice leaves what marking once leaves."""
    with engine.begin() as connection:
        marks(connection, MARKED)
        marks(connection, MARKED)
        assert marks_of(connection, "week-3") == {"p" * 16: (MARKED,)}
        assert MARKED.earned == Fraction(1, 2)


def test_typed_text_can_be_erased_and_the_mark_stays(engine) -> None:
    """Nothing but calclib_answer holds what a student typed."""
    with engine.begin() as connection:
        marks(connection, MARKED)
        connection.execute(ANSWER.delete())
        (kept,) = marks_of(connection, "week-3")["p" * 16]
        assert (kept.score, kept.typed, kept.detail) == (Fraction(1, 3), "", {})
        assert "5.0 mL" not in str(connection.execute(select(MARK)).all())


def test_typed_text_that_no_database_stores_is_made_storable(engine) -> None:
    """Zero bytes and half characters are replaced, not refused."""
    with engine.begin() as connection:
        marks(connection, PartMark(**{**MARKED._asdict(), "typed": "5\0\ud800"}))
        (kept,) = marks_of(connection, "week-3")["p" * 16]
        assert kept.typed == "5\ufffd\ufffd"


def test_the_list_of_those_set_aside_is_replaced(engine) -> None:
    """Who was set aside earlier and isn't now is off the list."""
    with engine.begin() as connection:
        aside = SetAside("p" * 16, SetAsideReason(SetAsideKind.EMPTY), "s" * 64)
        replace_set_aside(connection, set_name="week-3", aside=(aside,), noticed="2026")
        replace_set_aside(connection, set_name="week-3", aside=(aside,), noticed="2026")
        assert set_aside(connection, "week-3") == (aside,)
        replace_set_aside(connection, set_name="week-3", aside=(), noticed="2026")
        assert set_aside(connection, "week-3") == ()


def test_a_transaction_is_kept_whole_or_not_at_all(tmp_path) -> None:
    """An error in the middle leaves nothing, also where the driver would begin late."""
    engine = create_engine(f"sqlite:///{tmp_path / 'g.db'}")
    METADATA.create_all(engine)

    def fail() -> None:
        with one_transaction(engine) as connection:
            seal_set(connection, SEALED)
            with connection.begin_nested():
                seal_paper(connection, PAPER)
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    with one_transaction(engine) as connection:
        assert sealed_set(connection, "week-3") is None
        assert sealed_paper(connection, "week-3", "p" * 16) is None
    engine.dispose()
