"""The diary on paper: each view on one sheet of A4, across, with names and bikes and no more."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from pypdf import PageObject

from app.rules.accounts.roles import Role
from app.rules.diary.values import SessionKind
from app.store.database import Database
from app.store.diary.tables import SessionRow
from tests.browser.devices import DESK
from tests.browser.pages.diary import Diary
from tests.browser.pages.sign_in import SignInPage
from tests.support import cast
from tests.support.busy import busy_days
from tests.support.clock import LONDON, Clock
from tests.support.databases import SqliteFactory
from tests.support.server import Server, serving

pytestmark = pytest.mark.browser

A4 = (842, 595)
"""Points across and down; ISO 216: 297 mm by 210 mm."""
MONDAY = date(2026, 11, 23)
LONG_DAY = date(2026, 10, 25)
DAY, WEEK = "/sessions/day", "/sessions"
DEMO = [DAY, WEEK, "/desk"] + [
    f"{path}?of={of}"
    for path in (DAY, WEEK)
    for of in ("yards", "bikes", "instructor-1", "yard-1", "bike-9")
]
BUSY = [DAY, WEEK, "/desk"] + [
    f"{path}?of={of}"
    for path in (DAY, WEEK)
    for of in ("yards", "bikes", "instructor-3", "yard-3", "bike-3")
]


@pytest.fixture
def demo(browser: Browser, looked_at: Server, kept_cookies: Any) -> Iterator[Page]:
    """The front desk of the demo school."""
    options = {"base_url": looked_at.address, "storage_state": kept_cookies[Role.DESK]}
    context = browser.new_context(**options, **DESK.options())
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def names() -> list[str]:
    """Who rides in the busy week; filled by the school."""
    return []


@pytest.fixture(scope="module")
def busy(browser: Browser, sqlite_factory: SqliteFactory, names: list[str]) -> Iterator[Page]:
    """The desk of a school whose eight instructors have four full sessions each, every day."""
    url = sqlite_factory.furnished()
    school = Database(url)
    names += busy_days(school, [MONDAY + timedelta(days=n) for n in range(7)])
    _around_the_clock(school, sqlite_factory.people)
    school.close()
    with serving(url, Clock()) as server:
        context = browser.new_context(base_url=server.address, **DESK.options())
        page = context.new_page()
        SignInPage(page).open().enter(cast.EMAILS["desk"], cast.PASSWORD)
        yield page
        context.close()


def _around_the_clock(school: Database, people: cast.Cast) -> None:
    """Something at the very beginning and the very end of the day of 25 hours."""
    where = {"yard_id": people.yard, "instructor_id": people.instructor, "places": 2}
    with school.writing() as session:
        for begins in (time(0), time(23)):
            at = datetime.combine(LONG_DAY, begins, LONDON)
            when = {"starts_at": at, "ends_at": at + timedelta(hours=1)}
            session.add(SessionRow(kind=SessionKind.CBT, **where, **when))


def _one_sheet(page: Page, address: str) -> PageObject:
    sheets = Diary(page).open(address).printed()
    assert len(sheets) == 1, f"{address} prints on {len(sheets)} sheets"
    size = (round(sheets[0].mediabox.width), round(sheets[0].mediabox.height))
    assert size == A4
    return sheets[0]


def _words(sheet: PageObject) -> str:
    return " ".join(sheet.extract_text().split())


@pytest.mark.parametrize("address", DEMO)
def test_the_demo_school_prints_on_one_sheet(demo: Page, address: str) -> None:
    assert "26 Nov 2026" in _words(_one_sheet(demo, address)) or "?of=" in address


@pytest.mark.parametrize("address", BUSY)
def test_a_busy_week_prints_on_one_sheet(busy: Page, address: str) -> None:
    _one_sheet(busy, address)


@pytest.mark.parametrize(
    "address",
    [f"{DAY}?on={LONG_DAY}", f"{DAY}?on={LONG_DAY}&of=yard-1", f"{WEEK}?on={LONG_DAY}&of=yard-1"],
)
def test_a_day_of_25_hours_prints_on_one_sheet(busy: Page, address: str) -> None:
    said = _words(_one_sheet(busy, address))
    assert "01:00 again" in said
    assert "23:00 to 00:00" in said


def test_the_printed_day_has_everyone_with_their_bikes(busy: Page, names: list[str]) -> None:
    said = _words(_one_sheet(busy, DAY)).replace("- ", "-")
    assert names
    assert [name for name in names if said.count(name) < 4] == []
    assert [n for n in range(101, 133) if f"Bike {n}" not in said] == []
    assert "full, 4 of 4" in said


def test_the_printed_day_has_no_phone_number_and_no_buttons(demo: Page) -> None:
    said = _words(_one_sheet(demo, DAY))
    assert "01632" not in said
    assert "@" not in said
    for control in ("Make a session", "Day after", "Sign out", "Go to", "Keys"):
        assert control not in said


def test_the_letters_are_large_enough_to_read(demo: Page, busy: Page) -> None:
    """The usual day in 8 points or more; the busiest we promise in 5 or more: common practice,
    no source."""
    for page, address, least in ((demo, DAY, 8), (busy, DAY, 5), (busy, WEEK, 5)):
        page.goto(address)
        page.emulate_media(media="print")
        sizes = page.evaluate(
            "[...document.querySelectorAll('#grid td a')].map("
            "a => parseFloat(getComputedStyle(a).fontSize) * 0.75)"
        )
        page.emulate_media(media="screen")
        assert min(sizes) >= least - 0.05


def test_what_is_taken_and_what_is_free_differ_without_colour(demo: Page) -> None:
    """Taken places are drawn by a border that prints although grounds do not."""
    demo.goto(DAY)
    demo.emulate_media(media="print")
    widths = {
        kind: demo.locator(f"#grid .seats .{kind}").first.evaluate(
            "seat => parseFloat(getComputedStyle(seat).borderTopWidth)"
        )
        for kind in ("is-taken", "is-open")
    }
    demo.emulate_media(media="screen")
    assert widths["is-taken"] > 2 * widths["is-open"]
