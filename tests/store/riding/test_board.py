"""What the board reads: riders, their rides, what can be ridden, and a fixed number of queries."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import insert, update
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.values import BookingState
from app.rules.refusal import Missing
from app.rules.riding.values import Outcome
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.riding.board import (
    STRIP,
    load_board,
    offers_by_use,
    sessions_of,
    strip_of,
)
from app.store.riding.course import load_course
from app.store.riding.tables import AttemptRow
from tests.store.riding.rides import CONE, REMARK, STALL, keep, ride, variant_id
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted

ZONE = ZoneInfo("Europe/London")


def add_a_rider(session: Session, people: Cast) -> None:
    """Move the stranger into the learner's session."""
    session.get_one(BookingRow, people.other_booking).session_id = people.session


def many_rides(db: Database, people: Cast, number: int) -> None:
    """Rides of the learner in the session, a minute apart, the last of them serious."""
    slalom = variant_id(db, "slalom")
    with db.writing() as session:
        session.execute(
            insert(AttemptRow),
            [
                {
                    "id": UUID(int=1000 + n),
                    "session_id": people.session,
                    "student_id": people.learner,
                    "variant_id": slalom,
                    "ridden_at": START + timedelta(minutes=n),
                    "received_at": START + timedelta(minutes=n),
                    "outcome": Outcome.SERIOUS if n == number - 1 else Outcome.CLEAN,
                    "second_try": False,
                }
                for n in range(number)
            ],
        )


def test_a_board_shows_who_holds_a_place_with_their_bike_and_rides(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people, faults=(CONE, REMARK))
    keep(either, ines, one)
    with either.reading() as session:
        board = load_board(session, people.session, people.instructor, ZONE)
    (rider,) = board.riders
    assert (rider.name, rider.bike) == ("Lena Wren", "Bike 1")
    (drawn,) = rider.rides
    assert drawn.words == (
        "Thu 26 Nov 2026, fallen: cone touched on the left, serious; remark: looked down"
    )
    assert rider.last == drawn
    assert board.variant_of(rider) == one.variant_id


@pytest.mark.parametrize("state", [BookingState.CANCELLED, BookingState.NO_SHOW])
def test_who_holds_no_place_is_not_on_the_board(
    either: Database, people: Cast, state: BookingState
) -> None:
    with either.writing() as session:
        booking = session.get_one(BookingRow, people.booking)
        booking.state = state
        booking.cancelled_at = START if state is BookingState.CANCELLED else None
    with either.reading() as session:
        board = load_board(session, people.session, None, ZONE)
    assert board.riders == ()
    assert board.session.riders == 0


def test_a_strangers_or_cancelled_session_is_not_there(either: Database, people: Cast) -> None:
    with either.reading() as session, pytest.raises(Missing):
        load_board(session, people.other_session, people.instructor, ZONE)
    with either.writing() as session:
        session.execute(update(SessionRow).values(cancelled_at=START))
    with either.reading() as session, pytest.raises(Missing):
        load_board(session, people.session, people.instructor, ZONE)


def test_a_yard_offers_only_what_can_be_ridden_in_it(either: Database, people: Cast) -> None:
    with either.reading() as session:
        long = load_board(session, people.session, None, ZONE)
        short = load_board(session, people.other_session, None, ZONE)
    assert len(long.rideable) == 10
    left_out = {v.name for v in long.rideable} - {v.name for v in short.rideable}
    assert left_out == {"Hazard avoidance to the left"}
    assert short.ruled_out == ("This yard has no safe way out to the left.",)


def test_faults_stand_in_the_order_in_which_the_school_records_them(
    either: Database, people: Cast, ines: Actor
) -> None:
    keep(either, ines, *(ride(either, people, faults=(STALL,)) for _ in range(2)))
    keep(either, ines, ride(either, people, faults=(CONE, REMARK)))
    keep(either, ines, ride(either, people, "slow_ride", faults=(STALL,)))
    with either.reading() as session:
        found = offers_by_use(session, load_course(session), "slalom")
    codes = [offer.kind.code for offer in found]
    assert codes[:3] == ["stall", "cone_touched", "foot_down"]
    assert [offer.is_remark for offer in found] == sorted(offer.is_remark for offer in found)
    assert next(offer.kind.code for offer in found if offer.is_remark) == "looked_down"


def test_the_strip_holds_the_last_rides_of_one_variant_oldest_first(
    either: Database, people: Cast
) -> None:
    many_rides(either, people, 12)
    with either.reading() as session:
        course = load_course(session)
        slalom = variant_id(either, "slalom")
        strip = strip_of(session, people.learner, slalom, course, ZONE)
        assert strip_of(session, people.stranger, slalom, course, ZONE) == ()
    assert len(strip) == STRIP
    assert [ride.ridden_at for ride in strip] == sorted(ride.ridden_at for ride in strip)
    assert strip[-1].outcome is Outcome.SERIOUS


def test_my_sessions_are_mine_and_not_cancelled_from_the_day_on(
    either: Database, people: Cast
) -> None:
    with either.writing() as session:
        own = session.get_one(SessionRow, people.session)
        for days, cancelled in ((-1, None), (6, None), (7, None), (2, START)):
            facts = {"starts_at": own.starts_at + timedelta(days=days)}
            session.add(_copy(own, **facts, cancelled_at=cancelled))
    with either.reading() as session:
        mine = sessions_of(session, people.instructor, START.date(), 7, ZONE)
    assert [each.starts_at - mine[0].starts_at for each in mine] == [
        timedelta(0),
        timedelta(days=6),
    ]
    assert (mine[0].id, mine[0].riders, mine[1].riders) == (people.session, 1, 0)


def _copy(row: SessionRow, **facts: object) -> SessionRow:
    kept = {
        column.key: getattr(row, column.key)
        for column in SessionRow.__table__.columns
        if column.key != "id"
    }
    ends = {"ends_at": facts["starts_at"] + timedelta(hours=2)}  # type: ignore[operator]
    return SessionRow(**{**kept, **ends, **facts})


def _queries(db: Database, people: Cast) -> int:
    with counted(db) as statements, db.reading() as session:
        board = load_board(session, people.session, people.instructor, ZONE)
        offers_by_use(session, board.course, "slalom")
        variant = board.rideable[0].id
        strip_of(session, people.learner, variant, board.course, ZONE)
    return len(statements)


def test_a_board_asks_as_much_for_two_riders_and_300_rides_as_for_one_and_none(
    either: Database, people: Cast
) -> None:
    few = _queries(either, people)
    many_rides(either, people, 300)
    with either.writing() as session:
        add_a_rider(session, people)
    assert _queries(either, people) == few
    with either.reading() as session:
        assert len(load_board(session, people.session, None, ZONE).riders) == 2


def test_rides_at_the_same_moment_have_one_order(
    either: Database, people: Cast, ines: Actor
) -> None:
    rides = [replace(ride(either, people), attempt_id=UUID(int=n)) for n in (3, 1, 2)]
    keep(either, ines, *rides)
    with either.reading() as session:
        board = load_board(session, people.session, None, ZONE)
    assert [r.attempt_id.int for r in board.riders[0].rides] == [1, 2, 3]
