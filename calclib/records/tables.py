"""Our tables in nbgrader's gradebook database; each name begins with calclib_.

Rows carry a pseudonym. Who it stands for is in calclib_person alone, what was typed in calclib_answer alone,
so that both can be erased and the marks stay. A change here is a new version of the tables, see `schema/`.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

METADATA = MetaData()

_NAME, _PSEUDONYM, _TIME, _HASH = String(40), String(16), String(32), String(64)
# The version of calclib that made what is recorded.
_LIBRARY = String(20)

PERSON = Table(
    "calclib_person",
    METADATA,
    Column("pseudonym", _PSEUDONYM, primary_key=True),
    Column("student_id", String(64), nullable=False, unique=True),
)

# Ids of students who were erased, each as a keyed hash.
ERASED = Table("calclib_erased", METADATA, Column("mark", _HASH, primary_key=True))

FROZEN_TEXT = Table(
    "calclib_frozen_text",
    METADATA,
    Column("hash", _HASH, primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("name", String(80), nullable=False),
    Column("text", Text, nullable=False),
)

SET = Table(
    "calclib_set",
    METADATA,
    Column("name", _NAME, primary_key=True),
    Column("title", String(200), nullable=False),
    Column("blueprint", Text, nullable=False),
    Column("rounding", String(80), nullable=False),
    Column("rounding_hash", _HASH, nullable=False),
    Column("marking", String(80), nullable=False),
    Column("marking_hash", _HASH, nullable=False),
    Column("cut_score", String(20), nullable=False),
    Column("due", _TIME),
    Column("late_percent", Integer, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("keep", String(10), nullable=False),
    Column("slots", Text, nullable=False),
    Column("library", _LIBRARY, nullable=False),
    Column("handed_out", _TIME, nullable=False),
)

PAPER = Table(
    "calclib_paper",
    METADATA,
    Column("set_name", _NAME, primary_key=True),
    Column("pseudonym", _PSEUDONYM, primary_key=True),
    Column("attempt", Integer, primary_key=True),
    Column("tag", String(32), nullable=False),
    Column("numbers", _HASH, nullable=False),
    Column("checksums", Text, nullable=False),
    Column("made", _TIME, nullable=False),
    Column("library", _LIBRARY, nullable=False, server_default=""),
    UniqueConstraint("set_name", "attempt", "numbers", name="calclib_paper_numbers"),
)

ITEM = Table(
    "calclib_item",
    METADATA,
    Column("set_name", _NAME, primary_key=True),
    Column("pseudonym", _PSEUDONYM, primary_key=True),
    Column("attempt", Integer, primary_key=True),
    Column("slot", Integer, primary_key=True),
    Column("model_id", String(80), nullable=False),
    Column("model_version", Integer, nullable=False),
    Column("model_hash", _HASH, nullable=False),
    Column("numbers", _HASH, nullable=False),
    Column("record", Text, nullable=False),
    Column("faults", Text, nullable=False),
    Column("worked", Text, nullable=False),
    ForeignKeyConstraint(
        ["set_name", "pseudonym", "attempt"],
        ["calclib_paper.set_name", "calclib_paper.pseudonym", "calclib_paper.attempt"],
        ondelete="CASCADE",
    ),
    Index("calclib_item_numbers", "set_name", "slot", "numbers"),
)

MARK = Table(
    "calclib_mark",
    METADATA,
    Column("set_name", _NAME, primary_key=True),
    Column("pseudonym", _PSEUDONYM, primary_key=True),
    Column("attempt", Integer, primary_key=True),
    Column("slot", Integer, primary_key=True),
    Column("part", String(40), primary_key=True),
    Column("place", Integer, nullable=False),
    Column("answer_cell", String(64), nullable=False),
    Column("check_cell", String(64), nullable=False),
    Column("verdict", String(40), nullable=False),
    Column("right", Boolean, nullable=False),
    Column("critical", Boolean, nullable=False),
    Column("fails", String(10), nullable=False),
    Column("score", String(40), nullable=False),
    Column("points", String(40), nullable=False),
    Column("needs_person", Boolean, nullable=False),
    Column("kept", Boolean, nullable=False),
    Column("causes", Text, nullable=False),
    Column("notices", Text, nullable=False),
    Column("submission", _HASH, nullable=False),
    Column("marked", _TIME, nullable=False),
)

ANSWER = Table(
    "calclib_answer",
    METADATA,
    Column("set_name", _NAME, primary_key=True),
    Column("pseudonym", _PSEUDONYM, primary_key=True),
    Column("attempt", Integer, primary_key=True),
    Column("slot", Integer, primary_key=True),
    Column("part", String(40), primary_key=True),
    Column("typed", Text, nullable=False),
    Column("verdict", Text, nullable=False),
)

SET_ASIDE = Table(
    "calclib_set_aside",
    METADATA,
    Column("set_name", _NAME, primary_key=True),
    Column("pseudonym", _PSEUDONYM, primary_key=True),
    Column("reason", Text, nullable=False),
    Column("submission", _HASH, nullable=False),
    Column("noticed", _TIME, nullable=False),
)

# Only ever added to: a ruling that no longer holds is withdrawn by another.
RULING = Table(
    "calclib_ruling",
    METADATA,
    Column("set_name", _NAME, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(10), nullable=False),
    Column("slot", Integer, nullable=False),
    Column("part", String(40), nullable=False),
    Column("pseudonym", _PSEUDONYM, nullable=False),
    Column("value", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("ruled_by", String(120), nullable=False),
    Column("at", _TIME, nullable=False),
    # Pseudonyms of the students whose ids stand in the reason.
    Column("names", Text, nullable=False, server_default=""),
)

# The items of a set as a ruling has them re-keyed; the ones that were handed out stay as they are in calclib_item.
REKEYED = Table(
    "calclib_rekeyed",
    METADATA,
    Column("set_name", _NAME, primary_key=True),
    Column("ruling", Integer, primary_key=True, autoincrement=False),
    Column("pseudonym", _PSEUDONYM, primary_key=True),
    Column("attempt", Integer, primary_key=True),
    Column("slot", Integer, primary_key=True),
    Column("model_id", String(80), nullable=False),
    Column("model_version", Integer, nullable=False),
    Column("model_hash", _HASH, nullable=False),
    Column("numbers", _HASH, nullable=False),
    Column("record", Text, nullable=False),
    Column("faults", Text, nullable=False),
    Column("worked", Text, nullable=False),
    Column("notes", Text, nullable=False),
    Column("library", _LIBRARY, nullable=False, server_default=""),
    ForeignKeyConstraint(
        ["set_name", "pseudonym", "attempt"],
        ["calclib_paper.set_name", "calclib_paper.pseudonym", "calclib_paper.attempt"],
        ondelete="CASCADE",
    ),
)

HISTORY = Table(
    "calclib_history",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("at", _TIME, nullable=False),
    Column("event", String(40), nullable=False),
    Column("set_name", _NAME, nullable=False),
    Column("pseudonym", _PSEUDONYM, nullable=False),
    Column("detail", Text, nullable=False),
)
