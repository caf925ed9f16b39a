"""The rules of WCAG 2.1 A and AA on a page, and the pages' two looks and two widths."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}}
LOOKS = [
    pytest.param(390, "light", marks=pytest.mark.full),
    pytest.param(390, "dark"),
    pytest.param(1440, "light"),
    pytest.param(1440, "dark", marks=pytest.mark.full),
]
"""Widths and color schemes: a phone in the dark and a screen in the light always, all four in the full tier."""


def broken_rules(page: Page, context: str | None = None) -> str:
    """Return what breaks a rule, told for people; "" for nothing.

    Args:
        page: An open page.
        context: A selector for the part that is looked at; the whole page if None.
    """
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, context=context, options=RULES)
    nodes = [(node["target"], node["html"][:200]) for one in found.response["violations"] for node in one["nodes"]]
    return f"{found.generate_report()}\n{nodes}" if found.violations_count else ""
