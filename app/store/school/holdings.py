"""Every table that says whose a row is, for whoever makes two students one."""

from __future__ import annotations

from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.rules.words import count_words
from app.store.diary.tables import (
    BookingRow,
    CalendarFeedRow,
    CourseRow,
    TestAppointmentRow,
    WaitingRow,
)
from app.store.outbox import MessageRow
from app.store.papers.tables import PaperRow
from app.store.people.tables import StudentRow, UnwantedMessageRow
from app.store.progress.tables import LearnerRow, StandingRow
from app.store.riding.safety_tables import IncidentRow
from app.store.riding.tables import AttemptRow, MockTestRow

Owner = InstrumentedAttribute[Any]
"""The column that says whose a row is."""

MOVED: tuple[tuple[Owner, str, str], ...] = (
    (BookingRow.student_id, "booking", "bookings"),
    (AttemptRow.student_id, "ride", "rides"),
    (MockTestRow.student_id, "mock test", "mock tests"),
    (TestAppointmentRow.student_id, "real test", "real tests"),
    (PaperRow.student_id, "paper", "papers"),
    (CourseRow.student_id, "course", "courses"),
    (WaitingRow.student_id, "wish on the waiting list", "wishes on the waiting list"),
    (MessageRow.student_id, "message", "messages"),
    (CalendarFeedRow.student_id, "calendar address", "calendar addresses"),
    (IncidentRow.student_id, "incident", "incidents"),
)
"""What goes over row by row, with what one and many are called."""

DERIVED: tuple[Owner, ...] = (StandingRow.student_id, LearnerRow.student_id)
"""What is worked out again from the rides."""

JOINED: tuple[Owner, ...] = (UnwantedMessageRow.student_id,)
"""What both may have: an email that either did not want stays unwanted."""

POINTING: tuple[Owner, ...] = (StudentRow.merged_into_id,)
"""Records that were merged into the one that now goes."""


def holdings(session: Session, student_id: int) -> tuple[str, ...]:
    """What a student has, as ``2 bookings``; nothing of what there is none. One query."""
    counts = [
        select(func.count()).where(owner == student_id).scalar_subquery() for owner, *_ in MOVED
    ]
    found = session.execute(select(*counts)).one()
    words = zip(found, MOVED, strict=True)
    return tuple(count_words(n, one, many) for n, (_, one, many) in words if n)
