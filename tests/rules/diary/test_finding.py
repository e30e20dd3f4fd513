"""The order of the places that are found, what is said of them, and what is said when none is."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from hypothesis import given, settings

from app.rules.categories import Category
from app.rules.diary.facts import Rider
from app.rules.diary.finding import Found, find, is_settled
from app.rules.diary.finding_facts import Horizon, Listed, Taking, Wish, horizon_of
from app.rules.diary.finding_openings import openings
from app.rules.diary.finding_places import Place, places_in_sessions
from app.rules.diary.finding_unlocks import soonest
from app.rules.diary.school_days import InstructorDays, SchoolCalendar
from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import Authorisation
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.words import moment_words
from tests.rules.diary.horizons import (
    FIRST,
    LAST,
    LEFT,
    NOW,
    ZONE,
    bike,
    horizons,
    instructor,
    listed,
    wishes,
    yard,
)

MONDAY, TUESDAY = FIRST + timedelta(days=2), FIRST + timedelta(days=3)
WEEKDAYS = tuple(WeeklyHours(day, time(9), time(17)) for day in range(5))
LENA = Wish(
    student_id=1,
    rider=Rider("Lena Wren", Category.A2, date(1998, 5, 17), has_guardian=False),
    kind=SessionKind.MODULE_1,
    first_day=FIRST,
    last_day=LAST,
)


def at(day: date, clock: str) -> datetime:
    """A moment by the school's clock."""
    return datetime.combine(day, time.fromisoformat(clock), ZONE).astimezone(UTC)


def diary(
    *sessions: Listed, takings: tuple[Taking, ...] = (), off: str | None = None, **days: Any
) -> Horizon:
    """A school that is open on weekdays from 9 to 17, with Ines alone and one A2 bike."""
    calendar = SchoolCalendar(hours=WEEKDAYS, instructors={1: InstructorDays("Ines Heron", **days)})
    return horizon_of(
        (FIRST, LAST),
        sessions,
        takings,
        [yard(1, "Long yard"), yard(2, "Short yard", 2, left=False)],
        [instructor(1, "Ines Heron")],
        [bike(1, Category.A2, off)],
        calendar,
    )


def search(horizon: Horizon, **changes: Any) -> Found:
    """What is found for Lena."""
    return find(replace(LENA, **changes), horizon, NOW, ZONE)


def starts(found: Found) -> list[str]:
    """When the places begin, with a star for a session that has to be made."""
    return [
        moment_words(place.span.starts_at, ZONE) + (" *" if place.is_opening else "")
        for place in found.places
    ]


def test_a_session_that_has_to_be_made_stands_a_day_further_down() -> None:
    found = search(diary(listed(1, at(TUESDAY, "09:00"), 120)))
    assert starts(found) == [
        "Tue 27 Oct 2026, 09:00",
        "Mon 26 Oct 2026, 09:00 *",
        "Tue 27 Oct 2026, 11:00 *",
    ]
    later = search(diary(listed(1, at(TUESDAY, "09:15"), 120)))
    assert starts(later)[:2] == ["Mon 26 Oct 2026, 09:00 *", "Tue 27 Oct 2026, 09:15"]


def test_the_soonest_of_all_is_called_so_wherever_it_stands() -> None:
    found = search(diary(listed(1, at(MONDAY, "15:00"), 120)))
    assert [place.reasons[:1] == ("The soonest.",) for place in found.places] == [
        False,
        True,
        False,
    ]


def test_a_yard_without_what_must_be_practised_stands_lower_with_the_reason() -> None:
    horizon = diary(
        listed(1, at(MONDAY, "09:00"), 120, yard_id=2, places=2),
        listed(2, at(TUESDAY, "15:00"), 120),
    )
    found = search(horizon, needs=(LEFT,))
    assert [place.session_id for place in found.places if not place.is_opening] == [2, 1]
    (lower,) = [place for place in found.places if place.session_id == 1]
    assert lower.reasons == (
        "The soonest.",
        "Hazard avoidance, left cannot be ridden there. This yard has no safe way out to the left.",
        "No direct access authorisation of Ines Heron is on file.",
    )
    (upper,) = [place for place in found.places if place.session_id == 2]
    assert "All that is flagged can be ridden there." in upper.reasons
    ticked = search(horizon, needs=(LEFT,), only_rideable=True)
    assert all(place.yard_id == 1 for place in ticked.places)


def test_a_narrower_bike_is_proposed_and_told() -> None:
    horizon = diary(listed(1, at(MONDAY, "09:00"), 120))
    wide = replace(LENA.rider, category=Category.A)
    (first, *_) = search(horizon, rider=wide).places
    assert (first.bike_id, first.bike_category) == (1, Category.A2)
    assert "The best bike to give then is category A2." in first.reasons


def test_an_authorisation_on_file_needs_no_word() -> None:
    horizon = diary(
        listed(1, at(MONDAY, "09:00"), 120), authorisations={Authorisation.DIRECT_ACCESS: LAST}
    )
    assert search(horizon).places[0].reasons == ("The soonest.",)


def test_where_no_hours_are_on_file_nothing_is_proposed_at_night() -> None:
    horizon = replace(diary(), calendar=SchoolCalendar())
    clocks = {place.span.starts_at.astimezone(ZONE).time() for place in search(horizon).places}
    assert clocks == {time(9, 15), time(8)}  # on the first day it is past nine already


def full(number: int, day: date, clock: str = "09:00", minutes: int = 480) -> Listed:
    """A session of one place that takes Ines all day."""
    return listed(number, at(day, clock), minutes, places=1)


def test_what_stood_in_the_way_is_counted() -> None:
    horizon = diary(
        full(1, MONDAY),
        full(2, TUESDAY),
        takings=(Taking(1, 1, 7, None), Taking(2, 2, 8, None)),
    )
    found = search(horizon)
    assert found.places == ()
    assert found.why_not == (
        "2 sessions are full.",
        "The school is closed on every Saturday.",
        "The school is closed on every Sunday.",
        "Every instructor who works then is busy on Mon 26 Oct 2026 and Tue 27 Oct 2026.",
    )
    assert found.unlocks == ()


SAID: dict[str, tuple[dict[str, Any], str]] = {
    "time": ({"begins": time(16), "ends": time(17)}, "1 session is at another time than asked."),
    "length": ({"minutes": 300}, "1 session is shorter than 300 minutes."),
    "yard": ({"yard_id": 2}, "1 session is in another yard."),
    "kind": ({"kind": SessionKind.ROAD}, "No session for this is in the diary: Road training."),
    "past": ({"first_day": NOW.date() - timedelta(days=3), "last_day": FIRST - timedelta(days=1)},
             "None of the days asked for is still to come."),
    "young": ({"rider": replace(LENA.rider, born=date(2010, 1, 1))},
              "1 session is closed to Lena Wren until a guardian is on file."),
    "narrow": ({"rider": replace(LENA.rider, category=Category.A1)},
               "No bike for category A1 is free on Mon 26 Oct 2026."),
    "too young": ({"rider": replace(LENA.rider, born=date(2008, 5, 1))},
                  "1 session: Lena Wren is too young for Bike 1 then: category A2 is open to "
                  "them from Sat 1 May 2027 at the earliest."),
}  # fmt: skip


@pytest.mark.parametrize("what", SAID)
def test_each_obstacle_has_its_sentence(what: str) -> None:
    changes, sentence = SAID[what]
    horizon = diary(full(1, MONDAY, "10:00", 120), hours=(WeeklyHours(0, time(9), time(13)),))
    assert sentence in search(horizon, **changes).why_not


def test_somebody_who_is_busy_then_is_told_so() -> None:
    horizon = diary(full(1, MONDAY), takings=(Taking(1, 1, LENA.student_id, None),))
    said = search(horizon, last_day=MONDAY, own_bike=True).why_not
    assert "1 session is at a time at which Lena Wren has a place already." in said


def test_an_instructor_who_never_works_then_is_named() -> None:
    horizon = diary(hours=(WeeklyHours(1, time(9), time(17)),))
    found = search(horizon, last_day=MONDAY, instructor_id=1)
    assert "Ines Heron works on no Monday." in found.why_not


def test_a_closure_is_told_by_its_day() -> None:
    horizon = diary()
    closed = replace(horizon.calendar, closures=(DaysOut(MONDAY, MONDAY, "Resurfacing"),))
    found = search(replace(horizon, calendar=closed), last_day=MONDAY)
    assert "The school or the yard is closed on Mon 26 Oct 2026." in found.why_not


UNLOCKS: dict[str, tuple[dict[str, Any], dict[str, Any], str]] = {
    "weekday": ({}, {"weekdays": frozenset({5, 6})},
                "If Mondays were possible: Mon 26 Oct 2026, 09:00, Long yard with Ines Heron."),
    "time": ({}, {"begins": time(16), "ends": time(17)},
             "At any time of day: Mon 26 Oct 2026, 09:00, Long yard with Ines Heron."),
    "length": ({}, {"begins": time(15, 30), "ends": time(16, 30)},
               "If 60 minutes were enough: Mon 26 Oct 2026, 15:30, Long yard with Ines Heron."),
    "later": ({}, {"last_day": FIRST},
              "If it could be later: Mon 26 Oct 2026, 09:00, Long yard with Ines Heron."),
    "bike": ({"off": "Clutch cable frayed"}, {},
             "If Bike 1 were back on the road: Mon 26 Oct 2026, 09:00, Long yard with Ines Heron."),
    "own bike": ({"off": "Clutch cable frayed"}, {},
                 "On their own bike: Mon 26 Oct 2026, 09:00, Long yard with Ines Heron."),
    "need": ({}, {"needs": (LEFT,), "only_rideable": True, "yard_id": 2},
             "In a yard where not all that is flagged can be ridden: "
             "Mon 26 Oct 2026, 09:00, Short yard with Ines Heron."),
    "yard": ({}, {"needs": (LEFT,), "only_rideable": True, "yard_id": 2},
             "Not only in Short yard: Mon 26 Oct 2026, 09:00, Long yard with Ines Heron."),
    "guardian": ({}, {"rider": replace(LENA.rider, category=Category.A1, born=date(2010, 1, 1)),
                      "own_bike": True},
                 "A guardian on file would open an opening. The soonest: "
                 "Mon 26 Oct 2026, 09:00, Long yard with Ines Heron."),
}  # fmt: skip


@pytest.mark.parametrize("what", UNLOCKS)
def test_what_would_help_is_searched_for_and_named(what: str) -> None:
    school, changes, sentence = UNLOCKS[what]
    found = search(diary(**school), **changes)
    assert found.places == ()
    assert sentence in found.unlocks


def test_nothing_is_explained_that_nobody_asked_for() -> None:
    assert find(LENA, diary(off="Clutch cable frayed"), NOW, ZONE, explain=False) == Found(())


def test_what_would_not_help_is_not_named() -> None:
    horizon = diary(off="Clutch cable frayed", hours=(WeeklyHours(1, time(9), time(17)),))
    found = search(horizon, last_day=MONDAY, begins=time(9))
    assert not any("back on the road" in sentence for sentence in found.unlocks)


@settings(max_examples=100, deadline=None)
@given(horizons(), wishes())
def test_nothing_is_said_to_fit_only_when_nothing_does(horizon: Horizon, wish: Wish) -> None:
    found = find(wish, horizon, NOW, ZONE)
    there: list[Place] = [
        *places_in_sessions(wish, horizon, NOW, ZONE),
        *openings(wish, horizon, NOW, ZONE),
    ]
    assert bool(found.places) == bool(there)
    assert bool(found.why_not) == (not there)
    assert {replace(place, reasons=()) for place in found.places} <= set(there)
    first = soonest(wish, horizon, NOW, ZONE)
    assert (first is None) == (not there)
    if first is not None:
        assert first.span.starts_at == min(place.span.starts_at for place in there)


def test_enough_places_close_by_are_settled_whatever_comes_later() -> None:
    """Eight sessions on Monday, and Teacher 1 free for an hour three times each day."""
    sessions = [listed(n, at(MONDAY, "09:00"), 60, instructor_id=n + 1) for n in range(1, 9)]
    hours = (WeeklyHours(day, time(h), time(h + 1)) for day in range(7) for h in (9, 11, 13))
    days = {n: InstructorDays(f"Teacher {n}", WEEKDAYS[:1]) for n in range(2, 10)}
    calendar = SchoolCalendar(instructors={1: InstructorDays("Teacher 1", tuple(hours)), **days})
    horizon = horizon_of(
        (FIRST, FIRST + timedelta(days=9)),
        sessions,
        (),
        [yard(1, "Long yard", 40)],
        [instructor(n, f"Teacher {n}") for n in range(1, 10)],
        [bike(n, Category.A2) for n in range(1, 4)],
        calendar,
    )
    whole = replace(LENA, minutes=60, last_day=horizon.last_day)
    settled = []
    for ahead in range(9):
        near = replace(whole, last_day=FIRST + timedelta(days=ahead))
        found = find(near, horizon, NOW, ZONE)
        settled.append(is_settled(found, near.last_day, ZONE))
        assert not settled[-1] or found == find(whole, horizon, NOW, ZONE)
    assert settled == [False, False, False] + 6 * [True]
    fewer = horizon.without_session(1)
    assert not is_settled(find(whole, fewer, NOW, ZONE), horizon.last_day, ZONE)
