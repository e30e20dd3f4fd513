"""Several sessions booked in one go: all of them, or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.coursing import why_not_book_all
from app.rules.refusal import Reason
from app.rules.words import moment_words
from app.store import audit
from app.store.database import Database
from app.store.diary import letters
from app.store.diary.life import diary
from app.store.diary.loading import rider, school_zone, session_row
from app.store.diary.moving import Target
from app.store.diary.offers import place_waiting
from app.store.diary.places import WantedPlace, against, refuse, take
from app.store.diary.tables import CourseRow
from app.store.once import once


@dataclass(frozen=True, slots=True)
class WantedCourse:
    """A course that a student wants: what it is called, and its sessions with a bike each."""

    student_id: int
    name: str
    places: Sequence[Target]


def book_course(db: Database, by: Actor, wanted: WantedCourse, key: UUID, now: datetime) -> int:
    """Book every session of a course, once for one form; the course's id.

    Raises Missing for an unknown session or student, and Refused with every reason
    against any of them; then nothing is booked.
    """
    with diary(db, now) as session:
        return once(session, key, now, lambda: _book(session, by, wanted, now))


def _book(session: Session, by: Actor, wanted: WantedCourse, now: datetime) -> int:
    rider(session, wanted.student_id)
    refuse(why_not_book_all(wanted.name, len(wanted.places)))
    course = CourseRow(
        student_id=wanted.student_id, name=wanted.name, booked_at=now, booked_by=by.account_id
    )
    session.add(course)
    session.flush()
    refuse(
        tuple(reason for one in wanted.places for reason in _take(session, by, course, one, now))
    )
    audit.record(
        session, by, now, "booked", "courses", course.id,
        student=wanted.student_id, sessions=len(wanted.places),
    )  # fmt: skip
    letters.course_booked(session, course.id, now)
    return course.id


def _take(
    session: Session, by: Actor, course: CourseRow, one: Target, now: datetime
) -> tuple[Reason, ...]:
    """Take one place of the course, so that the next is judged with it; the reasons against it."""
    wanted = WantedPlace(one.session_id, course.student_id, one.bike_id)
    if reasons := against(session, wanted, now):
        zone = school_zone(session)
        when = moment_words(session_row(session, one.session_id).starts_at, zone)
        return tuple(Reason(f"{when}: {reason.sentence}", "places") for reason in reasons)
    take(session, by, wanted, now, course_id=course.id)
    place_waiting(session, by, one.session_id, course.student_id, now)
    return ()
