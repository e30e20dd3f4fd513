"""Every page of the yard under a glove: the size of its controls and the room between them.

``pytest -s -k test_targets`` prints the table that stands in DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from app.rules.accounts.roles import Role
from tests.browser.devices import TABLET
from tests.browser.targets import row, targets, too_near, too_small
from tests.support.addresses import Guide, stops
from tests.support.server import Server

pytestmark = pytest.mark.browser

WAYS = {"flat": TABLET, "upright": replace(TABLET, name="upright", width=800, height=1280)}
YARD = [
    stop
    for stop in stops()
    if stop.role is Role.INSTRUCTOR
    and (stop.endpoint.startswith("riding.") or stop.endpoint in ("homes.yard", "accounts.tablet"))
    and not stop.endpoint.startswith("riding.rides_file")
]


@pytest.fixture(scope="module")
def tablet(browser: Browser, looked_at: Server, kept_cookies: Any) -> Iterator[Page]:
    """The instructor's tablet."""
    context = browser.new_context(
        base_url=looked_at.address,
        storage_state=kept_cookies[Role.INSTRUCTOR],
        **TABLET.options(),
    )
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def guide(looked_at: Server) -> Guide:
    """Where everything is in the demo school."""
    return Guide(looked_at.app, looked_at.database)


@pytest.mark.parametrize("stop", YARD, ids=[stop.endpoint for stop in YARD])
def test_targets_suit_gloves(stop: Any, tablet: Page, guide: Guide) -> None:
    """With every fold of the page open, on the tablet held either way."""
    tablet.goto(guide.path(stop))
    tablet.wait_for_load_state("networkidle")
    tablet.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
    for way, device in WAYS.items():
        tablet.set_viewport_size(device.size)
        found = targets(tablet)
        print(row(f"{stop.endpoint}, {way}", found))
        assert too_small(found) == []
        assert too_near(found) == []
