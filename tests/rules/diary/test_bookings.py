"""What may be booked and why not, late cancelling, and who came."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest

from app.rules.categories import Category
from app.rules.diary.bikes import preference, suits
from app.rules.diary.bookings import (
    is_late,
    why_not_book,
    why_not_cancel,
    why_not_change_bike,
    why_not_mark,
)
from app.rules.diary.facts import BikeState, Held, Rider, SessionState
from app.rules.diary.values import BookingState
from tests.rules.diary.facts import BIKE, DAY, LENA, LONDON, NOW, at, held, session


def _said(
    state: SessionState | None = None,
    rider: Rider = LENA,
    bike: BikeState | None = BIKE,
    places: tuple[Held, ...] = (),
) -> list[str]:
    reasons = why_not_book(state or session(), rider, bike, places, NOW, LONDON)
    return [reason.sentence for reason in reasons]


def test_a_free_place_and_a_free_bike_are_booked() -> None:
    assert _said() == []
    assert _said(session(taken=3)) == []
    assert _said(bike=None) == []


def test_a_full_session_is_refused() -> None:
    assert _said(session(taken=4)) == ["This session is full: its 4 places are taken."]
    assert _said(session(taken=1, places=1)) == ["This session is full: its 1 place is taken."]


def test_a_cancelled_session_is_refused() -> None:
    assert _said(session(cancelled=True)) == ["This session has been cancelled."]


@pytest.mark.parametrize(("clock", "over"), [("10:59", False), ("11:00", True), ("12:00", True)])
def test_a_session_takes_someone_late_until_it_is_over(clock: str, over: bool) -> None:
    assert bool(why_not_book(session(), LENA, BIKE, (), at(clock), LONDON)) is over


def test_a_student_has_one_place_in_a_session() -> None:
    places = (held("09:00-11:00", student=True, inside=True),)
    assert _said(session(taken=4), places=places) == [
        "Lena Wren already has a place in this session."
    ]


def test_a_student_is_in_one_session_at_a_time() -> None:
    assert _said(places=(held("10:30-12:00", student=True),)) == [
        "Lena Wren is booked in Short yard on Thu 3 Dec 2026, 10:30 to 12:00."
    ]
    assert _said(places=(held("11:00-12:00", student=True),)) == []


def test_a_bike_is_ridden_by_one_student_at_a_time() -> None:
    assert _said(places=(held("10:30-12:00", bike=True),)) == [
        "Bike 1 is taken by Stan Crake on Thu 3 Dec 2026, 10:30 to 12:00."
    ]
    assert _said(places=(held("09:00-11:00", bike=True, inside=True),))
    assert _said(places=(held("11:00-12:00", bike=True),)) == []


def test_a_student_too_young_for_the_bike_is_told_when_that_changes() -> None:
    """Category A2 starts at 19: DVSA manual for training bodies, direct access."""
    young = replace(LENA, born=DAY.replace(year=DAY.year - 19) + timedelta(days=1))
    young = replace(young, has_guardian=True)
    assert _said(rider=young) == [
        "Lena Wren is too young for Bike 1 then: category A2 is open to them from "
        "Fri 4 Dec 2026 at the earliest."
    ]
    assert _said(rider=replace(young, born=DAY.replace(year=DAY.year - 19))) == []
    assert _said(rider=young, bike=None) == []
    assert _said(rider=replace(young, born=None)) == []


def test_category_a_is_left_open_to_those_who_may_have_had_a2_for_two_years() -> None:
    """At 21 after two years on A2. Whether there were two years is not on file."""
    large, rider = replace(BIKE, category=Category.A), replace(LENA, category=Category.A)
    assert _said(rider=replace(rider, born=date(2005, 12, 3)), bike=large) == []
    (sentence,) = _said(rider=replace(rider, born=date(2005, 12, 4)), bike=large)
    assert "from Fri 4 Dec 2026 at the earliest" in sentence


def test_a_bike_off_the_road_is_refused_with_its_reason() -> None:
    broken = replace(BIKE, off_road_reason="Clutch cable frayed.")
    assert _said(bike=broken) == ["Bike 1 is off the road: Clutch cable frayed."]


@pytest.mark.parametrize(("bike", "student"), list(product(Category, Category)))
def test_a_bike_of_the_own_category_or_a_narrower_one_suits(
    bike: Category, student: Category
) -> None:
    order = ["AM", "A1", "A2", "A"]
    fits = order.index(bike) <= order.index(student)
    assert suits(bike, student) is fits
    said = _said(rider=replace(LENA, category=student), bike=replace(BIKE, category=bike))
    assert bool(said) is not fits


def test_the_own_category_comes_first() -> None:
    ranked = sorted(Category, key=lambda bike: preference(bike, Category.A))
    assert ranked == [Category.A, Category.A2, Category.A1, Category.AM]


def test_nobody_under_18_is_booked_without_a_guardian_on_file() -> None:
    young = replace(LENA, born=date(2008, 12, 4))
    small = replace(BIKE, category=Category.A1)
    assert _said(rider=young, bike=small) == [
        "Lena Wren is under 18 then. Put a guardian’s name and phone on file first."
    ]
    assert _said(rider=replace(young, has_guardian=True), bike=small) == []
    assert _said(rider=replace(young, born=date(2008, 12, 3)), bike=small) == []


def test_every_reason_is_told_at_once() -> None:
    broken = replace(BIKE, off_road_reason="Flat tyre")
    places = (held("10:00-12:00", student=True), held("10:00-12:00", bike=True))
    assert len(_said(session(taken=4), bike=broken, places=places)) == 4


@pytest.mark.parametrize(
    ("hours", "late"), [(49, False), (48, False), (47.99, True), (0, True), (-1, True)]
)
def test_giving_up_a_place_is_late_within_the_notice(hours: float, late: bool) -> None:
    starts = at("09:00")
    assert is_late(starts, starts - timedelta(hours=hours), 48) is late


def test_without_a_notice_rule_only_after_the_start_is_late() -> None:
    assert not is_late(at("09:00"), at("09:00"), 0)
    assert is_late(at("09:00"), at("09:01"), 0)


@pytest.mark.parametrize("state", BookingState)
def test_only_what_is_booked_or_held_can_be_cancelled(state: BookingState) -> None:
    open_still = state in (BookingState.BOOKED, BookingState.HELD)
    assert bool(why_not_cancel(state, session(), NOW)) is not open_still


def test_a_booking_of_a_session_that_is_over_is_not_cancelled_but_marked() -> None:
    (reason,) = why_not_cancel(BookingState.BOOKED, session(), at("11:00"))
    assert "Mark whether the student was here instead." in reason.sentence


@pytest.mark.parametrize(
    ("clock", "wanted", "refused"),
    [
        ("08:00", BookingState.ATTENDED, False),
        ("08:00", BookingState.NO_SHOW, True),
        ("09:00", BookingState.NO_SHOW, False),
        ("12:00", BookingState.ATTENDED, False),
    ],
)
def test_someone_is_here_from_the_day_on_and_missing_from_the_start_on(
    clock: str, wanted: BookingState, refused: bool
) -> None:
    why = why_not_mark(BookingState.BOOKED, wanted, session(), at(clock), LONDON)
    assert bool(why) is refused


def test_nobody_is_marked_before_the_day_or_after_cancelling() -> None:
    here = BookingState.ATTENDED
    assert why_not_mark(BookingState.BOOKED, here, session(), NOW, LONDON)
    assert why_not_mark(BookingState.CANCELLED, here, session(), at("09:00"), LONDON)


def test_a_bike_is_changed_while_the_place_is_held_and_the_session_lasts() -> None:
    def said(state: BookingState, clock: str, *places: Held) -> list[str]:
        why = why_not_change_bike(state, session(), LENA, BIKE, places, at(clock), LONDON)
        return [reason.sentence for reason in why]

    own = held("09:00-11:00", student=True, bike=True, inside=True)
    assert said(BookingState.BOOKED, "08:00", own) == []
    assert said(BookingState.ATTENDED, "10:00", own) == []
    assert said(BookingState.BOOKED, "11:00", own) == ["This session is over."]
    assert said(BookingState.NO_SHOW, "10:00") == ["This booking holds no place any more."]
    taken = held("10:00-12:00", bike=True)
    assert said(BookingState.BOOKED, "08:00", own, taken)[0].startswith("Bike 1 is taken by Stan")
