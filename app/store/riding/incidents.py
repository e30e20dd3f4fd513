"""Near misses, falls and injuries: written down in the yard, read and closed by the owner."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Missing, Reason, Refused
from app.rules.riding.safety import INCIDENT_WORDS, NewIncident, letter
from app.rules.words import moment_words
from app.store import audit, outbox, settings
from app.store.accounts.tables import AccountRoleRow, AccountRow
from app.store.database import Database, Lock
from app.store.diary.tables import SessionRow
from app.store.people.tables import StudentRow
from app.store.riding.around import riders_of
from app.store.riding.recording import may_record
from app.store.riding.safety_tables import IncidentRow
from app.store.yards.tables import BikeRow, YardRow

MOST = 20
"""How many open ones the office shows; the rest come up as these are closed."""


@dataclass(frozen=True, slots=True)
class IncidentLine:
    """One incident as the owner reads it; names are None where nobody is known."""

    incident_id: UUID
    what: str
    happened_at: datetime
    yard: str
    rider: str | None
    bike: str | None
    recorded_by: str | None
    note: str


def report(db: Database, by: Actor, found: NewIncident, now: datetime, *, mail: bool) -> UUID:
    """Write an incident down, once for its id, and owe the owners an email where mail is sent.

    Raises Missing for a session that is not this person's, and Refused for a
    rider who has no place in it. Returns the incident's id.
    """
    with db.writing(Lock.DIARY) as session:
        if session.get(IncidentRow, found.incident_id) is not None:
            return found.incident_id
        training = session.get(SessionRow, found.session_id)
        if training is None or not may_record(by, training):
            raise Missing(f"session {found.session_id}")
        session.add(_row(session, by, found, now))
        audit.record(
            session, by, now, "reported", "incidents", found.incident_id, kind=found.kind.value
        )
        if mail:
            _tell_owners(session, by, training, found, now)
        return found.incident_id


def _row(session: Session, by: Actor, found: NewIncident, now: datetime) -> IncidentRow:
    bikes = {rider.student_id: rider.bike_id for rider in riders_of(session, found.session_id)}
    if found.student_id is not None and found.student_id not in bikes:
        raise Refused(Reason("This rider has no place in the session. Choose another.", "rider"))
    return IncidentRow(
        id=found.incident_id,
        session_id=found.session_id,
        student_id=found.student_id,
        bike_id=bikes[found.student_id] if found.student_id is not None else None,
        kind=found.kind,
        note=found.note.strip(),
        happened_at=now,
        received_at=now,
        recorded_by=by.account_id,
    )


def _tell_owners(
    session: Session, by: Actor, training: SessionRow, found: NewIncident, now: datetime
) -> None:
    zone = ZoneInfo(settings.load(session).time_zone)
    yard = session.get_one(YardRow, training.yard_id).name
    subject, body = letter(found.kind, yard, moment_words(now, zone), by.name)
    owners = session.scalars(
        select(AccountRow.email)
        .join(AccountRoleRow, AccountRoleRow.account_id == AccountRow.id)
        .where(AccountRow.active, AccountRoleRow.role == Role.OWNER)
        .order_by(AccountRow.id)
    )
    for email in owners.all():
        outbox.post(session, email, subject, body, now)


def open_incidents(session: Session) -> tuple[IncidentLine, ...]:
    """What nobody has closed yet, the newest first: one query, MOST lines at most."""
    recorder = aliased(AccountRow)
    rows = session.execute(
        select(IncidentRow, YardRow.name, StudentRow.name, BikeRow.label, recorder.name)
        .join(SessionRow, IncidentRow.session_id == SessionRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .outerjoin(StudentRow, IncidentRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, IncidentRow.bike_id == BikeRow.id)
        .outerjoin(recorder, IncidentRow.recorded_by == recorder.id)
        .where(IncidentRow.closed_at.is_(None))
        .order_by(IncidentRow.happened_at.desc(), IncidentRow.id)
        .limit(MOST)
    )
    return tuple(_line(*row) for row in rows)


def _line(
    row: IncidentRow, yard: str, rider: str | None, bike: str | None, recorder: str | None
) -> IncidentLine:
    what = INCIDENT_WORDS[row.kind]
    return IncidentLine(row.id, what, row.happened_at, yard, rider, bike, recorder, row.note)


def close(db: Database, by: Actor, incident_id: UUID, now: datetime) -> None:
    """Close an incident: it stays on file and leaves the office. Twice changes nothing."""
    with db.writing(Lock.DIARY) as session:
        row = session.get(IncidentRow, incident_id)
        if row is None:
            raise Missing(f"incident {incident_id}")
        if row.closed_at is None:
            row.closed_at, row.closed_by = now, by.account_id
            audit.record(session, by, now, "closed", "incidents", incident_id)
