"""A mock test on the tablet, upright and across: one tap a manoeuvre, and axe in every state."""

from __future__ import annotations

from dataclasses import replace
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from app.rules.accounts.roles import Role
from tests.browser.axe import violations
from tests.browser.conftest import Sitting
from tests.browser.devices import PHONE, TABLET, Device
from tests.browser.pages.mock_test import MockTestPage
from tests.browser.pages.tablet import YardTablet
from tests.browser.pages.yard import Yard
from tests.browser.targets import targets, too_near, too_small
from tests.support.server import Server

pytestmark = pytest.mark.browser

UPRIGHT = replace(TABLET, name="upright tablet", width=800, height=1280)


def check(page: Page) -> None:
    """Fit for gloves, sun and a screen reader."""
    assert violations(page, yard=True) == []
    assert too_small(targets(page)) == []
    assert too_near(targets(page)) == []


@pytest.mark.parametrize("device", [TABLET, UPRIGHT], ids=lambda device: device.name)
def test_a_whole_mock_test(sit_down: Sitting, device: Device) -> None:
    page = sit_down(Role.INSTRUCTOR, device)
    yard, mock = Yard(page), MockTestPage(page)
    yard.open_session("11:00 Harbour yard, 4 riders")
    yard.check_safety()
    mock.begin("left")
    check(page)
    expect(page.get_by_role("button", name="Clean")).to_be_in_viewport(ratio=1)
    mock.fault()
    ridden = list(mock.clean_to_the_end("52"))
    assert (len(ridden), ridden[0]) == (8, "Wheel into the next bay")
    check(page)
    mock.end()
    assert violations(page) == []
    expect(page.get_by_text("Park in the bay:", exact=False).first).to_be_visible()


def test_a_mock_test_goes_on_without_a_network(sit_down: Sitting, school: Server) -> None:
    """Begun with one, then out of reach: a second try, a ride taken back, the page loaded again."""
    page = sit_down(Role.INSTRUCTOR, TABLET)
    tablet, mock = YardTablet(page.context, page), MockTestPage(page)
    Yard(page).open_session("11:00 Harbour yard, 4 riders")
    Yard(page).check_safety()
    mock.begin("left")
    tablet.keep(urlsplit(page.url).path)
    tablet.lose_network()
    mock.fault()
    page.get_by_role("button", name="Take back").tap()
    expect(page.locator("h2.now")).to_have_text("Park in the bay")
    mock.clean()
    page.reload()
    mock.is_live()
    expect(page.locator("h2.now")).to_have_text("Wheel into the next bay")
    ridden = list(mock.clean_to_the_end("40"))
    # The avoidance is not ridden after a failed emergency stop.
    assert ridden[-2:] == ["Emergency stop", "Emergency stop: second try"]
    page.get_by_role("button", name="Go on to the end").tap()
    expect(page.get_by_role("status").filter(has_text="The test ends once")).to_be_visible()
    tablet.find_network()
    expect(page.locator("[data-queue-status]")).to_have_text("All sent")
    mock.end()
    expect(page.get_by_text("not passed", exact=False).first).to_be_visible()


def test_the_student_reads_the_debrief_on_a_phone(sit_down: Sitting) -> None:
    page = sit_down(Role.STUDENT, PHONE)
    page.goto("/mine")
    page.get_by_role("link", name="Mock test,").first.tap()
    expect(page.get_by_role("heading", name="What to practise first")).to_be_visible()
    page.emulate_media(media="print")
    expect(page.get_by_text("use your browser’s print")).to_be_hidden()
    expect(page.locator(".verdict")).to_be_visible()
