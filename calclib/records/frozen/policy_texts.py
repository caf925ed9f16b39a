"""Policies as texts, as they are recorded with a set."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy
    from calclib.quantity import RoundingPolicy


def marking_text(policy: MarkingPolicy) -> str:
    """Return a marking policy in the format of its file; `read_marking_policy` reads it back."""
    words = [f"{key} = {_quoted(getattr(policy, key))}" for key in ("name", "title", "says", "source")]
    worth = [f'{verdict} = "{share}"' for verdict, share in policy.worth.items()]
    notices = [f'joint_commission = "{policy.joint_commission_costs}"', f'other = "{policy.other_notice_costs}"']
    notices.append(f'another_path = "{policy.another_path_costs}"')
    critical = [f'factor = "{policy.critical_factor}"', f"fails = {_quoted(policy.critical_fails)}"]
    tables = [("worth", worth), ("notices", notices), ("critical", critical)]
    return "\n".join([*words, *(line for name, lines in tables for line in (f"[{name}]", *lines))]) + "\n"


def rounding_text(policy: RoundingPolicy) -> str:
    """Return a rounding policy as JSON, from which it can be made again."""
    return json.dumps(policy.to_record(), ensure_ascii=False, sort_keys=True)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
