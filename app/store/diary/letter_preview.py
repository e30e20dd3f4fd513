"""What a student would be sent if they were booked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary import letters as words
from app.rules.diary.appointments import Appointment
from app.rules.letters import as_text
from app.rules.people.messages import MessageKind
from app.rules.refusal import Missing
from app.store.diary.letter_facts import (
    Reader,
    appointment_from_rows,
    reader_from,
    sender,
    unwanted,
)
from app.store.diary.tables import SessionRow
from app.store.letterhead import Sheet, as_html, sheet
from app.store.outbox import MessageRow
from app.store.people.reads import student_row
from app.store.people.tables import InstructorRow
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class Preview:
    """A message that is not owed yet. ``why_not`` says why the student would not get it."""

    reader: Reader
    why_not: str
    subject: str
    sheet: Sheet


def confirmation_preview(
    session: Session,
    session_id: int,
    student_id: int,
    bike_id: int | None,
    base_url: str | None,
    now: datetime,
) -> Preview:
    """What booking a student would send; Missing for an unknown session or student. Four queries.

    A bike that is not ours is taken for the student's own.
    """
    student = student_row(session, student_id)
    reader = reader_from(student)
    appointment = _appointment(session, session_id, bike_id)
    letter = words.confirmation(sender(session), reader.name, appointment)
    message = MessageRow(
        recipient=reader.email or "",
        subject=letter.subject,
        body=as_text(letter),
        html=as_html(letter),
        made_at=now,
        facts={"own_page": reader.own_page},
    )
    return Preview(reader, _why_not(session, reader), letter.subject, sheet(message, base_url))


def _why_not(session: Session, reader: Reader) -> str:
    if not reader.email:
        return "There is no email on file for them, so nothing is sent."
    if unwanted(session, MessageKind.CONFIRMATION, [reader.id]):
        return "They chose not to get messages of this kind, so nothing is sent."
    return ""


def _appointment(session: Session, session_id: int, bike_id: int | None) -> Appointment:
    bike = select(BikeRow.label).where(BikeRow.id == bike_id).scalar_subquery()
    row = session.execute(
        select(SessionRow, YardRow.name.label("yard"), InstructorRow.name.label("instructor"))
        .add_columns(bike.label("bike"))
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .where(SessionRow.id == session_id)
    ).one_or_none()
    if row is None:
        raise Missing
    return appointment_from_rows(row, bike_id)
