"""What the desk should know about one session: why it could not be made now, and what to check."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of
from app.rules.diary.facts import Plan, Span
from app.rules.diary.sessions import warnings, why_not_then
from app.rules.settings import SchoolSettings
from app.store.diary import school_days
from app.store.diary.loading import instructor_state, yard_state, zone_of
from app.store.diary.reads import SessionPage


@dataclass(frozen=True, slots=True)
class SessionNotes:
    """Sentences: ``against`` forbid it since it was made, ``check`` only ask to be looked at."""

    against: tuple[str, ...] = ()
    check: tuple[str, ...] = ()


def session_notes(
    session: Session, shown: SessionPage, school: SchoolSettings, now: datetime
) -> SessionNotes:
    """The notes of a session that is still to come; none of any other. Eight queries."""
    line = shown.line
    if line.cancelled or line.ends_at <= now:
        return SessionNotes()
    zone = zone_of(school)
    day = day_of(line.starts_at, zone)
    calendar = school_days.load(session, day, day_of(line.ends_at, zone), school)
    plan = Plan(Span(line.starts_at, line.ends_at), line.places, line.kind)
    who, where = instructor_state(session, line.instructor_id), yard_state(session, shown.yard_id)
    against = why_not_then(plan, where, who, calendar, zone)
    return SessionNotes(
        tuple(reason.sentence for reason in against), warnings(plan, who, calendar, zone)
    )
