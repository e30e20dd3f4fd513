"""The demo school keeps its own rules: every session lies where it could have been made."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import select

from app.rules.diary.authorised import give_warnings, why_not_teach
from app.rules.diary.clock import day_of
from app.rules.diary.facts import InstructorState, Neighbour, Plan, Span, YardState
from app.rules.diary.school_days import SchoolCalendar
from app.rules.diary.sessions import why_not_stand
from app.rules.diary.values import HELD_STATES, SessionKind
from app.rules.papers.ages import opens_at_the_earliest
from app.rules.people.authorisations import Authorisation
from app.store import settings
from app.store.database import Database, Session
from app.store.diary import school_days
from app.store.diary.loading import instructor_state, yard_state
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.school.demo.load import load_demo
from app.store.yards.tables import BikeRow, ClosureRow, YardRow
from tests.support.clock import LONDON
from tests.support.databases import SqliteFactory

DAYS = {
    "an ordinary Wednesday": datetime(2026, 11, 25, 11, 0, tzinfo=UTC),
    "a Monday that is a bank holiday": datetime(2026, 12, 28, 11, 0, tzinfo=UTC),
}


@pytest.fixture(scope="module", params=[*DAYS.values()], ids=[*DAYS])
def demo(request: pytest.FixtureRequest, sqlite_factory: SqliteFactory) -> Iterator[Session]:
    """The demo as it is loaded on a day, open for reading."""
    school = Database(sqlite_factory.fresh())
    load_demo(school, request.param)
    with school.reading() as session:
        session.info["today"] = request.param.date()
        yield session
    school.close()


def _calendar(demo: Session) -> SchoolCalendar:
    today = demo.info["today"]
    reach = timedelta(days=60)
    return school_days.load(demo, today - reach, today + reach, settings.load(demo))


def _neighbour(one: SessionRow, other: SessionRow) -> Neighbour:
    return Neighbour(
        Span(other.starts_at, other.ends_at),
        "the yard",
        "the instructor",
        other.places,
        other.yard_id == one.yard_id,
        other.instructor_id == one.instructor_id,
        other.kind is SessionKind.ROAD,
    )


def _against(demo: Session) -> list[str]:
    calendar = _calendar(demo)
    rows = demo.scalars(select(SessionRow)).all()
    by_day: dict[date, list[SessionRow]] = {}
    for row in rows:
        by_day.setdefault(day_of(row.starts_at, LONDON), []).append(row)
    said = []
    for same_day in by_day.values():
        for row in same_day:
            plan = Plan(Span(row.starts_at, row.ends_at), row.places, row.kind)
            yard: YardState = yard_state(demo, row.yard_id)
            who: InstructorState = instructor_state(demo, row.instructor_id)
            others = [_neighbour(row, other) for other in same_day if other is not row]
            reasons = why_not_stand(plan, yard, who, others, calendar, LONDON)
            said += [f"{row.starts_at}: {reason.sentence}" for reason in reasons]
    assert len(rows) > 80
    return said


def test_every_session_lies_where_it_could_have_been_made(demo: Session) -> None:
    assert _against(demo) == []


def test_there_is_something_to_see_on_the_day(demo: Session) -> None:
    starts = demo.scalars(select(SessionRow.starts_at)).all()
    assert demo.info["today"] in {day_of(at, LONDON) for at in starts}


def test_every_rider_is_old_enough_and_taught_by_somebody_who_may(demo: Session) -> None:
    instructors, today = _calendar(demo).instructors, demo.info["today"]
    rows = demo.execute(
        select(BookingRow, SessionRow, StudentRow, BikeRow)
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .join(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.state.in_(HELD_STATES))
    ).all()
    coming = [row for row in rows if day_of(row.SessionRow.starts_at, LONDON) >= today]
    assert len(coming) > 20
    for row in coming:
        day = day_of(row.SessionRow.starts_at, LONDON)
        born, bike = row.StudentRow.date_of_birth, row.BikeRow.category
        assert opens_at_the_earliest(bike, born) <= day
        who = instructors[row.SessionRow.instructor_id]
        assert why_not_teach(who, row.StudentRow.category, bike, day) == ()


def test_closures_and_a_day_off_lie_ahead_where_no_session_is(demo: Session) -> None:
    calendar, today = _calendar(demo), demo.info["today"]
    assert {out.yard_id is None for out in calendar.closures} == {True, False}
    assert all(out.first_day > today + timedelta(days=14) for out in calendar.closures)
    off = [out for each in calendar.instructors.values() for out in each.days_off]
    assert len(off) == 1
    assert off[0].first_day > today + timedelta(days=14)
    yards = set(demo.scalars(select(ClosureRow.yard_id).where(ClosureRow.yard_id.is_not(None))))
    assert yards <= set(demo.scalars(select(YardRow.id)))


def test_one_authorisation_lapses_in_six_weeks_and_one_is_not_on_file(demo: Session) -> None:
    instructors, today = _calendar(demo).instructors, demo.info["today"]
    ends = [d for each in instructors.values() for d in each.authorisations.values() if d]
    assert min(ends) - today == timedelta(weeks=6)
    assert all(Authorisation.DIRECT_ACCESS in each.authorisations for each in instructors.values())
    warned = [give_warnings(SessionKind.CBT, each, today) for each in instructors.values()]
    assert sum(bool(each) for each in warned) == 1
