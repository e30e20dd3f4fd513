"""The school's calendar as it is kept, and what it lets into the diary."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import Authorisation
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.refusal import Refused
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.database import Database
from app.store.diary import reads, school_days, session_writes
from app.store.diary.concerned import Concerned, concerned
from app.store.diary.loading import zone_of
from app.store.diary.session_notes import session_notes
from tests.support.calendar import (
    close,
    days_off,
    every_day,
    set_instructor,
    set_opening,
    set_school,
)
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import (
    DESK,
    TOMORROW,
    add_session,
    add_students,
    book,
    sessions_kept,
    wish,
)
from tests.support.queries import counted

CHRISTMAS = date(2026, 12, 25)
SCHOOL = SchoolSettings()


def _refusal(database: Database, people: Cast, **changes: object) -> tuple[str, str]:
    before = len(sessions_kept(database))
    with pytest.raises(Refused) as refused:
        add_session(database, people, **changes)
    assert len(sessions_kept(database)) == before
    (reason,) = refused.value.reasons
    return reason.field, reason.sentence


def test_a_school_of_which_nothing_is_known_takes_a_session_at_any_time(
    either: Database, people: Cast
) -> None:
    assert add_session(either, people, starts=time(4), ends=time(6))


def test_a_session_outside_the_opening_hours_is_refused(either: Database, people: Cast) -> None:
    set_opening(either, every_day(time(9), time(17)))
    said = ("starts", "The school is open from 09:00 to 17:00 on a Friday.")
    assert _refusal(either, people, starts=time(8), ends=time(10)) == said
    assert add_session(either, people)


def test_a_closed_school_and_a_closed_yard_take_no_session(either: Database, people: Cast) -> None:
    close(either, yard=people.yard, reason="New markings")
    said = ("yard_id", "Long yard is closed on Fri 27 Nov 2026: New markings.")
    assert _refusal(either, people) == said
    assert add_session(either, people, yard_id=people.small_yard, places=3)
    close(either, TOMORROW + timedelta(days=1), TOMORROW + timedelta(days=3))
    field, _ = _refusal(either, people, day=TOMORROW + timedelta(days=3))
    assert field == "day"
    assert add_session(either, people, day=TOMORROW + timedelta(days=4))


def test_bank_holidays_are_those_of_the_schools_nation(either: Database, people: Cast) -> None:
    andrew = date(2026, 11, 30)
    assert add_session(either, people, day=andrew)
    assert _refusal(either, people, day=CHRISTMAS) == (
        "day",
        "Fri 25 Dec 2026 is a bank holiday (Christmas Day), and the school is closed then.",
    )
    set_school(either, nation="SCT")
    afternoon = {"starts": time(13), "ends": time(15)}
    assert _refusal(either, people, day=andrew, **afternoon)[0] == "day"
    set_school(either, open_on_bank_holidays=True)
    assert add_session(either, people, day=andrew, **afternoon)
    set_school(either, nation="", open_on_bank_holidays=False)
    assert add_session(either, people, day=CHRISTMAS)


def test_an_instructor_is_given_no_session_outside_their_hours_or_on_a_day_off(
    either: Database, people: Cast
) -> None:
    set_instructor(either, people.instructor, (WeeklyHours(4, time(9), time(10)),))
    said = ("ends", "Ines Heron works from 09:00 to 10:00 on a Friday.")
    assert _refusal(either, people) == said
    days_off(either, people.other_instructor)
    field, sentence = _refusal(either, people, instructor_id=people.other_instructor)
    assert (field, sentence) == ("instructor_id", "Ivor Plover is off on Fri 27 Nov 2026.")


def test_an_authorisation_that_has_lapsed_refuses_and_one_not_on_file_warns(
    either: Database, people: Cast
) -> None:
    made = add_session(either, people, kind=SessionKind.CBT)
    with either.reading() as session:
        shown = reads.session_page(session, made)
        notes = session_notes(session, shown, settings.load(session), START)
    assert notes.check == ("No CBT authorisation of Ines Heron is on file.",)
    set_instructor(either, people.instructor, authorisations={Authorisation.CBT: TOMORROW})
    later = TOMORROW + timedelta(days=1)
    assert _refusal(either, people, kind=SessionKind.CBT, day=later)[0] == "instructor_id"
    assert add_session(either, people, kind=SessionKind.MODULE_1, day=later)


def test_travelling_keeps_two_sessions_of_one_instructor_apart(
    either: Database, people: Cast
) -> None:
    set_school(either, travel_minutes=30, turnaround_minutes=10)
    add_session(either, people)
    small = {"yard_id": people.small_yard, "places": 3}
    near = {"starts": time(11, 29), "ends": time(12)}
    assert _refusal(either, people, **small, **near)[0] == "starts"
    assert _refusal(either, people, starts=time(11, 9), ends=time(12))[0] == "starts"
    assert add_session(either, people, **small, starts=time(11, 30), ends=time(12))
    assert _refusal(either, people, starts=time(12, 29), ends=time(13))[0] == "starts"
    assert _refusal(either, people, starts=time(7), ends=time(8, 51))[0] == "ends"
    assert add_session(either, people, starts=time(7), ends=time(8, 50))


def test_the_road_takes_two_and_leaves_the_yard_to_others(either: Database, people: Cast) -> None:
    add_session(either, people)
    ivor = {"instructor_id": people.other_instructor, "kind": SessionKind.ROAD}
    assert _refusal(either, people, **ivor, places=3)[0] == "places"
    assert add_session(either, people, **ivor, places=2)


def test_a_session_that_stood_before_a_closure_stays_and_can_be_mended_where_it_is(
    either: Database, people: Cast
) -> None:
    made = add_session(either, people)
    close(either)
    edit = wish(people, remarks="Bring a coat")
    assert session_writes.edit_session(either, DESK, made, 1, edit, START) == made
    with pytest.raises(Refused, match="The school is closed on Fri 27 Nov 2026: Frost"):
        session_writes.edit_session(either, DESK, made, 2, replace(edit, ends=time(12)), START)
    with either.reading() as session:
        shown = reads.session_page(session, made)
        notes = session_notes(session, shown, settings.load(session), START)
    assert notes.against == ("The school is closed on Fri 27 Nov 2026: Frost.",)


def test_what_stands_on_the_days_of_a_closure_is_counted(either: Database, people: Cast) -> None:
    first = add_session(either, people)
    add_session(either, people, yard_id=people.small_yard, starts=time(14), ends=time(15), places=3)
    add_session(either, people, instructor_id=people.other_instructor, day=date(2026, 11, 29))
    for student in add_students(either, 2):
        book(either, first, student, None)
    last = date(2026, 11, 28)
    outs = [
        DaysOut(TOMORROW, last),
        DaysOut(TOMORROW, last, yard_id=people.small_yard),
        DaysOut(last, last),
        DaysOut(TOMORROW, date(2026, 12, 31)),
    ]
    with counted(either) as queries, either.reading() as session:
        zone = zone_of(SCHOOL)
        found = concerned(session, outs, START, zone)
        off = replace(outs[3], instructor_id=people.other_instructor)
        theirs = concerned(session, [off], START, zone)
    assert len(queries) == 2
    assert found == (
        Concerned(2, 2, TOMORROW),
        Concerned(1, 0, TOMORROW),
        Concerned(0, 0, None),
        Concerned(3, 2, TOMORROW),
    )
    assert theirs == (Concerned(1, 0, date(2026, 11, 29)),)


def test_the_calendar_of_90_days_is_a_fixed_number_of_queries(
    either: Database, people: Cast
) -> None:
    def load() -> int:
        with counted(either) as queries, either.reading() as session:
            school_days.load(session, TOMORROW, TOMORROW + timedelta(days=90), SCHOOL)
        return len(queries)

    few = load()
    set_opening(either, every_day())
    for number in range(20):
        close(either, TOMORROW + timedelta(days=number))
        days_off(either, people.instructor, TOMORROW + timedelta(days=number))
    set_instructor(either, people.instructor, every_day(), {Authorisation.CBT: None})
    assert load() == few == 6


def test_the_calendar_holds_what_bears_on_its_days_alone(either: Database, people: Cast) -> None:
    last = TOMORROW + timedelta(days=30)
    set_opening(either, every_day(time(8), time(18)))
    set_instructor(either, people.instructor, every_day(), {Authorisation.CBT: last})
    close(either, TOMORROW - timedelta(days=1), TOMORROW)
    close(either, last, last + timedelta(days=5), yard=people.yard)
    close(either, last + timedelta(days=1))
    days_off(either, people.instructor, last + timedelta(days=1))
    days_off(either, people.instructor, TOMORROW)
    with either.reading() as session:
        found = school_days.load(session, TOMORROW, last, SCHOOL)
    assert found.hours == every_day(time(8), time(18))
    assert [out.yard_id for out in found.closures] == [None, people.yard]
    assert set(found.holidays) == {CHRISTMAS, date(2026, 12, 26)}
    ines, ivor = found.instructors[people.instructor], found.instructors[people.other_instructor]
    assert ines.name == "Ines Heron"
    assert ines.hours == every_day()
    assert ines.days_off == (DaysOut(TOMORROW, TOMORROW),)
    assert ines.authorisations == {Authorisation.CBT: last}
    assert (ivor.hours, ivor.days_off, dict(ivor.authorisations)) == ((), (), {})


def test_a_session_takes_its_riders_only_to_somebody_who_may_teach_them(
    either: Database, people: Cast
) -> None:
    """Lena is on category A: direct access, DVSA manual for training bodies."""
    made = add_session(either, people)
    book(either, made, people.learner, people.bike)
    lapsed = {Authorisation.DIRECT_ACCESS: TOMORROW - timedelta(days=1)}
    set_instructor(either, people.other_instructor, authorisations=lapsed)
    ivor = wish(people, instructor_id=people.other_instructor)
    with pytest.raises(Refused, match="Ivor Plover is authorised for direct access until"):
        session_writes.edit_session(either, DESK, made, 1, ivor, START)
    set_instructor(either, people.other_instructor, authorisations={Authorisation.CBT: None})
    assert session_writes.edit_session(either, DESK, made, 1, ivor, START) == made


def test_a_session_is_not_moved_to_a_day_on_which_a_rider_is_too_young(
    either: Database, people: Cast
) -> None:
    made = add_session(either, people, day=TOMORROW + timedelta(days=1))
    born = TOMORROW.replace(year=TOMORROW.year - 21) + timedelta(days=1)
    (student,) = add_students(either, 1, date_of_birth=born)
    book(either, made, student, people.bike)
    with pytest.raises(Refused, match="too young for Bike 1 then"):
        session_writes.edit_session(either, DESK, made, 1, wish(people), START)
    sooner = wish(people, day=TOMORROW + timedelta(days=2))
    assert session_writes.edit_session(either, DESK, made, 1, sooner, START) == made
