"""Every page of the demo school, as every role that reaches it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from app.rules.accounts.access import ACCESS, OPEN, SIGNED_IN
from app.rules.accounts.roles import Role
from tests.browser.axe import violations
from tests.browser.devices import DESK, NARROW, PHONE, SCHEMES, TABLET
from tests.browser.watch import Scales, Watch
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


Tabs = dict[Role | None, Page]


def _open_tabs(browser: Browser, at: Server, cookies: Any, **options: Any) -> Tabs:
    opened = {
        role: browser.new_context(
            base_url=at.address, storage_state=state, **PHONE.options(), **options
        )
        for role, state in cookies.items()
    }
    return {role: context.new_page() for role, context in opened.items()}


def _close_tabs(tabs: Tabs) -> None:
    for page in tabs.values():
        page.context.close()


@pytest.fixture(scope="module")
def tabs(browser: Browser, looked_at: Server, kept_cookies: Any) -> Iterator[Tabs]:
    """An open tab for each role, on a phone."""
    opened = _open_tabs(browser, looked_at, kept_cookies)
    yield opened
    _close_tabs(opened)


@pytest.fixture(scope="module")
def wires(browser: Browser, looked_at: Server, kept_cookies: Any) -> Iterator[Tabs]:
    """The same without a service worker: what comes out of its store is not on the wire."""
    opened = _open_tabs(browser, looked_at, kept_cookies, service_workers="block")
    yield opened
    _close_tabs(opened)


@pytest.fixture
def tab(stop: Stop, guide: Guide, tabs: Tabs) -> Page:
    """The tab of the stop's role, open at the stop."""
    page = tabs[stop.role]
    page.set_viewport_size(PHONE.size)
    page.emulate_media(color_scheme="light")
    page.goto(guide.path(stop))
    return page


def _is_yard(page: Page) -> bool:
    return page.locator("body.yard").count() > 0


@AS_STOPS
def test_it_opens_without_trouble(stop: Stop, guide: Guide, tabs: Tabs, looked_at: Server) -> None:
    """Status 200, nothing on the console, nothing asked of another host."""
    page = tabs[stop.role].context.new_page()
    watch = Watch(page, looked_at.address)
    response = page.goto(guide.path(stop))
    page.close()
    assert response is not None
    assert response.status == 200
    assert watch.troubles == []


@AS_STOPS
def test_axe_finds_nothing(stop: Stop, tab: Page) -> None:
    assert violations(tab, yard=_is_yard(tab)) == []


@AS_PAGES
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing_on_a_wide_screen(stop: Stop, tab: Page, scheme: Any) -> None:
    tab.set_viewport_size((TABLET if _is_yard(tab) else DESK).size)
    tab.emulate_media(color_scheme=scheme)
    assert violations(tab, yard=_is_yard(tab)) == []


@AS_PAGES
def test_axe_finds_nothing_in_the_dark(stop: Stop, tab: Page) -> None:
    tab.emulate_media(color_scheme="dark")
    assert violations(tab, yard=_is_yard(tab)) == []


@AS_PAGES
def test_nothing_has_to_be_scrolled_sideways(stop: Stop, tab: Page) -> None:
    """Source for 320 px: WCAG 2.2, success criterion 1.4.10 (Reflow)."""
    for device in (NARROW, PHONE, TABLET, DESK):
        tab.set_viewport_size(device.size)
        width = tab.evaluate("document.documentElement.scrollWidth")
        assert width <= device.width, f"{width} px wide at {device.width}: {_wide(tab)}"


def _wide(page: Page) -> list[str]:
    """The elements that stick out, for the message."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll('body *')]
            .filter(e => e.getBoundingClientRect().right > innerWidth + 1)
            .slice(0, 5).map(e => e.outerHTML.slice(0, 120))"""
    )
    return found


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


@AS_STOPS
def test_a_later_page_is_light(stop: Stop, wires: Tabs, guide: Guide) -> None:
    """Once what can be kept is kept, coming from elsewhere: the bytes still sent."""
    tab = wires[stop.role]
    tab.goto(guide.path(stop))
    tab.goto("about:blank")
    tab.goto(guide.path(stop))
    weights: dict[str, float] = tab.evaluate(
        """() => Object.fromEntries(['navigation', 'resource']
            .flatMap(kind => performance.getEntriesByType(kind))
            .map(entry => [entry.name, entry.transferSize]))"""
    )
    assert 1_000 < sum(weights.values()) < LATER_PAGE, weights


def test_every_page_is_visited(looked_at: Server) -> None:
    """No GET endpoint of the access table is left out."""
    answers = looked_at.app.url_map.iter_rules()
    gets = {rule.endpoint for rule in answers if "GET" in (rule.methods or ())}
    assert gets <= OPEN | SIGNED_IN | ACCESS.keys()
    assert gets - NOT_PAGES.keys() == {stop.endpoint for stop in STOPS}
    assert {stop.role for stop in STOPS} == {None, *Role}
