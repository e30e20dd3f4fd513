"""Who did what and when, as it is read back on both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import update

from app.rules.accounts.roles import system
from app.rules.diary.feeds import FeedOwner
from app.rules.diary.values import BookingState
from app.store import audit
from app.store.database import Database
from app.store.diary import booking_writes, feed_writes, history_reads
from app.store.diary.history_reads import PAGE, HistoryPage
from app.store.diary.tables import BookingRow, SessionRow
from tests.support import diary
from tests.support.cast import Cast
from tests.support.clock import LONDON, START
from tests.support.queries import counted

KINDS = ("booking", "session", "student")


def history(database: Database, kind: str, number: int, before: int | None = None) -> HistoryPage:
    read = getattr(history_reads, f"of_{kind}")
    with database.reading() as session:
        found: HistoryPage = read(session, number, before, LONDON)
        return found


def told(page: HistoryPage) -> list[tuple[str, str]]:
    """Who did what, the oldest first."""
    return [(line.who, line.what) for line in reversed(page.lines)]


def lived(database: Database, people: Cast) -> tuple[int, int]:
    """A booking that was made, given another bike and given up; its session and itself."""
    training = diary.add_session(database, people)
    booking = diary.book(database, training, people.learner, people.bike)
    dev = replace(diary.DESK, account_id=people.desk)
    later = START + timedelta(hours=1)
    booking_writes.change_bike(database, dev, booking, 1, people.other_bike, later)
    booking_writes.mark(
        database, dev, people.booking, 1, BookingState.ATTENDED, START + timedelta(hours=2)
    )
    return training, booking


def test_the_history_of_a_booking_is_in_words_with_names(either: Database, people: Cast) -> None:
    _, booking = lived(either, people)
    page = history(either, "booking", booking)
    assert told(page) == [
        ("test", "Booked the place: Bike 1"),
        ("Dev Rook", "Changed the bike: Bike 2 (was Bike 1)"),
    ]
    newest = page.lines[0]
    assert newest.at == START + timedelta(hours=1)
    assert newest.about is not None
    assert (newest.about.student, newest.about.booking_id) == ("Lena Wren", booking)


def test_the_history_of_a_session_has_its_bookings(either: Database, people: Cast) -> None:
    training, _ = lived(either, people)
    assert told(history(either, "session", training)) == [
        ("test", "Made the session"),
        ("test", "Booked the place: Bike 1"),
        ("Dev Rook", "Changed the bike: Bike 2 (was Bike 1)"),
    ]


def test_a_booking_that_was_moved_away_stays_in_the_history_of_the_session_it_left(
    either: Database, people: Cast
) -> None:
    training, booking = lived(either, people)
    later = diary.add_session(either, people, starts=time(13), ends=time(15))
    with either.writing() as session:
        moves = [training, later]
        audit.record(session, diary.DESK, START, "moved", "bookings", booking, in_session=moves)
        there = session.get_one(SessionRow, later)
        values = {"starts_at": there.starts_at, "ends_at": there.ends_at}
        moved = update(BookingRow).where(BookingRow.id == booking)
        session.execute(moved.values(session_id=there.id, bike_id=None, **values))
    words = "Moved the booking: Fri 27 Nov 2026, 13:00 (was Fri 27 Nov 2026, 09:00)"
    for number in moves:
        page = history(either, "session", number)
        assert page.lines[0].what == words
        assert page.lines[0].about is not None
        assert page.lines[0].about.session_id == later
    assert "Made the session" in [line.what for line in history(either, "session", training).lines]


def test_the_history_of_a_student_has_all_that_is_theirs_and_nothing_else(
    either: Database, people: Cast
) -> None:
    lived(either, people)
    owner = FeedOwner(student_id=people.learner)
    feed_writes.make_feed(either, system("nightly"), owner, uuid4(), START)
    said = told(history(either, "student", people.learner))
    assert said == [
        ("test", "Booked the place: Bike 1"),
        ("Dev Rook", "Changed the bike: Bike 2 (was Bike 1)"),
        ("Dev Rook", "Marked as here"),
        ("Yardmark", "Made a calendar address"),
    ]
    assert told(history(either, "student", people.stranger)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_an_id_of_another_subject_is_not_mixed_in(
    either: Database, people: Cast, kind: str
) -> None:
    """The audit keeps ids as text, and every table counts from 1."""
    with either.writing() as session:
        for subject in ("bikes", "yards", "accounts", "settings"):
            audit.record(session, diary.DESK, START, "changed", subject, 1)
            audit.record(session, diary.DESK, START, "changed", subject, "school")
    assert history(either, kind, 1).lines == ()


@pytest.mark.parametrize("kind", KINDS)
def test_a_long_history_is_paged_and_asks_no_more(
    either: Database, people: Cast, kind: str
) -> None:
    number = {
        "booking": people.booking,
        "session": people.session,
        "student": people.learner,
    }[kind]
    _note(either, people, 1)
    with counted(either) as few:
        history(either, kind, number)
    _note(either, people, PAGE)
    with counted(either) as many:
        first = history(either, kind, number)
    assert len(many) == len(few) == 4
    assert (len(first.lines), first.older is None) == (PAGE, False)
    rest = history(either, kind, number, first.older)
    assert (len(rest.lines), rest.older) == (1, None)


def _note(database: Database, people: Cast, times: int) -> None:
    with database.writing() as session:
        for _ in range(times):
            bikes = [people.bike, people.other_bike]
            audit.record(
                session, diary.DESK, START, "changed", "bookings", people.booking, bike=bikes
            )
