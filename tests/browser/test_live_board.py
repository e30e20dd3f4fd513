"""The board with its scripts on: fit for gloves and for a screen reader in each of its states."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from app.rules.accounts.roles import Role
from tests.browser.axe import violations
from tests.browser.conftest import Sitting
from tests.browser.devices import SCHEMES, TABLET
from tests.browser.pages.tablet import YardTablet
from tests.browser.targets import targets, too_near, too_small
from tests.browser.yard_session import four_riders
from tests.support.clock import Clock
from tests.support.server import Server

pytestmark = pytest.mark.browser


@pytest.fixture
def tablet(sit_down: Sitting, school: Server, clock: Clock) -> YardTablet:
    """The instructor's tablet on the board of four riders."""
    page = sit_down(Role.INSTRUCTOR, TABLET)
    page.goto(f"/yard/sessions/{four_riders(school.database, clock())}")
    made = YardTablet(page.context, page)
    made.is_live()
    return made


def check(page: Page) -> None:
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        assert violations(page, yard=True) == []
    for size in ({"width": 1280, "height": 800}, {"width": 800, "height": 1280}):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        assert too_small(targets(page)) == []
        assert too_near(targets(page)) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_a_timed_ride_with_a_fault_ticked(tablet: YardTablet) -> None:
    tablet.manoeuvre("Emergency stop")
    tablet.page.get_by_role("button", name="1 more").tap()
    tablet.page.get_by_role("radio", name="Dial").tap()
    tablet.page.locator("summary", has_text="Stopwatch").tap()
    tablet.page.locator(".tick.is-fault input").first.tap()
    rule = tablet.page.locator("#speed-rule")
    expect(rule).to_contain_text("The minimum of 50 km/h (31 mph) is met.")
    expect(rule).to_contain_text("41.8 to 50 km/h (UN Regulation 39)")
    check(tablet.page)


def test_the_stopwatch_gives_a_speed_and_the_rule_answers_at_once(tablet: YardTablet) -> None:
    tablet.manoeuvre("Emergency stop")
    tablet.page.locator("summary", has_text="Stopwatch").tap()
    tablet.page.get_by_role("button", name="Start the watch").tap()
    tablet.page.wait_for_timeout(300)
    tablet.page.get_by_role("button", name="Stop the watch").tap()
    assert 0 < float(tablet.page.get_by_role("spinbutton", name="Speed").input_value()) < 91
    expect(tablet.page.get_by_role("radio", name="Gate")).to_be_checked()
    expect(tablet.page.locator("#speed-rule")).not_to_have_text("")


def test_too_slow_asks_for_a_second_try_and_then_is_serious(tablet: YardTablet) -> None:
    tablet.manoeuvre("Emergency stop")
    for _ in range(2):
        tablet.page.get_by_role("spinbutton", name="Speed").fill("40")
        tablet.page.get_by_role("button", name="Clean", exact=True).tap()
        tablet.page.wait_for_timeout(300)
    expect(tablet.page.locator(".undo")).to_contain_text("too slow, serious")


def test_rides_that_wait_and_the_page_about_them(tablet: YardTablet) -> None:
    tablet.keep("/yard/queue")
    tablet.lose_network()
    tablet.rider(2)
    tablet.clean()
    check(tablet.page)
    tablet.page.get_by_role("button", name="Sign out").tap()
    assert violations(tablet.page, yard=True) == []
    tablet.page.get_by_role("button", name="Stay").tap()
    tablet.page.locator("[data-queue-status] a").tap()
    waiting = tablet.page.locator("[data-queue-list] li")
    when = r"\w{3} \d+ \w{3} \d{4}, \d\d:\d\d"
    expect(waiting).to_have_text(
        re.compile(rf"^\w+ \w+, Park in the bay, {when}, recorded by Rowan Tice$")
    )
    check(tablet.page)


def test_one_press_is_one_ride(tablet: YardTablet) -> None:
    tablet.page.get_by_role("button", name="Clean", exact=True).evaluate(
        "(button) => { button.click(); button.click(); button.click(); }"
    )
    expect(tablet.page.locator("[data-queue-status]")).to_have_text("All sent")
    assert tablet.rides() == 1
