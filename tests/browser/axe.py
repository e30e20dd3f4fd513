"""Asking axe what is wrong with a page."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

# Every level A and AA rule of WCAG 2.0 to 2.2, and what axe calls good practice.
_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
_YARD = {"color-contrast-enhanced": {"enabled": True}}
"""In the yard the sun is on the glass, so contrast there is held to level AAA."""


def violations(page: Page, *, yard: bool = False) -> list[str]:
    """Each violation on the page as it stands: the rule, what it says and where."""
    options = {
        "runOnly": {"type": "tag", "values": _TAGS},
        "rules": {"target-size": {"enabled": True}, **(_YARD if yard else {})},
        "resultTypes": ["violations"],
    }
    found = Axe().run(page, options=options).response["violations"]
    return [
        f"{violation['id']}: {violation['help']}: {node['target']} {node['html'][:160]}"
        for violation in found
        for node in violation["nodes"][:3]
    ]
