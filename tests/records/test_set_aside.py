"""Why a notebook was set aside is recorded as a kind with its fields, and reads as one sentence for each reader."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from sqlalchemy import create_engine, insert

from calclib.records.set_aside import (
    SetAside,
    SetAsideKind,
    SetAsideReason,
    reason_from_record,
    replace_set_aside,
    set_aside,
)
from calclib.records.set_aside_facts import for_faculty, for_the_student
from calclib.records.tables import METADATA, PERSON
from calclib.wording import sentence

ANN, BEN = "a" * 16, "b" * 16


@pytest.fixture
def engine():
    """A database in memory with our tables."""
    engine = create_engine("sqlite://")
    METADATA.create_all(engine)
    yield engine
    engine.dispose()


@pytest.mark.parametrize("kind", list(SetAsideKind))
def test_a_reason_comes_back_as_it_was_recorded(kind: SetAsideKind) -> None:
    """Whatever its kind; the id of another student is never part of the record."""
    reason = SetAsideReason(kind, "line 3", BEN, "ben")
    record = json.loads(json.dumps(reason.to_record()))
    assert reason_from_record(record, {BEN: "ben"}) == reason
    assert "ben" not in record.values()


@pytest.mark.parametrize("kind", list(SetAsideKind))
def test_every_reason_is_one_sentence_for_each_reader(kind: SetAsideKind) -> None:
    """With nothing left to fill in; the student's names nobody."""
    reason = SetAsideReason(kind, "It was 7.", BEN, "ben")
    for said in map(sentence, (for_faculty(reason), for_the_student(reason))):
        assert said.startswith(("The notebook ", "It was 7."))
        assert said.endswith(".")
        assert "{" not in said
    assert "student ben" not in sentence(for_the_student(reason))


def test_an_erased_student_is_somebody_else(engine) -> None:
    """What was recorded of others holds a pseudonym, so nothing in it has to be rewritten."""
    with engine.begin() as connection:
        connection.execute(insert(PERSON).values(pseudonym=BEN, student_id="ben"))
        reason = SetAsideReason(SetAsideKind.OTHER_STUDENT, made_for=BEN)
        replace_set_aside(connection, set_name="week-3", aside=(SetAside(ANN, reason, ""),), noticed="2026")
        (found,) = set_aside(connection, "week-3")
        assert found.reason == replace(reason, owner="ben")
        assert sentence(for_faculty(found.reason)) == "The notebook was made for student ben."
        connection.execute(PERSON.delete())
        (found,) = set_aside(connection, "week-3")
        assert sentence(for_faculty(found.reason)) == "The notebook was made for somebody else."
