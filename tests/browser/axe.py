"""Asking axe what is wrong with a page."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

# Every level A and AA rule of WCAG 2.0 to 2.2, and what axe calls good practice.
_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
_YARD = {"color-contrast-enhanced": {"enabled": True}}
"""In the yard the sun is on the glass, so contrast there is held to level AAA."""


_COLOUR = ["color-contrast", "link-in-text-block"]
"""The rules that look at colours."""


def violations(page: Page, *, yard: bool = False) -> list[str]:
    """Each violation on the page as it stands: the rule, what it says and where."""
    rules = {"target-size": {"enabled": True}, **(_YARD if yard else {})}
    return _run(page, {"runOnly": {"type": "tag", "values": _TAGS}, "rules": rules})


def colour_violations(page: Page, *, yard: bool = False) -> list[str]:
    """Only what depends on colours: for a page whose layout was examined in the other scheme."""
    names = [*_COLOUR, *(_YARD if yard else ())]
    return _run(page, {"runOnly": {"type": "rule", "values": names}})


def _run(page: Page, options: dict[str, object]) -> list[str]:
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    found: list[dict[str, Any]] = page.evaluate(
        "(options) => axe.run(options).then((results) => results.violations)",
        {**options, "resultTypes": ["violations"]},
    )
    return [
        f"{violation['id']}: {violation['help']}: {node['target']} {node['html'][:160]}"
        for violation in found
        for node in violation["nodes"][:3]
    ]
