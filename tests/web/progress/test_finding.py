"""Find a place: the caller on the line, what they want, and the soonest that fits."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time, timedelta
from typing import Any

import pytest
from sqlalchemy import func, select, update

from app.rules.diary.values import BookingState, SessionKind
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.clock import START
from tests.support.diary import TOMORROW, add_session, add_students, book, fill
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, past_session, record, timed, variant

Visit = Callable[[str | None], Visitor]
WEEKDAYS = [str(day) for day in range(7)]


def asked(student: int, **changes: Any) -> str:
    """The address of a search: module 1 training on any day of four weeks, with some changes."""
    usual: dict[str, Any] = {
        "kind": "module_1",
        "bike": "ours",
        "first_day": "2026-11-26",
        "last_day": "2026-12-23",
        "weekdays": WEEKDAYS,
        "instructor_id": 0,
        "yard_id": 0,
    }
    pairs = [
        f"{name}={value}"
        for name, values in {**usual, **changes}.items()
        for value in (values if isinstance(values, list) else [values])
    ]
    return f"/students/{student}/find?{'&'.join(pairs)}"


def focused(page: Page) -> list[str]:
    """The addresses of the links that the keyboard starts at."""
    return [a.get("href") or "" for a in page.tree.iter("a") if a.get("autofocus") is not None]


def places(page: Page) -> list[str]:
    """The lines of the places that were found."""
    return [" ".join("".join(li.itertext()).split()) for li in page.tree.iterfind(".//ol/li")]


def bookings(database: Database) -> int:
    """How many bookings there are."""
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(BookingRow)) or 0


def test_a_place_is_found_and_booked_by_enter_alone(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    desk = visit("desk")
    (find,) = focused(desk.get(f"/students/{people.learner}"))
    empty = desk.get(find)
    (first_field,) = [n for n in empty.tree.iter("input") if n.get("autofocus") is not None]
    assert (first_field.get("name"), first_field.get("value")) == ("kind", "module_1")
    found = desk.get(asked(people.learner))
    (first,) = focused(found)
    assert first == f"/sessions/{training}/book/{people.learner}?bike={people.bike}"
    answer = desk.submit(desk.get(first))
    assert "Lena Wren is booked on Bike 1." in answer.text
    with database.reading() as session:
        made = session.scalars(select(BookingRow).where(BookingRow.session_id == training)).one()
    assert (made.student_id, made.bike_id) == (people.learner, people.bike)


def test_the_page_answers_before_anything_is_asked(
    visit: Visit, database: Database, people: Cast
) -> None:
    add_session(database, people)
    page = visit("desk").get(f"/students/{people.learner}/find")
    assert page.heading == "Find a place for Lena Wren"
    first, second = places(page)[:2]
    assert first.startswith("Book Fri 27 Nov 2026, 09:00")
    assert "Long yard with Ines Heron until 11:00, Bike 1" in first
    assert second.startswith("Make a session Thu 26 Nov 2026, 11:00")
    assert "The soonest." in second


def test_an_opening_is_made_and_booked_in_one_go(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    day = {"first_day": TOMORROW, "last_day": TOMORROW, "begins": "10:00", "minutes": 90}
    (first,) = focused(desk.get(asked(people.learner, kind="cbt", **day)))
    page = desk.get(first)
    assert page.heading == "Make a session for Lena Wren"
    assert "Fri 27 Nov 2026, 10:00: CBT with Ines Heron in Long yard" in page.text
    assert "A new session with 4 places" in page.text
    answer = desk.submit(page)
    assert "The session is made, and Lena Wren is booked on Bike 1." in answer.text
    with database.reading() as session:
        row, booking = session.execute(
            select(SessionRow, BookingRow)
            .join(BookingRow, BookingRow.session_id == SessionRow.id)
            .where(SessionRow.kind == SessionKind.CBT)
        ).one()
    assert (row.ends_at - row.starts_at, row.places) == (timedelta(minutes=90), 4)
    assert (booking.student_id, booking.state) == (people.learner, BookingState.BOOKED)


def test_an_opening_that_was_taken_meanwhile_is_refused(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    day = {"first_day": TOMORROW, "last_day": TOMORROW, "begins": "09:00"}
    address = asked(people.learner, instructor_id=people.instructor, **day)
    (first,) = focused(desk.get(address))
    page = desk.get(first)
    add_session(database, people, starts=time(10), ends=time(12))
    before = bookings(database)
    answer = desk.submit(page, status=422)
    assert "Ines Heron already has a session in Long yard on Fri 27 Nov 2026" in answer.text
    assert bookings(database) == before
    again = desk.get(first)
    assert "This session cannot be made any more:" in again.text


@pytest.mark.parametrize(
    "wrong",
    ["kind=tea", "at=noon", "at=2026-11-27T10:00:00", "at=9999-12-31T23:59:00%2B00:00",
     "yard=0", "instructor=", "minutes=99999999999"],
)  # fmt: skip
def test_an_opening_that_cannot_be_read_asks_again(visit: Visit, people: Cast, wrong: str) -> None:
    known = {
        "kind": "cbt",
        "at": "2026-11-27T10:00:00%2B00:00",
        "minutes": "60",
        "yard": people.yard,
        "instructor": people.instructor,
    }
    name, value = wrong.split("=")
    query = "&".join(f"{key}={word}" for key, word in {**known, name: value}.items())
    page = visit("desk").get(f"/students/{people.learner}/open?{query}")
    assert page.heading == "Find a place for Lena Wren"


REFUSALS: dict[str, tuple[dict[str, Any], str]] = {
    "a day gone": ({"first_day": "2026-11-25"}, "This day is over."),
    "no day": ({"last_day": ""}, "Write a day."),
    "no such day": ({"first_day": "2026-02-30"}, "Write a day that exists"),
    "years ahead": ({"first_day": "2031-01-01", "last_day": "2031-01-02"}, "Check the year."),
    "backwards": ({"last_day": "2026-11-20"}, "The last day comes before the first."),
    "too long": ({"last_day": "2027-03-01"}, "At most 90 days are looked through."),
    "no weekday": ({"weekdays": []}, "Tick at least one day of the week."),
    "a false weekday": ({"weekdays": ["9"]}, "Choose one from the list."),
    "times": ({"begins": "14:00", "ends": "12:00"}, "This has to be later"),
    "no time": ({"begins": "25:00"}, "Write a time of day"),
    "short": ({"minutes": "5"}, "at least 15 minutes"),
    "long": ({"minutes": "1140"}, "at most 10 hours"),
    "words": ({"minutes": "two"}, "Write a whole number."),
    "kind": ({"kind": "tea"}, "Choose one from the list."),
    "yard": ({"yard_id": "999"}, "Choose one from the list."),
    "instructor": ({"instructor_id": "x"}, "Choose one from the list."),
}


@pytest.mark.parametrize("what", REFUSALS)
def test_what_cannot_be_looked_for_is_told_at_its_field(
    visit: Visit, people: Cast, what: str
) -> None:
    changes, sentence = REFUSALS[what]
    page = visit("desk").get(asked(people.learner, **changes), status=422)
    assert "Not looked for yet" in page.text
    assert sentence in page.text
    assert places(page) == []


def test_a_student_under_18_needs_a_guardian_first(
    visit: Visit, database: Database, people: Cast
) -> None:
    add_session(database, people)
    (young,) = add_students(database, 1, date_of_birth=date(2009, 5, 17), category="A1")
    with database.writing() as session:
        session.execute(update(BikeRow).values(category="A1"))
    page = visit("desk").get(asked(young))
    assert "No place fits" in page.text
    assert "Rider 00000 is under 18, so a guardian must be on file first." in page.text
    assert "A guardian on file would open 1 place in a session." in page.text
    with database.writing() as session:
        guardian = {"guardian_name": "Robin", "guardian_phone": "01632 960009"}
        session.execute(update(StudentRow).where(StudentRow.id == young).values(**guardian))
    assert "No place fits" not in visit("desk").get(asked(young)).text


def test_without_a_bike_it_says_which_would_help(
    visit: Visit, database: Database, people: Cast
) -> None:
    add_session(database, people)
    with database.writing() as session:
        off = {"off_road_since": START, "off_road_reason": "Worn chain"}
        session.execute(update(BikeRow).values(**off))
    page = visit("desk").get(asked(people.learner))
    assert "No bike for category A is free on Fri 27 Nov 2026." in page.text
    assert "If Bike 2 were back on the road: Thu 26 Nov 2026, 11:00" in page.text
    assert "On their own bike: " in page.text
    assert places(visit("desk").get(asked(people.learner, bike="own")))


def test_what_is_flagged_decides_where(visit: Visit, database: Database, people: Cast) -> None:
    """Lena touches cones to the left, and the short yard has no way out to the left."""
    left = variant(database, "avoidance", "left")
    training = past_session(database, people, days=3)
    record(database, people, a_ride(people, left, training, days=3, faults=(CONE,), **timed(51)))
    add_session(
        database, people, yard_id=people.small_yard, instructor_id=people.other_instructor, places=2
    )
    wish = {"instructor_id": people.other_instructor, "yard_id": people.small_yard}
    desk = visit("desk")
    with_box = desk.get(asked(people.learner, only_rideable="y", **wish))
    assert "Flagged: " in with_box.text
    assert "where not all that is flagged can be ridden." in with_box.text
    assert "In a yard where not all that is flagged can be ridden: " in with_box.text
    without = desk.get(asked(people.learner, **wish))
    assert "cannot be ridden there. This yard has no safe way out to the left." in without.text


def test_full_sessions_are_counted_and_another_day_is_named(
    visit: Visit, database: Database, people: Cast
) -> None:
    fill(database, people, days=1)
    with database.writing() as session:
        session.execute(update(BikeRow).values(off_road_since=START, off_road_reason="Recall"))
    page = visit("desk").get(asked(people.learner, first_day=TOMORROW, last_day=TOMORROW))
    assert "2 sessions are full." in page.text


def test_a_place_of_somebody_is_theirs_once(visit: Visit, database: Database, people: Cast) -> None:
    training = add_session(database, people)
    book(database, training, people.learner, people.bike)
    when = {"first_day": TOMORROW, "last_day": TOMORROW, "begins": "09:00", "ends": "11:00"}
    page = visit("desk").get(asked(people.learner, **when))
    assert "1 session is at a time at which Lena Wren has a place already." in page.text


def test_a_stranger_to_the_school_is_not_found(visit: Visit, people: Cast) -> None:
    visit("desk").get("/students/9999/find", status=404)
    visit("desk").get("/students/9999/open?kind=cbt", status=404)


@pytest.mark.parametrize("minutes", ["60", "600"], ids=["a place", "no place"])
def test_the_page_asks_as_often_however_full_the_school_is(
    visit: Visit, database: Database, people: Cast, minutes: str
) -> None:
    address = asked(people.learner, minutes=minutes, begins="09:00", ends="17:00")
    desk = visit("desk")
    desk.get(address)
    with counted(database) as few:
        found = desk.get(address)
    assert bool(places(found)) is (minutes == "60")
    fill(database, people)
    add_students(database, 300)
    with counted(database) as many:
        desk.get(address)
    assert len(few) == len(many)
