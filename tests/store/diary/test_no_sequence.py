"""No sequence of what a desk does leaves an overlap, a ratio broken or somebody skipped."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime, time, timedelta
from itertools import combinations
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of
from app.rules.diary.replanning import Lost, Trouble
from app.rules.diary.values import (
    TAKING_STATES,
    BookingState,
    GivenUpFor,
    OfferState,
    SessionKind,
    WaitingState,
)
from app.rules.diary.waiting import WaitingWish
from app.rules.refusal import Missing, Refused
from app.rules.yards.area import YardFacts, riders_at_once
from app.store.database import Database
from app.store.diary import booking_writes, life, moving, session_writes, waiting_writes
from app.store.diary.affected import affected
from app.store.diary.courses import WantedCourse, book_course
from app.store.diary.moving import Target
from app.store.diary.places import WantedPlace, against
from app.store.diary.replanning import replan
from app.store.diary.tables import BookingRow, OfferRow, SessionRow, WaitingRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow, YardRow
from tests.support.cast import Cast
from tests.support.clock import LONDON, START
from tests.support.databases import PostgresServer, SqliteFactory
from tests.support.diary import DESK, TOMORROW, add_students, wish
from tests.support.proposals import first_proposals

Step = tuple[str, int, int, int]
"""What is done, and three numbers from which it is chosen to what."""


class School:
    """A small school on which random things are done; ``now`` moves on and never back."""

    def __init__(self, db: Database, people: Cast) -> None:
        self.db, self.people, self.now = db, people, START
        add_students(db, 3)
        with db.writing() as session:
            # The cast's own session there has more places than the yard.
            small = update(SessionRow).where(SessionRow.yard_id == people.small_yard)
            session.execute(small.values(places=3))
        with db.reading() as session:
            self.students = list(session.scalars(select(StudentRow.id).order_by(StudentRow.id)))
            bikes = list(session.scalars(select(BikeRow.id).order_by(BikeRow.id)))
        self.bikes: list[int | None] = [*bikes, None]

    def do(self, step: Step) -> None:
        """Do one thing, which the rules may refuse."""
        what, *numbers = step
        with suppress(Refused, Missing):
            getattr(self, what)(*numbers)

    def _pick(self, row: type[Any], number: int) -> Any:
        with self.db.reading() as session:
            found = session.scalars(select(row).order_by(row.id)).all()
        if not found:
            raise Missing
        return found[number % len(found)]

    def _wanted(self, one: int, two: int, three: int) -> WantedPlace:
        training = self._pick(SessionRow, one).id
        student = self.students[two % len(self.students)]
        return WantedPlace(training, student, self.bikes[three % len(self.bikes)])

    def make(self, one: int, two: int, three: int) -> None:
        who = [self.people.instructor, self.people.other_instructor][two % 2]
        yard = [self.people.yard, self.people.small_yard][three % 2]
        begins = 9 + one % 5
        facts = {"day": TOMORROW + timedelta(days=one % 3), "yard_id": yard, "instructor_id": who,
                 "starts": time(begins), "ends": time(begins + 1 + two % 3),
                 "places": 1 + three % 3}  # fmt: skip
        made = wish(self.people, **facts)
        session_writes.add_session(self.db, DESK, made, uuid4(), self.now)

    def change(self, one: int, two: int, three: int) -> None:
        row = self._pick(SessionRow, one)
        begins = 9 + two % 5
        made = wish(
            self.people, yard_id=row.yard_id, instructor_id=row.instructor_id,
            day=TOMORROW + timedelta(days=three % 3), starts=time(begins),
            ends=time(begins + 1 + three % 3), places=1 + two % 4,
        )  # fmt: skip
        session_writes.edit_session(self.db, DESK, row.id, row.version, made, self.now)

    def drop(self, one: int, _two: int, _three: int) -> None:
        row = self._pick(SessionRow, one)
        session_writes.cancel_session(self.db, DESK, row.id, row.version, self.now)

    def book(self, one: int, two: int, three: int) -> None:
        wanted = self._wanted(one, two, three)
        booking_writes.book(self.db, DESK, wanted, uuid4(), self.now)

    def hold(self, one: int, two: int, three: int) -> None:
        wanted = self._wanted(one, two, three)
        booking_writes.hold(self.db, DESK, wanted, uuid4(), self.now)

    def confirm(self, one: int, _two: int, _three: int) -> None:
        row = self._pick(BookingRow, one)
        booking_writes.confirm(self.db, DESK, row.id, row.version, self.now)

    def cancel(self, one: int, two: int, _three: int) -> None:
        row, reasons = self._pick(BookingRow, one), list(GivenUpFor)[:3]
        reason = reasons[two % 3]
        booking_writes.cancel_booking(self.db, DESK, row.id, row.version, self.now, reason)

    def move(self, one: int, two: int, three: int) -> None:
        row = self._pick(BookingRow, one)
        target = Target(self._pick(SessionRow, two).id, self.bikes[three % len(self.bikes)])
        moving.move(self.db, DESK, row.id, row.version, target, self.now)

    def wait(self, one: int, two: int, three: int) -> None:
        day = day_of(self.now, LONDON) + timedelta(days=two % 3)
        only = self._pick(SessionRow, two).id if three % 4 == 0 else None
        made = WaitingWish(
            self.students[one % len(self.students)], SessionKind.MODULE_1,
            day, day + timedelta(days=three % 4), own_bike=bool(three % 2), session_id=only,
        )  # fmt: skip
        waiting_writes.wait(self.db, DESK, made, uuid4(), self.now)

    def withdraw(self, one: int, _two: int, _three: int) -> None:
        row = self._pick(WaitingRow, one)
        waiting_writes.withdraw(self.db, DESK, row.id, row.version, self.now)

    def lose(self, one: int, two: int, three: int) -> None:
        lost = list(Lost)[one % 3]
        row = {Lost.BIKE: BikeRow, Lost.YARD: YardRow}.get(lost)
        number = self._pick(row, two).id if row else self.people.instructor
        day = TOMORROW + timedelta(days=three % 3)
        with self.db.reading() as session:
            shown = affected(session, Trouble(lost, number), (day, day), self.now, LONDON)
        replan(self.db, DESK, first_proposals(shown), self.now)

    def course(self, one: int, two: int, three: int) -> None:
        student = self.students[two % len(self.students)]
        places = [Target(self._pick(SessionRow, one + n).id, None) for n in range(1 + three % 3)]
        wanted = WantedCourse(student, "A few", places)
        book_course(self.db, DESK, wanted, uuid4(), self.now)

    def passes(self, one: int, _two: int, _three: int) -> None:
        self.now += timedelta(minutes=30 * (1 + one % 12))
        life.tidy(self.db, self.now)


WHAT = ("make", "change", "drop", "book", "hold", "confirm", "cancel", "move", "wait",
        "withdraw", "lose", "course", "passes", "book", "hold", "cancel", "wait")  # fmt: skip
STEPS = st.lists(
    st.tuples(st.sampled_from(WHAT), *[st.integers(0, 59)] * 3), min_size=4, max_size=24
)
FULL: list[Step] = [
    ("make", 0, 0, 3), ("make", 1, 1, 0), ("make", 2, 0, 6),
    ("book", 2, 2, 0), ("book", 3, 3, 1), ("book", 4, 4, 2),
    ("wait", 0, 0, 3), ("wait", 1, 0, 3),
]  # fmt: skip
"""Three sessions of one place, all taken, and two who wait: where the order matters."""


def check_nothing_twice(session: Session) -> None:
    """No student, bike or instructor in two places at a moment."""
    taken = session.scalars(select(BookingRow).where(BookingRow.state.in_(TAKING_STATES))).all()
    for one, two in combinations(taken, 2):
        same_bike = one.bike_id is not None and one.bike_id == two.bike_id
        if one.student_id == two.student_id or same_bike:
            assert one.ends_at <= two.starts_at or two.ends_at <= one.starts_at
    standing = session.scalars(select(SessionRow).where(SessionRow.cancelled_at.is_(None))).all()
    for first, second in combinations(standing, 2):
        if first.instructor_id == second.instructor_id:
            assert first.ends_at <= second.starts_at or second.ends_at <= first.starts_at


def check_ratios(session: Session) -> None:
    """No session over its places, and no yard over its area, its places or the ratio."""
    standing = session.scalars(select(SessionRow).where(SessionRow.cancelled_at.is_(None))).all()
    taken = session.scalars(select(BookingRow).where(BookingRow.state.in_(TAKING_STATES))).all()
    for one in standing:
        yard = session.get_one(YardRow, one.yard_id)
        assert sum(booking.session_id == one.id for booking in taken) <= one.places
        assert one.places <= riders_at_once(YardFacts(yard.length_m, yard.width_m)).riders
        together = [
            other.places for other in standing
            if other.yard_id == one.yard_id and other.starts_at <= one.starts_at < other.ends_at
        ]  # fmt: skip
        assert sum(together) <= yard.places


def check_nobody_is_skipped(session: Session, school: School, offered_before: set[int]) -> None:
    """Whoever still waits could not have had a place, neither a free one nor one just offered."""
    now = school.now
    waiting = session.scalars(
        select(WaitingRow).where(WaitingRow.state == WaitingState.WAITING)
        .order_by(WaitingRow.asked_at, WaitingRow.id)
    ).all()  # fmt: skip
    for row in waiting:
        assert _fitting(session, school, row, now) == []
    for offer in session.scalars(select(OfferRow).where(OfferRow.id.not_in(offered_before))).all():
        if offer.state is not OfferState.OPEN:
            continue
        to = session.get_one(WaitingRow, offer.waiting_id)
        earlier = [row for row in waiting if (row.asked_at, row.id) < (to.asked_at, to.id)]
        with _given_back(session, offer.booking_id, now):
            for row in earlier:
                assert offer.session_id not in _fitting(session, school, row, now)


@contextmanager
def _given_back(session: Session, booking_id: int, now: datetime) -> Iterator[None]:
    """As if this place had not been held."""
    inner = session.begin_nested()
    booking = session.get_one(BookingRow, booking_id)
    booking.state, booking.cancelled_at, booking.held_until = BookingState.CANCELLED, now, None
    session.flush()
    yield
    inner.rollback()
    session.expire_all()


def _fitting(session: Session, school: School, row: WaitingRow, now: datetime) -> list[int]:
    """The sessions that somebody waiting could have a place in, by the rule of booking alone."""
    before = set(session.scalars(select(OfferRow.session_id).where(OfferRow.waiting_id == row.id)))
    bikes = [None] if row.own_bike else [bike for bike in school.bikes if bike is not None]
    return [
        one.id
        for one in session.scalars(select(SessionRow).order_by(SessionRow.id)).all()
        if one.kind is row.kind and one.starts_at > now and one.id not in before
        and row.session_id in (None, one.id)
        and row.earliest <= day_of(one.starts_at, LONDON) <= row.latest
        and any(_free(session, one.id, row.student_id, bike, now) for bike in bikes)
    ]  # fmt: skip


def _free(session: Session, training: int, student: int, bike: int | None, now: datetime) -> bool:
    return not against(session, WantedPlace(training, student, bike), now)


def run(db: Database, people: Cast, steps: list[Step]) -> None:
    """Do everything, and look after each step."""
    school = School(db, people)
    for step in [*FULL, *steps]:
        with db.reading() as session:
            before = set(session.scalars(select(OfferRow.id)))
        school.do(step)
        with db.reading() as session:
            check_nothing_twice(session)
            check_ratios(session)
            check_nobody_is_skipped(session, school, before)


SLOWLY = settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@pytest.mark.slow
@SLOWLY
@given(steps=STEPS)
def test_on_sqlite(sqlite_factory: SqliteFactory, people: Cast, steps: list[Step]) -> None:
    _on(sqlite_factory.furnished, people, steps)


@pytest.mark.slow
@pytest.mark.postgres
@settings(SLOWLY, max_examples=5)
@given(steps=STEPS)
def test_on_postgresql(postgres_server: PostgresServer, people: Cast, steps: list[Step]) -> None:
    _on(postgres_server.furnished, people, steps)


def _on(furnished: Callable[[], str], people: Cast, steps: list[Step]) -> None:
    school = Database(furnished())
    try:
        run(school, people, steps)
    finally:
        school.close()
