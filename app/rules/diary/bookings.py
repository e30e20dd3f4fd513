"""Whether a student may have a place in a session, and every reason why not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.authorised import why_not_teach
from app.rules.diary.bikes import why_not_bike
from app.rules.diary.clock import day_of
from app.rules.diary.facts import BikeState, Held, Rider, SessionState
from app.rules.diary.values import (
    HELD_STATES,
    TAKING_STATES,
    TO_COME_STATES,
    BookingState,
)
from app.rules.papers.ages import opens_at_the_earliest
from app.rules.people.ages import needs_guardian
from app.rules.refusal import Reason
from app.rules.words import count_words, date_words


def why_not_book(
    session: SessionState,
    rider: Rider,
    bike: BikeState | None,
    held: Iterable[Held],
    now: datetime,
    zone: ZoneInfo,
) -> tuple[Reason, ...]:
    """Every reason against a booking.

    ``bike`` is None for a student who rides their own. ``held`` are the places
    of this student, and those on this bike, that overlap the session or lie in it.
    """
    if session.cancelled:
        return (Reason("This session has been cancelled."),)
    if session.span.ends_at <= now:
        return (Reason("This session is over. Choose another."),)
    # Whoever opens the day again, or moves the session, mends it for all its riders.
    shut = tuple(Reason(one.sentence) for one in session.against)
    return (*shut, *why_not_hold(session, rider, bike, held, zone))


def why_not_hold(
    session: SessionState,
    rider: Rider,
    bike: BikeState | None,
    held: Iterable[Held],
    zone: ZoneInfo,
) -> tuple[Reason, ...]:
    """Every reason against a place that has nothing to do with what time it is now."""
    held = tuple(held)
    return (
        *_student(session, rider, held, zone),
        *_place(session, held),
        *_bike(session, rider, bike, held, zone),
        *_teacher(session, rider, bike, zone),
    )


def _teacher(
    session: SessionState, rider: Rider, bike: BikeState | None, zone: ZoneInfo
) -> tuple[Reason, ...]:
    if session.teacher is None:
        return ()
    day = day_of(session.span.starts_at, zone)
    ridden = bike.category if bike else None
    against = why_not_teach(session.teacher, rider.category, ridden, day)
    return tuple(Reason(reason.sentence, "bike_id") for reason in against)


def _student(
    session: SessionState, rider: Rider, held: Iterable[Held], zone: ZoneInfo
) -> Iterator[Reason]:
    if needs_guardian(rider.born, day_of(session.span.starts_at, zone)) and not rider.has_guardian:
        yield Reason(
            f"{rider.name} is under 18 then. Put a guardian’s name and phone on file first."
        )
    for place in held:
        if place.same_student and place.same_session:
            yield Reason(f"{rider.name} already has a place in this session.")
        elif place.same_student and place.span.overlaps(session.span):
            yield Reason(f"{rider.name} is booked in {place.yard} on {place.span.words(zone)}.")


def _place(session: SessionState, held: Iterable[Held]) -> Iterator[Reason]:
    # Told once: someone who is in already has one of the places that are gone.
    already = any(place.same_student and place.same_session for place in held)
    if session.taken >= session.places and not already:
        places = count_words(session.places, "place")
        yield Reason(f"This session is full: its {places} {_is(session.places)} taken.")


def _is(number: int) -> str:
    return "is" if number == 1 else "are"


def _bike(
    session: SessionState,
    rider: Rider,
    bike: BikeState | None,
    held: Iterable[Held],
    zone: ZoneInfo,
) -> Iterator[Reason]:
    if bike is None:
        return
    if sentence := why_not_bike(bike, rider.category):
        yield Reason(sentence, "bike_id")
    yield from _age(session, rider, bike, zone)
    for place in held:
        clashes = place.same_session or place.span.overlaps(session.span)
        if place.same_bike and not place.same_student and clashes:
            when = place.span.words(zone)
            yield Reason(f"{bike.label} is taken by {place.student} on {when}.", "bike_id")


def _age(session: SessionState, rider: Rider, bike: BikeState, zone: ZoneInfo) -> Iterator[Reason]:
    # Without a date of birth nothing is refused: the card says that it is missing.
    opens = opens_at_the_earliest(bike.category, rider.born) if rider.born else None
    if opens and day_of(session.span.starts_at, zone) < opens:
        yield Reason(
            f"{rider.name} is too young for {bike.label} then: category {bike.category} "
            f"is open to them from {date_words(opens)} at the earliest.",
            "bike_id",
        )


def why_not_change_bike(
    state: BookingState,
    session: SessionState,
    rider: Rider,
    bike: BikeState | None,
    held: Iterable[Held],
    now: datetime,
    zone: ZoneInfo,
) -> tuple[Reason, ...]:
    """Every reason against giving a student who is booked this bike instead of theirs."""
    if state not in TAKING_STATES:
        return (Reason("This booking holds no place any more."),)
    if session.span.ends_at <= now:
        return (Reason("This session is over."),)
    return (
        *_bike(session, rider, bike, held, zone),
        *_teacher(session, rider, bike, zone),
    )


def why_not_confirm(
    state: BookingState, session: SessionState, now: datetime
) -> tuple[Reason, ...]:
    """Why a place that was held for a student cannot be booked for them as it is."""
    if state in HELD_STATES:
        return (Reason("This place is booked already."),)
    if state is not BookingState.HELD:
        return (Reason("This place is not held any more. Book it again, if it is still free."),)
    if session.span.ends_at <= now:
        return (Reason("This session is over."),)
    return ()


def why_not_leave(state: BookingState, session: SessionState, now: datetime) -> tuple[Reason, ...]:
    """Why a student cannot be moved out of this session into another one."""
    if state is BookingState.CANCELLED:
        return (Reason("This booking was cancelled. Book a new place instead."),)
    if state in (BookingState.ATTENDED, BookingState.NO_SHOW):
        return (Reason("The student has been marked as here or not here, so it cannot be moved."),)
    if session.span.starts_at <= now:
        return (Reason("This session has begun. Book a new place instead."),)
    return ()


def is_late(starts_at: datetime, at: datetime, notice_hours: int) -> bool:
    """Whether giving a place up at ``at`` leaves the school less notice than its owner asks."""
    return at > starts_at - timedelta(hours=notice_hours)


def why_not_cancel(state: BookingState, session: SessionState, now: datetime) -> tuple[Reason, ...]:
    """Why a booking can no longer be cancelled."""
    if state is BookingState.CANCELLED:
        return (Reason("This booking was cancelled before."),)
    if state not in TO_COME_STATES:
        return (
            Reason("The student has been marked as here or not here, so it cannot be cancelled."),
        )
    if session.span.ends_at <= now:
        return (Reason("This session is over. Mark whether the student was here instead."),)
    return ()


def why_not_mark(
    state: BookingState, wanted: BookingState, session: SessionState, now: datetime, zone: ZoneInfo
) -> tuple[Reason, ...]:
    """Why a student cannot be marked as here (attended) or not here (no-show).

    Those who come early may be marked on the day; that someone stayed away is
    not known before the start.
    """
    if state is BookingState.CANCELLED:
        return (Reason("This booking was cancelled. Book the student again."),)
    if state is BookingState.HELD:
        return (Reason("This place is only held. Book it first."),)
    if day_of(now, zone) < day_of(session.span.starts_at, zone):
        return (Reason("This session is on a day still to come."),)
    if wanted is BookingState.NO_SHOW and now < session.span.starts_at:
        return (Reason("This session has not started yet."),)
    return ()
