"""Reminders the day before, each once, over both changes of the clock."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from threading import Barrier
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select

from app.rules.diary.values import BookingState
from app.rules.people.messages import MessageKind
from app.store.database import Database, Lock
from app.store.diary import letters
from app.store.diary.reminders import once_key, reminders_due
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.choices import choose
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, add_students
from tests.support.letters import coming, outbox, owed, write_to
from tests.support.queries import counted

SESSION = datetime(2026, 12, 3, 9, 0, tzinfo=UTC)
DUE = datetime(2026, 12, 2, 10, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


@pytest.fixture(autouse=True)
def email(either: Database, people: Cast) -> None:
    """Lena has an email on file."""
    write_to(either, people.learner)


def test_it_is_written_the_day_before_from_the_schools_hour_on(
    either: Database, people: Cast
) -> None:
    coming(either, people, SESSION)
    assert reminders_due(either, DUE - MINUTE) == 0
    assert reminders_due(either, DUE) == 1
    [row] = owed(either)
    assert row.subject == "Reminder: Module 1 training, Thu 3 Dec 2026, 09:00"
    assert "You ride on Thu 3 Dec 2026 at" in row.body
    for part in ("Where: Long yard", "Instructor: Ines Heron", "Bike: your own bike"):
        assert part in row.body
    assert "What to bring and wear:\nBring your driving licence" in row.body
    assert "Riding can hurt." in row.body


def test_however_often_it_runs_it_is_written_once(either: Database, people: Cast) -> None:
    coming(either, people, SESSION)
    runs = [reminders_due(either, DUE + n * timedelta(minutes=5)) for n in range(30)]
    assert (sum(runs), len(owed(either))) == (1, 1)


def test_several_at_the_same_moment_write_it_once(either: Database, people: Cast) -> None:
    coming(either, people, SESSION)
    together = Barrier(4)

    def run(_number: int) -> int:
        together.wait()
        return reminders_due(either, DUE)

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(run, range(4))) == [0, 0, 0, 1]
    assert len(outbox(either)) == 1


@pytest.mark.parametrize(
    ("starts_at", "due"),
    [
        # Forward on Sun 29 Mar 2026, back on Sun 25 Oct 2026: 10:00 at the school each time.
        (datetime(2026, 3, 29, 8, tzinfo=UTC), datetime(2026, 3, 28, 10, tzinfo=UTC)),
        (datetime(2026, 3, 30, 8, tzinfo=UTC), datetime(2026, 3, 29, 9, tzinfo=UTC)),
        (datetime(2026, 10, 25, 9, tzinfo=UTC), datetime(2026, 10, 24, 9, tzinfo=UTC)),
        (datetime(2026, 10, 26, 9, tzinfo=UTC), datetime(2026, 10, 25, 10, tzinfo=UTC)),
        (datetime(2028, 3, 1, 9, tzinfo=UTC), datetime(2028, 2, 29, 10, tzinfo=UTC)),
    ],
)
def test_each_once_over_the_changes_of_the_clock(
    either: Database, people: Cast, starts_at: datetime, due: datetime
) -> None:
    coming(either, people, starts_at, booked_at=due - timedelta(days=9))
    day = timedelta(days=1)
    moments = (due - day + n * timedelta(minutes=20) for n in range(3 * 3 * 24))
    written = [now for now in moments if reminders_due(either, now)]
    assert written == [due]


def test_one_that_was_missed_is_made_up_for_until_the_session_begins(
    either: Database, people: Cast
) -> None:
    coming(either, people, SESSION)
    assert reminders_due(either, SESSION) == 0
    assert reminders_due(either, SESSION - MINUTE) == 1


@pytest.mark.parametrize(
    "state",
    [BookingState.HELD, BookingState.ATTENDED, BookingState.NO_SHOW, BookingState.CANCELLED],
)
def test_only_who_is_booked_is_reminded(
    either: Database, people: Cast, state: BookingState
) -> None:
    made = coming(either, people, SESSION)
    with either.writing() as session:
        row = session.get_one(BookingRow, made)
        row.state = state
        row.held_until = SESSION if state is BookingState.HELD else None
        row.cancelled_at = START if state is BookingState.CANCELLED else None
    assert reminders_due(either, DUE) == 0


def test_who_wants_none_or_has_no_email_is_not_reminded(either: Database, people: Cast) -> None:
    coming(either, people, SESSION)
    choose(either, DESK, people.learner, set(MessageKind) - {MessageKind.REMINDER}, START)
    assert reminders_due(either, DUE) == 0
    choose(either, DESK, people.learner, list(MessageKind), START)
    write_to(either, people.learner, None)
    assert reminders_due(either, DUE) == 0
    write_to(either, people.learner)
    assert reminders_due(either, DUE) == 1


def test_who_was_confirmed_after_the_hour_needs_no_reminder(either: Database, people: Cast) -> None:
    for hours, reminded in ((-1, 1), (1, 0)):
        made = coming(either, people, SESSION + timedelta(hours=3 + 3 * hours))
        with either.writing(Lock.DIARY) as session:
            letters.booked(session, made, DUE + timedelta(hours=hours))
        assert reminders_due(either, DUE + timedelta(hours=2)) == reminded


def moved(school: Database, booking_id: int, by: timedelta) -> None:
    """Move the session of a booking, as a write does."""
    with school.writing(Lock.DIARY) as session:
        before = letters.appointment_of(session, booking_id)
        training = session.get_one(SessionRow, session.get_one(BookingRow, booking_id).session_id)
        training.starts_at, training.ends_at = training.starts_at + by, training.ends_at + by
        session.flush()
        session.expire_all()
        letters.changed(session, booking_id, before, DUE)


def test_a_session_moved_after_its_reminder_is_reminded_of_at_its_new_time(
    either: Database, people: Cast
) -> None:
    made = coming(either, people, SESSION)
    assert reminders_due(either, DUE) == 1
    with either.writing() as session:
        for row in outbox(either):
            session.get_one(type(row), row.id).sent_at = DUE
    moved(either, made, timedelta(hours=4))
    assert reminders_due(either, DUE + MINUTE) == 1
    assert [row.kind for row in owed(either)] == ["change", "reminder"]


def test_a_reminder_that_was_dropped_for_a_change_is_written_anew(
    either: Database, people: Cast
) -> None:
    """The key that keeps it single is given back with it."""
    made = coming(either, people, SESSION)
    assert reminders_due(either, DUE) == 1
    with either.writing(Lock.DIARY) as session:
        before = letters.appointment_of(session, made)
        session.get_one(BookingRow, made).bike_id = people.bike
        session.flush()
        letters.changed(session, made, before, DUE)
    assert reminders_due(either, DUE + MINUTE) == 1
    assert [row.kind for row in owed(either)] == ["change", "reminder"]
    assert "Bike: Bike 1" in owed(either)[1].body


def test_the_key_is_the_moment_whatever_its_time_zone(either: Database) -> None:
    same = SESSION.astimezone(ZoneInfo("America/New_York"))
    assert once_key(7, same) == once_key(7, SESSION) == "reminder:7:2026-12-03T09:00:00+00:00"


def crowd(school: Database, people: Cast, number: int) -> None:
    """So many more riders in Lena's session, each with an email."""
    riders = add_students(school, number, email="rider@example.org")
    with school.writing() as session:
        training = session.scalars(select(SessionRow).where(SessionRow.starts_at == SESSION)).one()
        training.places += number
        session.flush()
        times = {"starts_at": training.starts_at, "ends_at": training.ends_at}
        session.add_all(
            BookingRow(
                session_id=training.id,
                student_id=rider,
                state=BookingState.BOOKED,
                booked_at=START,
                **times,
            )
            for rider in riders
        )


def test_many_are_found_by_as_many_queries_as_few(either: Database, people: Cast) -> None:
    coming(either, people, SESSION)
    asked = []
    for number in (1, 40):
        crowd(either, people, number)
        with counted(either) as statements:
            assert reminders_due(either, DUE) == number + (1 if number == 1 else 0)
        asked.append(sum(one.startswith("SELECT") for one in statements))
    assert asked[0] == asked[1]
