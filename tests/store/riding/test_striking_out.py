"""A ride is never deleted: it is struck out, with who did it, when and why."""

from __future__ import annotations

from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import select

from app.rules.accounts.roles import Actor
from app.rules.refusal import Missing
from app.rules.riding.values import Cone
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.progress.tables import StandingRow
from app.store.progress.writes import strike_out
from app.store.riding.board import load_board
from app.store.riding.tables import AttemptRow
from tests.store.riding.rides import count, keep, kept, ride
from tests.support.cast import Cast
from tests.support.clock import START


@pytest.fixture
def ridden(either: Database, people: Cast, ines: Actor) -> UUID:
    """A clean ride in Ines's session."""
    one = ride(either, people)
    keep(either, ines, one)
    return one.attempt_id


def test_a_ride_struck_out_stays_with_its_reason_and_counts_no_more(
    either: Database, people: Cast, ines: Actor, ridden: UUID
) -> None:
    assert count(either, StandingRow) == 1
    strike_out(either, ines, ridden, "Wrong rider", START)
    row = kept(either, ridden)
    assert (row.struck_at, row.struck_reason) == (START, "Wrong rider")
    assert row.struck_by == people.instructor_account
    assert count(either, AttemptRow) == 1
    assert count(either, StandingRow) == 0


def test_striking_out_twice_keeps_the_first_reason(
    either: Database, ines: Actor, ridden: UUID
) -> None:
    strike_out(either, ines, ridden, "Wrong rider", START)
    strike_out(either, ines, ridden, "Another reason", START)
    assert kept(either, ridden).struck_reason == "Wrong rider"
    with either.reading() as session:
        entries = session.scalars(select(AuditEntryRow).filter_by(subject="attempts")).all()
        assert [(e.action, e.subject_id) for e in entries] == [("struck out", str(ridden))]


def test_a_ride_of_another_instructors_session_is_not_there(
    either: Database, ivor: Actor, ridden: UUID
) -> None:
    with pytest.raises(Missing):
        strike_out(either, ivor, ridden, "Wrong rider", START)
    assert kept(either, ridden).struck_at is None


def test_a_ride_that_nobody_recorded_is_not_there(either: Database, ines: Actor) -> None:
    with pytest.raises(Missing):
        strike_out(either, ines, UUID(int=7), "Wrong rider", START)


def test_an_outline_is_what_a_struck_out_ride_is_drawn_as(
    either: Database, people: Cast, ines: Actor, ridden: UUID
) -> None:
    strike_out(either, ines, ridden, "Wrong rider", START)
    with either.reading() as session:
        board = load_board(session, people.session, people.instructor, ZoneInfo("Europe/London"))
    (drawn,) = board.riders[0].rides
    assert drawn.cone is Cone.OUTLINE
    assert not drawn.counts
    assert board.riders[0].last is None
