"""The diary in Chromium: by the keys, without scripts, to scale, on a phone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from app.rules.accounts.roles import Role
from tests.browser.axe import colour_violations, violations
from tests.browser.devices import DESK, PHONE, TABLET, Device
from tests.browser.pages.diary import Diary
from tests.browser.watch import Watch
from tests.support.server import Server

pytestmark = pytest.mark.browser

DAY, WEEK = "/sessions/day", "/sessions"
VIEWS = [
    f"{path}?of={of}"
    for path in (DAY, WEEK)
    for of in ("yards", "bikes", "instructor-1", "yard-1", "bike-9")
]


@pytest.fixture
def desk(browser: Browser, looked_at: Server, kept_cookies: Any) -> Iterator[Page]:
    """The front desk's screen, signed in, in the school that is only looked at."""
    options = {"base_url": looked_at.address, "storage_state": kept_cookies[Role.DESK]}
    context = browser.new_context(**options, **DESK.options())
    yield context.new_page()
    context.close()


def test_the_arrows_go_from_session_to_session(desk: Page) -> None:
    diary = Diary(desk).open(DAY)
    first = diary.spots.first
    first.focus()
    assert diary.focused() == "free 08:30 to 09:00"
    assert diary.press("ArrowDown").focused() == "09:00 to 11:00"
    name = diary.column()
    assert diary.press("ArrowRight").focused() == "09:00 to 11:00"
    assert diary.column() != name
    assert diary.press("ArrowLeft").column() == name
    assert diary.press("Home").focused() == "free 08:30 to 09:00"
    assert diary.press("End").focused() == diary.spots.last.inner_text().replace("\n", " ")


def test_the_grid_is_one_stop_for_tab_and_its_riders_the_next(desk: Page) -> None:
    diary = Diary(desk).open(DAY)
    diary.spots.first.focus()
    diary.press("ArrowDown")
    riders = desk.locator("td:has(a:focus) .board-riders a")
    names = riders.all_inner_texts()
    assert names
    for name in names:
        assert diary.press("Tab").focused() == name
    diary.press("Tab")
    assert desk.evaluate("document.activeElement.closest('#grid')") is None


def test_page_down_and_page_up_change_the_day(desk: Page) -> None:
    diary = Diary(desk).open(DAY)
    diary.spots.first.focus()
    diary.press("PageDown")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Fri 27 Nov 2026")
    expect(diary.spots.first).to_be_focused()
    diary.press("PageUp")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Thu 26 Nov 2026")


def test_a_closed_day_can_be_left_by_the_same_keys(desk: Page) -> None:
    diary = Diary(desk).open(f"{DAY}?on=2026-11-29")
    diary.spots.first.focus()
    diary.press("PageDown")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Mon 30 Nov 2026")
    expect(desk.locator("#grid")).to_be_focused()
    diary.press("PageDown")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Tue 1 Dec 2026")


def test_no_key_means_anything_outside_the_grid(desk: Page) -> None:
    """WCAG 2.2, success criterion 2.1.4: such a key works only while its part has the focus."""
    diary = Diary(desk).open(DAY)
    before = desk.url
    diary.press("PageDown", "ArrowDown", "Home", "End")
    desk.get_by_label("Show").focus()
    diary.press("PageDown", "End")
    desk.wait_for_timeout(300)
    assert desk.url == before
    assert desk.evaluate("document.activeElement.id") == "of"


def test_enter_opens_a_session_to_book_into(desk: Page) -> None:
    diary = Diary(desk).open(f"{DAY}?on=2026-11-28")
    free = diary.page.locator(".is-block:not(.is-full) .spot").first
    free.focus()
    diary.press("Enter")
    expect(desk.get_by_role("heading", name="Book a student")).to_be_visible()
    expect(desk.get_by_label("Who comes")).to_be_focused()


def test_a_free_time_makes_a_session_then(desk: Page) -> None:
    diary = Diary(desk).open(DAY)
    free = diary.page.locator(".is-free .spot", has_text="free 11:00").first
    free.focus()
    diary.press("Enter")
    expect(desk.get_by_label("Starts")).to_have_value("11:00")
    expect(desk.get_by_label("Day")).to_have_value("2026-11-26")


def test_the_keys_are_told(desk: Page) -> None:
    Diary(desk).open(DAY)
    desk.get_by_text("Keys", exact=True).click()
    expect(desk.get_by_text("Page Up, Page Down")).to_be_visible()


def test_without_scripts_the_keyboard_does_all_of_it(
    browser: Browser, looked_at: Server, kept_cookies: Any
) -> None:
    options = {"base_url": looked_at.address, "storage_state": kept_cookies[Role.DESK]}
    context = browser.new_context(**options, **DESK.options(), java_script_enabled=False)
    diary = Diary(context.new_page()).open(DAY)
    expect(diary.page.get_by_text("Keys", exact=True)).to_be_hidden()
    diary.page.get_by_label("Go to").fill("2026-12-03")
    diary.page.get_by_label("Show").select_option(label="Harbour yard")
    diary.page.get_by_label("Show").press("Tab")
    diary.press("Enter")
    expect(diary.page.get_by_role("heading", level=1)).to_have_text("Thu 3 Dec 2026, Harbour yard")
    diary.page.get_by_role("link", name="Day before").press("Enter")
    assert diary.heading() == "Wed 2 Dec 2026, Harbour yard"
    spot = diary.spots.first
    spot.press("Enter")
    expect(diary.page.get_by_role("heading", level=1)).not_to_have_text("Wed 2 Dec 2026")
    context.close()


_TOPS = """() => {
    const heads = Object.fromEntries([...document.querySelectorAll('#grid tbody th')].map(
        th => [th.textContent.trim(), th.getBoundingClientRect().top]));
    return [...document.querySelectorAll('#grid .is-block')].map(td => [
        td.querySelector('.spot').textContent.trim(), td.getBoundingClientRect().top,
        td.getBoundingClientRect().bottom, heads]);
}"""


@pytest.mark.parametrize("address", [DAY, f"{WEEK}?of=instructor-1", f"{DAY}?of=yards"])
def test_each_session_reaches_from_its_beginning_to_its_end(desk: Page, address: str) -> None:
    Diary(desk).open(address)
    blocks = desk.evaluate(_TOPS)
    assert blocks
    for words, top, bottom, heads in blocks:
        begins, ends = words.split(" to ")
        assert abs(heads[begins] - top) <= 3, words
        assert abs(heads[ends] - bottom) <= 3, words


def test_on_a_phone_the_day_is_a_list_by_time(desk: Page) -> None:
    diary = Diary(desk)
    desk.set_viewport_size(PHONE.size)
    diary.open(DAY)
    shown = [spot.inner_text() for spot in diary.spots.all() if spot.is_visible()]
    starts = [words.removeprefix("free").split()[0] for words in shown]
    assert starts == sorted(starts)
    boxes = [spot.bounding_box() for spot in diary.spots.all()]
    tops = [box["y"] for box in boxes if box]
    assert tops == sorted(tops)
    expect(desk.locator("#grid td.is-closed").first).to_be_hidden()


def test_the_week_of_one_is_a_list_by_day_on_a_phone(desk: Page) -> None:
    desk.set_viewport_size(PHONE.size)
    Diary(desk).open(f"{WEEK}?of=instructor-1")
    expect(desk.locator(".time-grid")).to_be_hidden()
    expect(desk.locator(".week-list h2")).to_have_count(7)


@pytest.mark.parametrize("address", VIEWS)
def test_axe_finds_nothing_in_the_narrowed_views(
    desk: Page, looked_at: Server, address: str
) -> None:
    watch = Watch(desk, looked_at.address)
    for device in (PHONE, DESK):
        desk.set_viewport_size(device.size)
        desk.emulate_media(color_scheme="light")
        desk.goto(address)
        assert violations(desk) == [], device.name
        desk.emulate_media(color_scheme="dark")
        assert colour_violations(desk) == [], device.name
        assert _sideways(desk, device) == 0
    assert watch.troubles == []


@pytest.mark.parametrize("device", [PHONE, TABLET, DESK], ids=lambda device: device.name)
def test_nothing_sticks_out_of_a_day(desk: Page, device: Device) -> None:
    desk.set_viewport_size(device.size)
    Diary(desk).open(DAY)
    assert _sideways(desk, device) == 0


def _sideways(page: Page, device: Device) -> int:
    wide: int = page.evaluate("document.documentElement.scrollWidth")
    return max(0, wide - device.width)
