"""Every page of the demo school, as every role that reaches it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser

from app.rules.accounts.access import ACCESS, OPEN, SIGNED_IN
from app.rules.accounts.roles import Role
from tests.browser.devices import PHONE
from tests.browser.looking import Viewer
from tests.browser.watch import Scales
from tests.support.addresses import NOT_PAGES, Guide, Stop, stops
from tests.support.server import Server

pytestmark = pytest.mark.browser

FIRST_LOAD = 100 * 1024
LATER_PAGE = 20 * 1024
STOPS = stops()
AS_STOPS = pytest.mark.parametrize("stop", STOPS, ids=[stop.name for stop in STOPS])
# Whoever sees it, a page is the same template: one role is enough for the slower checks.
ONCE = list({stop.endpoint: stop for stop in reversed(STOPS)}.values())
ENTRANCES = [s for s in ONCE if s.endpoint.startswith("homes.") or s.endpoint == "accounts.sign_in"]
AS_PAGES = pytest.mark.parametrize("stop", ONCE, ids=[stop.endpoint for stop in ONCE])


@pytest.fixture(scope="module")
def guide(looked_at: Server) -> Guide:
    """Where everything is in the demo school."""
    return Guide(looked_at.app, looked_at.database)


@pytest.fixture(scope="module")
def viewer(
    browser: Browser, looked_at: Server, kept_cookies: Any, guide: Guide
) -> Iterator[Viewer]:
    """Looks at each page once for all the tests."""
    made = Viewer(browser, looked_at, guide, kept_cookies, closely=ONCE.__contains__)
    yield made
    made.close()


@AS_STOPS
def test_it_opens_without_trouble(stop: Stop, viewer: Viewer) -> None:
    """Status 200, nothing on the console, nothing asked of another host."""
    found = viewer.look(stop)
    assert found.status == 200
    assert found.troubles == []


@AS_PAGES
def test_axe_finds_nothing(stop: Stop, viewer: Viewer) -> None:
    """On a phone and on a wide screen, by light and in the dark."""
    found = viewer.look(stop).violations
    assert {way: faults for way, faults in found.items() if faults} == {}
    assert len(found) == 4


@AS_PAGES
def test_nothing_has_to_be_scrolled_sideways(stop: Stop, viewer: Viewer) -> None:
    """Source for 320 px: WCAG 2.2, success criterion 1.4.10 (Reflow)."""
    assert viewer.look(stop).too_wide == {}


@AS_PAGES
def test_a_later_page_is_light(stop: Stop, viewer: Viewer) -> None:
    """Once what can be kept is kept, coming from elsewhere: the bytes still sent."""
    weights = viewer.look(stop).weights
    assert 1_000 < sum(weights.values()) < LATER_PAGE, weights


@pytest.mark.parametrize("stop", ENTRANCES, ids=[stop.name for stop in ENTRANCES])
def test_the_first_load_of_all_is_light(
    stop: Stop, browser: Browser, looked_at: Server, guide: Guide, kept_cookies: Any
) -> None:
    """With nothing kept in the browser: page, style, letters and all."""
    context = browser.new_context(
        base_url=looked_at.address, storage_state=kept_cookies[stop.role], **PHONE.options()
    )
    page = context.new_page()
    scales = Scales(page)
    page.goto(guide.path(stop), wait_until="networkidle")
    weights = scales.read()
    context.close()
    assert any("/static/css/" in address for address in weights)
    assert 2_000 < sum(weights.values()) < FIRST_LOAD, weights


def test_every_page_is_visited(looked_at: Server) -> None:
    """No GET endpoint of the access table is left out."""
    answers = looked_at.app.url_map.iter_rules()
    gets = {rule.endpoint for rule in answers if "GET" in (rule.methods or ())}
    assert gets <= OPEN | SIGNED_IN | ACCESS.keys()
    assert gets - NOT_PAGES.keys() == {stop.endpoint for stop in STOPS}
    assert {stop.role for stop in STOPS} == {None, *Role}
