"""Email to students about their bookings, owed in the transaction that causes it.

Each of these is called inside the caller's transaction, after the change is made, so
that what is refused or undone says nothing. They say nothing either to a student
without an email on file, or to one who chose not to get that kind. A message that is
still unsent when what it says stops being so is dropped, and what took its place says
all that is left to say. ``now`` is an aware moment.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from sqlalchemy.orm import Session

from app.rules.diary import letters as words
from app.rules.diary.appointments import Appointment
from app.rules.diary.values import BookingState, GivenUpFor
from app.rules.letters import Letter
from app.rules.people.messages import MessageKind
from app.store.diary.letter_facts import (
    Reader,
    Told,
    sender,
    told,
    told_of_course,
    told_of_session,
    unwanted,
)
from app.store.diary.tables import CourseRow
from app.store.diary.unsent import Unsent, drop, owe, unsent_of, was_offered

_SILENT = frozenset({GivenUpFor.HOLD_OVER, GivenUpFor.MERGED})
"""Given up without a word: a place that nobody took in time, and records that became one."""


def appointment_of(session: Session, booking_id: int) -> Appointment:
    """What a booking is now; ask before a change, and hand it to :func:`changed` after it."""
    return told(session, booking_id).appointment


def appointments_of(session: Session, session_id: int) -> dict[int, Appointment]:
    """The same for each booking that takes up a place of a session, by its id. One query."""
    return {one.booking_id: one.appointment for one in told_of_session(session, session_id)}


def booked(session: Session, booking_id: int, now: datetime) -> None:
    """A place is booked. An offer of it that was not sent yet is dropped."""
    one = told(session, booking_id)
    own = replace(unsent_of(session, one), course=())
    drop(own, now, "The place was booked before this was sent.")
    letter = words.confirmation(sender(session), one.reader.name, one.appointment)
    _tell(session, MessageKind.CONFIRMATION, one, letter, now)


def changed(session: Session, booking_id: int, before: Appointment, now: datetime) -> None:
    """A booking is at another time, in another yard, with another instructor or on another bike.

    Says nothing when nothing of that differs from ``before``. Changes that were not
    told yet are told as one; one that was taken back is not told at all.
    """
    one = told(session, booking_id)
    if one.appointment.same_as(before):
        return
    waiting = unsent_of(session, one)
    drop(waiting, now, "The booking changed before this was sent.")
    if one.state is BookingState.HELD:
        if was_offered(session, booking_id):
            offered(session, booking_id, now)
    else:
        _tell_change(session, one, waiting, before, now)
        _course_again(session, one, waiting, now)


def _tell_change(
    session: Session, one: Told, waiting: Unsent, before: Appointment, now: datetime
) -> None:
    was = waiting.first_told(before)
    if one.appointment.same_as(was) or not _wants(session, MessageKind.CHANGE, one.reader):
        if any(row.kind == MessageKind.CONFIRMATION for row in waiting.own):
            booked(session, one.booking_id, now)
        return
    letter = words.change(sender(session), one.reader.name, was, one.appointment)
    owe(session, MessageKind.CHANGE, one.reader, letter, now, (one,), was=was)


def cancelled(session: Session, booking_id: int, now: datetime) -> None:
    """A booking is cancelled, for the reason that stands in it.

    A student who gives a place up before its confirmation has left gets neither: the
    dropped confirmation says so. When it was the school or the weather they do get
    the cancellation, since they may know of the booking from the telephone.
    """
    one = told(session, booking_id)
    waiting = unsent_of(session, one)
    both_out = waiting.confirms and one.gone_for is GivenUpFor.STUDENT
    neither = ", so neither it nor a cancellation is sent" if both_out else ""
    drop(waiting, now, f"The booking was cancelled before this was sent{neither}.")
    if not both_out and one.gone_for not in _SILENT:
        school, name = sender(session), one.reader.name
        letter = words.cancellation(school, name, one.appointment, one.gone_for, late=one.late)
        _tell(session, MessageKind.CANCELLATION, one, letter, now)
    _course_again(session, one, waiting, now)


def offered(session: Session, booking_id: int, now: datetime) -> None:
    """A place has become free and is held for somebody who waits."""
    one = told(session, booking_id)
    if one.held_until is not None:
        school, name = sender(session), one.reader.name
        letter = words.offer(school, name, one.appointment, one.held_until)
        _tell(session, MessageKind.OFFER, one, letter, now)


def course_booked(session: Session, course_id: int, now: datetime) -> None:
    """Several sessions are booked in one go: one message tells of all."""
    sessions = told_of_course(session, course_id)
    if not sessions or not _wants(session, MessageKind.CONFIRMATION, sessions[0].reader):
        return
    title, reader = session.get_one(CourseRow, course_id).name, sessions[0].reader
    letter = words.course(sender(session), reader.name, title, [s.appointment for s in sessions])
    owe(session, MessageKind.CONFIRMATION, reader, letter, now, sessions)


def _course_again(session: Session, one: Told, waiting: Unsent, now: datetime) -> None:
    """Write the message about a whole course anew when the one that was dropped told of it."""
    if waiting.course and one.course_id is not None:
        course_booked(session, one.course_id, now)


def _tell(session: Session, kind: MessageKind, one: Told, letter: Letter, now: datetime) -> None:
    if _wants(session, kind, one.reader):
        owe(session, kind, one.reader, letter, now, (one,))


def _wants(session: Session, kind: MessageKind, reader: Reader) -> bool:
    return not unwanted(session, kind, [reader.id])
