"""The main job, once through: the desk books, the instructor records, the student practises.

Three people at three devices, each in a browser context of their own.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from app.rules.accounts.roles import Role
from tests.browser.conftest import Sitting
from tests.browser.devices import DESK, PHONE, TABLET
from tests.browser.pages.desk import Desk
from tests.browser.pages.mine import Mine
from tests.browser.pages.yard import Yard
from tests.browser.watch import Watch
from tests.support.clock import Clock
from tests.support.server import Server

pytestmark = pytest.mark.browser

STUDENT, INSTRUCTOR = "Asha Penrow", "Rowan Tice"
DAY, STARTS, ENDS, YARD = "2026-11-26", "13:35", "14:10", "Harbour yard"


def test_the_main_job(school: Server, clock: Clock, sit_down: Sitting) -> None:
    phone = Mine(sit_down(Role.STUDENT, PHONE)).open()
    weak = phone.flags()[0]

    desk = Desk(sit_down(Role.DESK, DESK))
    desk.make_session(DAY, STARTS, ENDS, INSTRUCTOR, YARD)
    bike = desk.book("pen", STUDENT)
    assert STUDENT in desk.riders()
    assert bike in desk.riders()

    clock.forward(hours=4, minutes=45, seconds=30)  # a tablet counts from its own clock
    expect(phone.open().page.locator(".lead").first).to_contain_text(f"{STARTS}: {YARD}")
    expect(phone.page.locator(".lead").first).to_contain_text(bike)
    yard = Yard(sit_down(Role.INSTRUCTOR, TABLET))
    yard.open_session(f"{STARTS} to {ENDS}")
    yard.check_safety()
    yard.pick(STUDENT, weak)
    yard.clean()
    clock.forward(minutes=4)
    fault = yard.first_fault()
    yard.fault()
    clock.forward(minutes=4)
    yard.fault()
    assert yard.rides(STUDENT) == 3

    clock.forward(minutes=10)
    assert weak in phone.open().flags()
    expect(phone.flag(weak)).to_contain_text("Clean looks like:")
    phone.open_flag(weak)
    _check_rides(phone, fault)


def _check_rides(phone: Mine, fault: str) -> None:
    """Behind the flag, the newest session is the one just ridden: two faults after a clean ride."""
    expect(phone.last_session()).to_contain_text(f"Thu 26 Nov 2026, {STARTS}")
    expect(phone.last_session()).to_contain_text(f"recorded by {INSTRUCTOR}")
    third, second, first = phone.rides()
    assert ("13:45" in first, "13:49" in second, "13:53" in third) == (True, True, True)
    assert "Clean" in first
    assert [fault.split(",")[0] in ride for ride in (first, second, third)] == [False, True, True]


def test_a_ride_taken_back_no_longer_counts(clock: Clock, sit_down: Sitting) -> None:
    desk = Desk(sit_down(Role.DESK, DESK))
    desk.make_session(DAY, STARTS, ENDS, INSTRUCTOR, YARD)
    desk.book("pen", STUDENT)
    clock.forward(hours=4, minutes=45)
    yard = Yard(sit_down(Role.INSTRUCTOR, TABLET))
    yard.open_session(f"{STARTS} to {ENDS}")
    yard.check_safety()
    yard.clean()
    assert yard.rides(STUDENT) == 1
    yard.take_back()
    expect(yard.page.get_by_text("Nothing to take back")).to_be_visible()


def test_nobody_meets_trouble_on_the_way(school: Server, sit_down: Sitting) -> None:
    """The three homes, watched: no error, no other host, and no page of another role."""
    for role, device, home in (
        (Role.DESK, DESK, "/desk"),
        (Role.INSTRUCTOR, TABLET, "/yard"),
        (Role.STUDENT, PHONE, "/mine"),
    ):
        page = sit_down(role, device)
        page.wait_for_load_state("networkidle")  # what a next page breaks off is no trouble
        watch = Watch(page, school.address)
        page.goto("/")
        assert page.url == school.address + home
        assert watch.troubles == []
        assert _closed(page, {"/desk", "/yard", "/mine", "/office"} - {home})


def _closed(page: Page, paths: set[str]) -> bool:
    return all(page.request.get(path).status == 403 for path in sorted(paths))
