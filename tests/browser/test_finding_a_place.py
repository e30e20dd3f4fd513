"""The caller on the line, once the student is found: a place for them by the keyboard alone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import func, select

from app.rules.accounts.roles import Role
from app.rules.diary.values import SessionKind
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from tests.browser.conftest import Sitting
from tests.browser.devices import DESK
from tests.support.server import Server

pytestmark = pytest.mark.browser

STUDENT = "Tobin Larkfield"
MOST_KEYS = 11
"""Under twelve keystrokes from the student's card to the place."""


class Keyboard:
    """A keyboard that counts; each press waits for the page that it leads to."""

    def __init__(self, page: Page) -> None:
        self.page, self.presses = page, 0

    def press(self, key: str, opens: str = "") -> None:
        """Press one key; with ``opens``, be on a page whose address has that at the end."""
        self.presses += 1
        self.page.keyboard.press(key)
        if opens:
            self.page.wait_for_url(re.compile(opens))


def card(page: Page, school: Server) -> int:
    """Open the card of the student, as a search by name does; their id."""
    with school.database.reading() as session:
        student = session.scalars(select(StudentRow.id).where(StudentRow.name == STUDENT)).one()
    page.goto(f"/students/{student}")
    return student


def booked(school: Server, student: int) -> int:
    """How many bookings the student has."""
    with school.database.reading() as session:
        found = select(func.count()).select_from(BookingRow)
        return session.scalar(found.where(BookingRow.student_id == student)) or 0


def test_the_next_place_takes_four_keys(school: Server, sit_down: Sitting) -> None:
    page = sit_down(Role.DESK, DESK)
    student = card(page, school)
    before, keys = booked(school, student), Keyboard(page)
    expect(page.get_by_role("link", name="Find a place")).to_be_focused()
    keys.press("Enter", opens="/find$")
    expect(page.get_by_role("radio", name="Module 1 training")).to_be_focused()
    keys.press("Enter", opens=r"/find\?")
    keys.press("Enter", opens="/book/|/open")
    expect(page.get_by_role("radio", checked=True)).to_be_focused()
    keys.press("Enter")
    expect(page.get_by_role("status")).to_contain_text(f"{STUDENT} is booked on ")
    assert booked(school, student) == before + 1
    assert keys.presses == 4


def test_another_kind_after_a_day_on_a_chosen_bike_stays_under_twelve(
    school: Server, sit_down: Sitting
) -> None:
    page = sit_down(Role.DESK, DESK)
    student = card(page, school)
    before, keys = booked(school, student), Keyboard(page)
    keys.press("Enter", opens="/find$")
    keys.press("ArrowDown")  # CBT comes after module 1
    keys.press("Enter", opens=r"/find\?kind=cbt")
    keys.press("Enter", opens="/book/|/open")
    keys.press("ArrowDown")  # not the bike that is proposed
    keys.press("Enter")
    expect(page.get_by_role("status")).to_contain_text(f"{STUDENT} is booked on ")
    assert booked(school, student) == before + 1
    with school.database.reading() as session:
        latest = session.scalars(select(BookingRow).order_by(BookingRow.id.desc())).first()
        assert latest is not None
        assert session.get_one(SessionRow, latest.session_id).kind is SessionKind.CBT
    assert keys.presses <= MOST_KEYS
