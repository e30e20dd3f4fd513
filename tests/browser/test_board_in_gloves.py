"""The board under a glove: how big and how far apart its controls are, and where they stay."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from app.rules.accounts.roles import Role
from tests.browser.conftest import WAIT_MS
from tests.browser.devices import TABLET, Device
from tests.browser.pages.sign_in import SignInPage
from tests.browser.pages.yard import Yard
from tests.browser.targets import targets, too_near, too_small
from tests.support import demo
from tests.support.clock import Clock
from tests.support.demo import DemoFactory
from tests.support.server import serving

pytestmark = pytest.mark.browser

UPRIGHT = replace(TABLET, name="upright", width=800, height=1280)


@pytest.fixture(scope="module", params=[TABLET, UPRIGHT], ids=["flat", "upright"])
def tablet(
    request: pytest.FixtureRequest, browser: Browser, demo_factory: DemoFactory
) -> Iterator[Page]:
    """A tablet with the instructor's session open and checked, held one way for all its tests."""
    device: Device = request.param
    with serving(demo_factory.fresh(), Clock()) as school:
        context = browser.new_context(base_url=school.address, **device.options())
        context.set_default_timeout(WAIT_MS)
        page = context.new_page()
        SignInPage(page).open().enter(demo.sign_ins()[Role.INSTRUCTOR], demo.PASSWORD)
        page.goto("/yard")
        page.locator("main a.press").first.tap()
        Yard(page).check_safety()
        yield page
        context.close()


@pytest.fixture
def board(tablet: Page) -> Page:
    """The board open afresh on the emergency stop, which has the most on it."""
    path = tablet.url
    tablet.goto("about:blank")  # a page that is only loaded again keeps how far it was scrolled
    tablet.goto(path)
    keys = tablet.get_by_role("navigation", name="Manoeuvres")
    keys.get_by_role("link", name="Emergency stop").tap()
    expect(tablet.get_by_role("heading", name="Emergency stop")).to_be_visible()
    live = tablet.get_by_role("button", name="Clean", exact=True)
    expect(live).to_have_attribute("type", "button")  # the scripts have taken the board over
    return tablet


def test_every_control_is_large_and_stands_apart(board: Page) -> None:
    board.locator(".tick.is-fault input").first.check()
    board.get_by_text("More faults").tap()
    found = targets(board)
    assert len(found) > 30
    assert too_small(found) == []
    assert too_near(found) == []


def test_what_a_ride_is_recorded_with_is_on_the_screen_at_once(board: Page) -> None:
    screen = board.viewport_size
    assert screen is not None
    for place in (".riders", ".undo", ".is-keys", ".record", ".mores"):
        box = board.locator(place).first.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= screen["height"], place
        assert box["x"] + box["width"] <= screen["width"], place


def test_the_record_button_stands_where_clean_stood(board: Page) -> None:
    clean = board.get_by_role("button", name="Clean", exact=True).bounding_box()
    board.locator(".tick.is-fault input").first.check()
    expect(board.get_by_role("button", name="Clean", exact=True)).to_be_hidden()
    assert board.get_by_role("button", name="Record the fault").bounding_box() == clean


def test_the_first_tap_on_a_speed_is_the_minimum_and_not_measured_clears_it(board: Page) -> None:
    figure = board.get_by_role("spinbutton", name="Speed")
    expect(figure).to_have_value("")
    board.get_by_role("button", name="1 more").tap()
    expect(figure).to_have_value("50")
    expect(board.get_by_role("radio", name="Gate")).to_be_checked()
    board.get_by_role("button", name="1 less").tap()
    expect(figure).to_have_value("49")
    board.get_by_role("radio", name="Not measured").tap()
    expect(figure).to_have_value("")


def test_enter_in_the_speed_records_nothing(board: Page) -> None:
    board.get_by_role("spinbutton", name="Speed").fill("51")
    board.keyboard.press("Enter")
    expect(board.get_by_text("Nothing to take back")).to_be_visible()
    expect(board.get_by_role("spinbutton", name="Speed")).to_have_value("51")


def _box(control: Locator) -> Any:
    """Where it is drawn. It may be drawn anew while it is looked for."""
    for _ in range(20):
        box = control.bounding_box()
        if box is not None:
            return box
        control.page.wait_for_timeout(50)
    return None


def test_a_ride_with_much_to_say_moves_nothing(board: Page) -> None:
    keys = _box(board.locator(".is-keys"))
    board.get_by_role("spinbutton", name="Speed").fill("49")
    for tick in board.locator(".tick.is-fault input").all()[:4]:
        tick.check()
    board.get_by_role("button", name="Record the fault").tap()
    undo = board.get_by_role("button", name="Take back")
    expect(undo).to_contain_text("too slow, riding")
    assert _box(board.locator(".is-keys")) == keys
    undo.tap()
    expect(board.get_by_text("Nothing to take back")).to_be_visible()


def test_undo_stays_where_it_was_and_a_second_tap_there_does_nothing(board: Page) -> None:
    place = board.locator(".undo").bounding_box()
    board.get_by_role("button", name="Clean", exact=True).tap()
    undo = board.get_by_role("button", name="Take back")
    expect(undo).to_be_visible()
    assert _box(undo) == place
    undo.tap()
    empty = board.locator(".undo").filter(has_text="Nothing to take back")
    expect(empty).to_be_visible()
    expect(board.get_by_text("All sent")).to_be_visible()  # after which nothing is drawn again
    board.wait_for_load_state("networkidle")
    assert _box(empty) == place
