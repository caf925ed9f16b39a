from __future__ import annotations

import re

import pytest

from calclib.errors.messages import CalclibError
from calclib.sources.catalogue import source, sources

_KEY = re.compile(r"[a-z][a-z0-9_]*")


def test_citations_by_hand() -> None:
    """A citation names author, title, year and place, and says when it is from memory or habit only."""
    assert source("openstax_pharmacology_2024").cite() == "OpenStax, Pharmacology for Nurses, 2024, sec. 2.4"
    assert source("openstax_pharmacology_2024").cite("sec. 3.1") == "OpenStax, Pharmacology for Nurses, 2024, sec. 3.1"
    assert source("common_practice").cite() == "common practice"
    assert source("from_memory").cite() == "from memory"
    assert source("dubois_1916").cite().endswith("(from memory)")


def test_an_unknown_key_is_an_error_that_says_where_to_add_it() -> None:
    """A key that nobody entered is not silently cited."""
    with pytest.raises(CalclibError, match=r"sources\.toml: no source has the key 'nobody'"):
        source("nobody")


@pytest.mark.parametrize("key", sorted(sources()))
def test_every_source_can_be_found_again(key: str) -> None:
    """A key is short and plain; what was read has an author and a title."""
    entry = source(key)

    assert _KEY.fullmatch(key)
    if entry.seen == "read":
        assert entry.author
        assert entry.title
