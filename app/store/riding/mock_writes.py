"""A mock test begun, ended and stopped. Its rides are recorded like any others."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.refusal import Missing, Reason, Refused
from app.rules.riding.mock import NewMockTest, PlannedLine, open_sides, plan, side_objection
from app.store import audit
from app.store.database import Database, Lock
from app.store.diary.tables import SessionRow
from app.store.riding.course import Course, load_course
from app.store.riding.mock_reads import load_mock_test, running_test
from app.store.riding.recording import Place, admitted, find_place, may_record
from app.store.riding.tables import MockLineRow, MockTestRow

_NUMBER_IN_USE = "This page had begun another mock test already. Open it again from the board."
_RUNNING = "A mock test of this rider is running in this session already. End or stop it first."
_STOPPED = "This mock test was stopped already."
_ENDED = "This mock test has ended already, so it can no longer be stopped."


def start(db: Database, by: Actor, new: NewMockTest, now: datetime) -> UUID:
    """Begin a mock test, once however often it is sent; its id.

    Raises Refused for a rider without a place, a session that is not this
    person's, a side that the yard does not allow, or a test that is running.
    """
    with db.writing(Lock.RIDES) as session:
        earlier = session.get(MockTestRow, new.mock_test_id)
        if earlier is not None:
            return _same(earlier, new)
        place = admitted(find_place(session, new.session_id, new.student_id), by, now)
        if running_test(session, new.session_id, new.student_id) is not None:
            raise Refused(Reason(_RUNNING))
        _begin(session, by, new, place)
        audit.record(session, by, now, "began", "mock_tests", new.mock_test_id)
        return new.mock_test_id


def _same(earlier: MockTestRow, new: NewMockTest) -> UUID:
    kept = (earlier.session_id, earlier.student_id, earlier.side)
    if kept != (new.session_id, new.student_id, new.side):
        raise Refused(Reason(_NUMBER_IN_USE))
    return earlier.id


def _begin(session: Session, by: Actor, new: NewMockTest, place: Place) -> None:
    course = load_course(session)
    manoeuvres = course.syllabus.manoeuvres
    objection = side_objection(new.side, open_sides(manoeuvres, place.yard))
    if objection:
        raise Refused(Reason(objection, "side"))
    session.add(
        MockTestRow(
            id=new.mock_test_id,
            session_id=new.session_id,
            student_id=new.student_id,
            recorded_by=by.account_id,
            side=new.side,
            started_at=new.started_at,
        )
    )
    session.flush()
    planned = plan(manoeuvres, place.yard, new.side)
    session.add_all(_lines(new.mock_test_id, planned, course))
    session.flush()


def _lines(test: UUID, planned: Iterable[PlannedLine], course: Course) -> list[MockLineRow]:
    ids = {(each.manoeuvre.code, each.variant.code): each.id for each in course.variants}
    return [
        MockLineRow(
            mock_test_id=test,
            place=place,
            variant_id=ids[line.manoeuvre, line.variant],
            left_out=line.left_out,
        )
        for place, line in enumerate(planned, start=1)
    ]


def end(
    db: Database, by: Actor, mock_test_id: UUID, at: datetime, now: datetime, zone: ZoneInfo
) -> UUID:
    """End a mock test at a moment, with nothing left to ride in it; its id.

    Ending twice changes nothing. Raises Missing, and Refused while something is left.
    """
    with db.writing(Lock.RIDES) as session:
        row = _own(session, by, mock_test_id)
        if row.stopped_reason is not None:
            raise Refused(Reason(_STOPPED))
        turn = load_mock_test(session, mock_test_id, zone).turn if row.ended_at is None else None
        if turn is not None:
            sentence = f"{turn.exercise.name} is still to be ridden. Ride it, or stop the test."
            raise Refused(Reason(sentence))
        if row.ended_at is None:
            row.ended_at = at
            audit.record(session, by, now, "ended", "mock_tests", mock_test_id)
        return mock_test_id


def stop(
    db: Database, by: Actor, mock_test_id: UUID, reason: str, at: datetime, now: datetime
) -> UUID:
    """Stop a mock test before its end, with a reason; its id. What was ridden is kept.

    Stopping twice keeps the first reason. Raises Missing, and Refused for one that has ended.
    """
    with db.writing(Lock.RIDES) as session:
        row = _own(session, by, mock_test_id)
        if row.ended_at is not None and row.stopped_reason is None:
            raise Refused(Reason(_ENDED))
        if row.ended_at is None:
            row.ended_at, row.stopped_reason = at, reason
            audit.record(session, by, now, "stopped", "mock_tests", mock_test_id)
        return mock_test_id


def _own(session: Session, by: Actor, mock_test_id: UUID) -> MockTestRow:
    row = session.get(MockTestRow, mock_test_id)
    training = session.get(SessionRow, row.session_id) if row else None
    if row is None or training is None or not may_record(by, training):
        raise Missing(f"mock test {mock_test_id}")
    return row
