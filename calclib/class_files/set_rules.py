"""What a blueprint says beside problems and points: working time, appeals, whether a colleague signs first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NoReturn

from calclib.class_files.names import visible
from calclib.class_files.toml_lines import recorded_toml
from calclib.wording.facts import Fact, fact

APPEAL_KEYS = ("to", "by", "how")
_LONGEST_WORKING_TIME = 1440
_LONGEST_WORDS = 300

# Says in a sentence what is wrong with a key, "" for none, of a table, "" for the top.
Refuse = Callable[[Fact, str, str], NoReturn]


@dataclass(frozen=True)
class Appeal:
    """How a student appeals against a mark.

    Attributes:
        to: To whom.
        by: Until when: a time, or words such as "within 7 days of this page".
        how: What to do, in a sentence; "" if that isn't said.
    """

    to: str
    by: dt.datetime | str
    how: str


@dataclass(frozen=True)
class SetRules:
    """What holds for a set beside its problems and points.

    Attributes:
        minutes: The working time of the class, None for no limit.
        appeal: How to appeal, None if that isn't said.
        signed_off: Whether a colleague must have signed the preview before it is handed out.
    """

    minutes: int | None = None
    appeal: Appeal | None = None
    signed_off: bool = False


def set_rules(top: Mapping[str, Any], refuse: Refuse) -> SetRules:
    """Return what the top of a blueprint says of these; `refuse` is called where it is wrong."""
    minutes = top.get("minutes")
    if minutes is not None and (type(minutes) is not int or not 1 <= minutes <= _LONGEST_WORKING_TIME):
        refuse(fact("errors_class_files.minutes", most=_LONGEST_WORKING_TIME), "minutes", "")
    review = top.get("review", "optional")
    if review not in ("optional", "required"):
        refuse(fact("errors_class_files.review_of_set"), "review", "")
    return SetRules(minutes, _appeal(top.get("appeal"), refuse), review == "required")


def _appeal(table: object, refuse: Refuse) -> Appeal | None:
    if table is None:
        return None
    if not isinstance(table, dict):
        refuse(fact("errors_class_files.appeal_no_table"), "appeal", "")
    for key in table:
        if key not in APPEAL_KEYS:
            refuse(
                fact("errors_class_files.unknown_key_of_appeal", known=tuple(APPEAL_KEYS), key=visible(key)),
                key,
                "appeal",
            )
    for key in ("to", "by"):
        if key not in table:
            refuse(fact("errors_class_files.key_of_appeal_missing", key=key), "", "appeal")
    by = table["by"]
    if isinstance(by, dt.datetime) and by.tzinfo is None:
        refuse(fact("errors_class_files.appeal_by"), "by", "appeal")
    for key in APPEAL_KEYS:
        value = table.get(key, "-")
        if isinstance(value, dt.datetime) and key == "by":
            continue
        if not isinstance(value, str) or not value.strip() or not value.isprintable() or len(value) > _LONGEST_WORDS:
            refuse(fact("errors_class_files.words_of_appeal", key=key, most=_LONGEST_WORDS), key, "appeal")
    return Appeal(table["to"].strip(), by if isinstance(by, dt.datetime) else by.strip(), table.get("how", "").strip())


# Asked for every page of a class.
@lru_cache(maxsize=8)
def recorded_rules(blueprint: str) -> SetRules:
    """Return what a blueprint says that was recorded with its set: it was checked then."""

    def refuse(_what: Fact, _key: str, _table: str) -> NoReturn:
        raise ValueError

    try:
        return set_rules(recorded_toml(blueprint, where="blueprint"), refuse)
    except ValueError:
        return SetRules()
