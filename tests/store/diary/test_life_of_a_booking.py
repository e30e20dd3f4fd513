"""A place is held, confirmed, moved, let go; who waits is offered what becomes free."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import select, update

from app.rules.diary.values import BookingState, GivenUpFor, SessionKind, WaitingState
from app.rules.diary.waiting import WaitingWish
from app.rules.refusal import Refused
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary import booking_writes, courses, life, moving, waiting_writes
from app.store.diary.courses import WantedCourse
from app.store.diary.moving import Target
from app.store.diary.places import WantedPlace
from app.store.diary.tables import BookingRow, OfferRow, WaitingRow
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, TOMORROW, add_session, add_students, book, booking

HOUR = timedelta(hours=1)


def hold(db: Database, training: int, student: int, bike: int | None = None) -> int:
    """Hold a place at the start of now."""
    return booking_writes.hold(db, DESK, WantedPlace(training, student, bike), uuid4(), START)


def waits(db: Database, student: int, minutes: int = 0, **facts: Any) -> int:
    """Put a student on the list some minutes after the start of now, on their own bike."""
    usual = {
        "kind": SessionKind.MODULE_1,
        "earliest": TOMORROW,
        "latest": TOMORROW + timedelta(days=30),
        "own_bike": True,
    }
    wish = WaitingWish(student, **(usual | facts))
    return waiting_writes.wait(db, DESK, wish, uuid4(), START + timedelta(minutes=minutes))


def state(db: Database, waiting: int) -> WaitingState:
    with db.reading() as session:
        return session.get_one(WaitingRow, waiting).state


def held_for(db: Database, training: int) -> list[int]:
    """The students for whom a place in a session is held."""
    with db.reading() as session:
        query = select(BookingRow.student_id).where(BookingRow.session_id == training)
        return list(session.scalars(query.where(BookingRow.state == BookingState.HELD)))


def audited(db: Database, subject: str, number: int) -> list[str]:
    with db.reading() as session:
        query = select(AuditEntryRow.action).where(AuditEntryRow.subject == subject)
        mine = query.where(AuditEntryRow.subject_id == str(number)).order_by(AuditEntryRow.id)
        return list(session.scalars(mine))


def letters(db: Database) -> list[str]:
    with db.reading() as session:
        return list(session.scalars(select(MessageRow.kind).order_by(MessageRow.id)))


def set_school(db: Database, **facts: Any) -> None:
    with db.writing() as session:
        settings.save(session, SchoolSettings(**facts))


@pytest.fixture
def mail(either: Database, people: Cast) -> Cast:
    """The cast, with addresses at which mail reaches the students."""
    with either.writing() as session:
        session.execute(
            update(StudentRow)
            .where(StudentRow.id == people.learner)
            .values(email="lena@example.org")
        )
        session.execute(
            update(StudentRow)
            .where(StudentRow.id == people.stranger)
            .values(email="stan@example.org")
        )
    return people


def test_a_held_place_is_taken_until_its_time_is_over(either: Database, people: Cast) -> None:
    training = add_session(either, people, places=1)
    made = hold(either, training, people.learner, people.bike)
    with pytest.raises(Refused, match="full"):
        book(either, training, people.stranger, None)
    late = START + 4 * HOUR
    book(either, training, people.stranger, people.bike, late)
    gone = booking(either, made)
    assert (gone.state, gone.given_up_for) == (BookingState.CANCELLED, GivenUpFor.HOLD_OVER)
    assert audited(either, "bookings", made) == ["held", "hold ended"]


def test_a_hold_never_lasts_beyond_the_start(either: Database, people: Cast) -> None:
    set_school(either, hold_minutes=10_000)
    training = add_session(either, people)
    made = booking(either, hold(either, training, people.learner))
    assert made.held_until == made.starts_at


def test_what_is_held_is_booked_in_time_and_not_after(either: Database, mail: Cast) -> None:
    training = add_session(either, mail)
    made = hold(either, training, mail.learner)
    assert letters(either) == []
    booking_writes.confirm(either, DESK, made, 1, START + HOUR)
    assert booking(either, made).state is BookingState.BOOKED
    assert letters(either) == ["confirmation"]
    other = hold(either, training, mail.stranger)
    with pytest.raises(Refused, match="not held any more"):
        booking_writes.confirm(either, DESK, other, 1, START + 5 * HOUR)
    with pytest.raises(Refused, match="booked already"):
        booking_writes.confirm(either, DESK, made, 2, START + HOUR)


def test_letting_go_of_a_held_place_is_never_late(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    made = hold(either, training, people.learner)
    gone = booking_writes.cancel_booking(either, DESK, made, 1, START)
    assert not gone.late
    assert audited(either, "bookings", made) == ["held", "let go"]


@pytest.mark.parametrize("reason", [GivenUpFor.SCHOOL, GivenUpFor.WEATHER])
def test_only_the_students_own_wish_is_late(
    either: Database, people: Cast, reason: GivenUpFor
) -> None:
    training = add_session(either, people)
    one = book(either, training, people.learner, None)
    two = book(either, training, people.stranger, None)
    assert not booking_writes.cancel_booking(either, DESK, one, 1, START, reason).late
    assert booking_writes.cancel_booking(either, DESK, two, 1, START).late
    assert booking(either, one).given_up_for is reason


def test_a_booking_moves_and_stays_the_same_booking(either: Database, mail: Cast) -> None:
    first = add_session(either, mail)
    second = add_session(either, mail, starts=time(13), ends=time(15), day=date(2026, 12, 4))
    made = book(either, first, mail.learner, mail.bike)
    moved = moving.move(either, DESK, made, 1, Target(second, mail.other_bike), START)
    row = booking(either, made)
    assert (row.session_id, row.bike_id, row.version) == (second, mail.other_bike, 2)
    assert moved.late, "the first is tomorrow, which is less notice than the owner asks"
    assert audited(either, "bookings", made) == ["booked", "moved"]
    assert letters(either)[-1] in ("change", "confirmation")
    book(either, first, mail.stranger, mail.bike)


def test_a_move_is_refused_for_what_a_booking_is_refused_for(
    either: Database, people: Cast
) -> None:
    first = add_session(either, people)
    full = add_session(either, people, starts=time(13), ends=time(15), places=1)
    other = book(either, full, people.stranger, people.bike)
    made = book(either, first, people.learner, people.bike)
    with pytest.raises(Refused) as no:
        moving.move(either, DESK, made, 1, Target(full, people.bike), START)
    said = [reason.sentence for reason in no.value.reasons]
    assert any("full" in one for one in said)
    assert any("taken by Stan Crake" in one for one in said)
    with pytest.raises(Refused, match="in already"):
        moving.move(either, DESK, made, 1, Target(first, None), START)
    with pytest.raises(Refused, match="changed this"):
        moving.move(either, DESK, made, 7, Target(full, None), START)
    assert booking(either, made).session_id == first
    booking_writes.cancel_booking(either, DESK, other, 1, START)
    with pytest.raises(Refused, match="was cancelled"):
        moving.move(either, DESK, other, 2, Target(first, None), START)


def test_into_a_session_beside_ones_own_one_may_move(either: Database, people: Cast) -> None:
    """The time that is left does not stand in the way of the time that is entered."""
    first = add_session(either, people)
    beside = add_session(
        either, people, yard_id=people.small_yard, instructor_id=people.other_instructor, places=2
    )
    made = book(either, first, people.learner, people.bike)
    moving.move(either, DESK, made, 1, Target(beside, people.bike), START)
    assert booking(either, made).session_id == beside


def test_a_freed_place_is_offered_to_the_first_whom_it_fits(either: Database, mail: Cast) -> None:
    training = add_session(either, mail, places=1)
    taken = book(either, training, *add_students(either, 1), None)
    (third,) = add_students(either, 1)
    never = waits(either, third, 0, weekdays=frozenset({(TOMORROW.weekday() + 1) % 7}))
    lena = waits(either, mail.learner, 1)
    stan = waits(either, mail.stranger, 2)
    assert held_for(either, training) == []
    booking_writes.cancel_booking(either, DESK, taken, 1, START + HOUR)
    assert held_for(either, training) == [mail.learner]
    assert [state(either, one) for one in (never, lena, stan)] == [
        WaitingState.WAITING, WaitingState.OFFERED, WaitingState.WAITING,
    ]  # fmt: skip
    assert letters(either)[-1] == "offer"


def test_an_offer_that_is_let_lapse_goes_to_the_next(either: Database, mail: Cast) -> None:
    training = add_session(either, mail, places=1)
    lena = waits(either, mail.learner)
    assert held_for(either, training) == [mail.learner]
    stan = waits(either, mail.stranger, 1)
    tidied = life.tidy(either, START + 5 * HOUR)
    assert (tidied.lapsed, tidied.offered) == (1, 1)
    assert held_for(either, training) == [mail.stranger]
    assert (state(either, lena), state(either, stan)) == (
        WaitingState.WAITING, WaitingState.OFFERED,
    )  # fmt: skip
    tidied = life.tidy(either, START + 10 * HOUR)
    assert (tidied.lapsed, tidied.offered) == (1, 0), "the same session is offered once"


def test_an_offer_that_is_taken_ends_the_waiting(either: Database, people: Cast) -> None:
    training = add_session(either, people, places=1)
    lena = waits(either, people.learner)
    with either.reading() as session:
        offer = session.scalars(select(OfferRow)).one()
    booking_writes.confirm(either, DESK, offer.booking_id, 1, START + HOUR)
    assert state(either, lena) is WaitingState.PLACED
    assert booking(either, offer.booking_id).state is BookingState.BOOKED
    assert audited(either, "waiting", lena) == ["waits", "offered", "placed"]
    assert held_for(either, training) == []


def test_who_is_taken_off_the_list_lets_go_of_the_offer(either: Database, people: Cast) -> None:
    training = add_session(either, people, places=1)
    lena = waits(either, people.learner)
    stan = waits(either, people.stranger, 1)
    waiting_writes.withdraw(either, DESK, lena, 2, START + HOUR)
    assert state(either, lena) is WaitingState.WITHDRAWN
    assert held_for(either, training) == [people.stranger]
    with pytest.raises(Refused, match="not on the list"):
        waiting_writes.withdraw(either, DESK, lena, 4, START + HOUR)
    assert state(either, stan) is WaitingState.OFFERED


def test_who_is_booked_by_hand_waits_no_more(either: Database, people: Cast) -> None:
    full = add_session(either, people, places=1)
    book(either, full, people.stranger, None)
    lena = waits(either, people.learner)
    other = waits(either, people.learner, kind=SessionKind.CBT)
    later = add_session(either, people, starts=time(13), ends=time(15), kind=SessionKind.FIRST_RIDE)
    book(either, later, people.learner, None, START + HOUR)
    assert state(either, lena) is WaitingState.WAITING, "that is not what they wait for"
    another = add_session(either, people, day=TOMORROW + timedelta(days=1))
    assert held_for(either, another) == [people.learner]
    assert state(either, other) is WaitingState.WAITING


def test_waiting_ends_with_its_last_day(either: Database, people: Cast) -> None:
    lena = waits(either, people.learner, latest=TOMORROW)
    life.tidy(either, START + timedelta(days=2))
    assert state(either, lena) is WaitingState.OVER


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"latest": TOMORROW - timedelta(days=1)}, "last_day"),
        (
            {"earliest": TOMORROW - timedelta(days=9), "latest": TOMORROW - timedelta(days=8)},
            "last_day",
        ),
        ({"latest": TOMORROW + timedelta(days=900)}, "last_day"),
        ({"weekdays": frozenset()}, "weekdays"),
        ({"begins": time(12), "ends": time(12)}, "ends"),
    ],
)
def test_nobody_waits_for_what_cannot_come(
    either: Database, people: Cast, facts: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as no:
        waits(either, people.learner, **facts)
    assert [reason.field for reason in no.value.reasons] == [field]


def test_nobody_waits_twice_for_the_same(either: Database, people: Cast) -> None:
    waits(either, people.learner)
    with pytest.raises(Refused, match="waits for this already"):
        waits(either, people.learner, 1)
    waits(either, people.learner, 2, kind=SessionKind.CBT)


def test_a_course_is_booked_whole_or_not_at_all(either: Database, mail: Cast) -> None:
    days = [TOMORROW + timedelta(days=n) for n in (0, 2, 4)]
    trainings = [add_session(either, mail, day=day) for day in days]
    full = add_session(either, mail, day=TOMORROW + timedelta(days=6), places=1)
    book(either, full, mail.stranger, None)
    before = len(letters(either))
    with pytest.raises(Refused) as no:
        _course(either, mail, [*trainings, full])
    assert "Thu 3 Dec 2026" in no.value.reasons[0].sentence
    assert "full" in no.value.reasons[0].sentence
    with either.reading() as session:
        mine = select(BookingRow.session_id).where(BookingRow.student_id == mail.learner)
        assert not set(session.scalars(mine)) & set(trainings)
    course = _course(either, mail, trainings)
    with either.reading() as session:
        rows = session.scalars(select(BookingRow).where(BookingRow.course_id == course)).all()
    assert sorted(row.session_id for row in rows) == trainings
    assert letters(either)[before:] == ["confirmation"], "one message tells of all"


def _course(db: Database, who: Cast, trainings: list[int]) -> int:
    places = [Target(one, who.bike) for one in trainings]
    return courses.book_course(
        db, DESK, WantedCourse(who.learner, "Three mornings", places), uuid4(), START
    )


def test_a_course_with_one_session_twice_is_refused(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    with pytest.raises(Refused, match="already has a place"):
        _course(either, people, [training, training])
    with pytest.raises(Refused, match="from 1 to 12"):
        _course(either, people, [])
