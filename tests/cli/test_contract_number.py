"""A program that reads replies of another contract is told so, and never given what it would misread."""

from __future__ import annotations

import json

import pytest

from calclib.cli.commands.judge import reply_to


@pytest.mark.parametrize(("asked", "told"), [({}, ""), ({"contract": 2}, ""), ({"contract": 1}, "another contract")])
def test_a_request_of_another_contract_is_refused(asked: dict[str, int], told: str) -> None:
    """In one sentence with the number of today; a request that names none, or this one, is answered."""
    reply = reply_to(json.dumps({"id": 7, "item": "drop-rate", "seed": "1", "answers": {}, **asked}))
    assert (reply["contract"], reply["id"]) == (2, 7)
    assert told in reply.get("error", "")
    assert ("parts" in reply) is (not told)
