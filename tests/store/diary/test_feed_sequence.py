"""Whatever happens to a booking, its event stays itself and its number only grows.

RFC 5545, sections 3.8.4.7 (UID) and 3.8.7.4 (SEQUENCE); RFC 5546, section 2.1.4, says which
changes must raise the number: those of the times and of the status among them.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, time, timedelta
from random import Random
from uuid import uuid4

import pytest

from app.rules.diary.feeds import EventStatus, FeedEvent, FeedOwner
from app.rules.diary.values import BookingState
from app.rules.refusal import Refused
from app.store import settings
from app.store.database import Database
from app.store.diary import (
    booking_writes,
    feed_addresses,
    feed_reads,
    feed_writes,
    moving,
    session_writes,
)
from app.store.diary.moving import Target
from app.store.diary.places import WantedPlace
from app.store.diary.tables import BookingRow, SessionRow
from tests.support import diary
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK

Events = dict[str, FeedEvent]


class Calendars:
    """Lena's calendar and the school's, read again after each change."""

    def __init__(self, database: Database, people: Cast) -> None:
        self.database = database
        owners = (FeedOwner(student_id=people.learner), FeedOwner())
        made = [feed_writes.make_feed(database, DESK, each, uuid4(), START) for each in owners]
        self.secrets = [each.secret or "" for each in made]
        self.seen: list[Events] = [self._read(secret, START) for secret in self.secrets]

    def _read(self, secret: str, now: datetime) -> Events:
        with self.database.reading() as session:
            found = feed_addresses.find(session, secret)
            assert found is not None
            content = feed_reads.content(session, found, settings.load(session), now)
        return {event.uid: event for event in content.events}

    def compare(self, now: datetime) -> None:
        """Read again: no number goes back, and none stays where time or status changed."""
        for number, secret in enumerate(self.secrets):
            before, after = self.seen[number], self._read(secret, now)
            for uid in before.keys() & after.keys():
                assert after[uid].sequence >= before[uid].sequence
                if _weighty(after[uid]) != _weighty(before[uid]):
                    assert after[uid].sequence > before[uid].sequence
            self.seen[number] = after

    def own(self) -> Events:
        """Lena's events as last read."""
        return self.seen[0]


def _weighty(event: FeedEvent) -> tuple[datetime, datetime, EventStatus]:
    return event.starts_at, event.ends_at, event.status


def _booking(database: Database, booking_id: int) -> BookingRow:
    return diary.booking(database, booking_id)


def test_a_moved_booking_is_the_same_event_elsewhere(either: Database, people: Cast) -> None:
    first = diary.add_session(either, people)
    second = diary.add_session(either, people, starts=time(13), ends=time(15))
    booking = diary.book(either, first, people.learner, people.bike)
    calendars = Calendars(either, people)
    before = dict(calendars.own())
    moving.move(either, DESK, booking, 1, Target(second, people.bike), START)
    calendars.compare(START)
    assert before.keys() == calendars.own().keys()
    (moved,) = [uid for uid in before if before[uid] != calendars.own()[uid]]
    assert calendars.own()[moved].starts_at - before[moved].starts_at == timedelta(hours=4)


def test_a_changed_session_changes_the_students_event(either: Database, people: Cast) -> None:
    training = diary.add_session(either, people)
    diary.book(either, training, people.learner, people.bike)
    calendars = Calendars(either, people)
    before = dict(calendars.own())
    later = diary.wish(people, starts=time(10), ends=time(12))
    session_writes.edit_session(either, DESK, training, 1, later, START)
    calendars.compare(START)
    changed = [uid for uid in before if before[uid] != calendars.own()[uid]]
    assert len(changed) == 1


def test_a_hold_that_ends_by_time_has_one_number_before_and_after_it_is_written_down(
    either: Database, people: Cast
) -> None:
    training = diary.add_session(either, people)
    place = WantedPlace(training, people.learner, people.bike)
    booking = booking_writes.hold(either, DESK, place, uuid4(), START)
    calendars = Calendars(either, people)
    over = START + timedelta(hours=12)
    calendars.compare(over)
    unwritten = {uid: (event.sequence, event.status) for uid, event in calendars.own().items()}
    assert _booking(either, booking).state is BookingState.HELD
    booking_writes.book(either, DESK, WantedPlace(training, people.stranger, None), uuid4(), over)
    assert _booking(either, booking).state is BookingState.CANCELLED
    calendars.compare(over)
    written = {uid: (event.sequence, event.status) for uid, event in calendars.own().items()}
    assert written == unwritten


@pytest.mark.parametrize("seed", range(4))
def test_no_number_ever_goes_back(database: Database, people: Cast, seed: int) -> None:
    """Forty things done at random, those that are refused among them."""
    rng = Random(seed)
    life = Life(database, people, rng)
    calendars = Calendars(database, people)
    done = 0
    for step in range(40):
        now = START + timedelta(minutes=20 * step)
        try:
            rng.choice(life.deeds)(now)
            done += 1
        except Refused:
            pass
        calendars.compare(now)
    assert done >= 10


class Life:
    """Everything that can be done to the bookings of one student in three sessions."""

    def __init__(self, database: Database, people: Cast, rng: Random) -> None:
        self.database, self.people, self.rng = database, people, rng
        self.sessions = [
            diary.add_session(database, people, starts=time(h), ends=time(h + 1))
            for h in (9, 12, 15)
        ]
        self.bookings = [diary.book(database, self.sessions[0], people.learner, people.bike)]
        self.deeds: list[Callable[[datetime], None]] = [
            self.book, self.hold, self.confirm, self.move, self.other_bike, self.cancel, self.edit,
        ]  # fmt: skip

    def _one(self) -> BookingRow:
        return _booking(self.database, self.rng.choice(self.bookings))

    def _place(self) -> WantedPlace:
        bike = self.rng.choice((self.people.bike, self.people.other_bike, None))
        return WantedPlace(self.rng.choice(self.sessions), self.people.learner, bike)

    def book(self, now: datetime) -> None:
        made = booking_writes.book(self.database, DESK, self._place(), uuid4(), now)
        self.bookings.append(made)

    def hold(self, now: datetime) -> None:
        made = booking_writes.hold(self.database, DESK, self._place(), uuid4(), now)
        self.bookings.append(made)

    def confirm(self, now: datetime) -> None:
        one = self._one()
        booking_writes.confirm(self.database, DESK, one.id, one.version, now)

    def move(self, now: datetime) -> None:
        one, place = self._one(), self._place()
        target = Target(place.session_id, place.bike_id)
        moving.move(self.database, DESK, one.id, one.version, target, now)

    def other_bike(self, now: datetime) -> None:
        one, bike = self._one(), self._place().bike_id
        booking_writes.change_bike(self.database, DESK, one.id, one.version, bike, now)

    def cancel(self, now: datetime) -> None:
        one = self._one()
        booking_writes.cancel_booking(self.database, DESK, one.id, one.version, now)

    def edit(self, now: datetime) -> None:
        session_id = self.rng.choice(self.sessions)
        with self.database.reading() as session:
            version = session.get_one(SessionRow, session_id).version
        hour = self.rng.randint(9, 17)
        wanted = diary.wish(self.people, starts=time(hour), ends=time(hour + 1))
        session_writes.edit_session(self.database, DESK, session_id, version, wanted, now)
