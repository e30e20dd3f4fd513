"""Training sessions, the bookings in them, and the real tests."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any

from sqlalchemy import (
    CheckConstraint,
    ColumnElement,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    UniqueConstraint,
    func,
    literal_column,
    select,
    text,
)
from sqlalchemy.dialects.postgresql import ExcludeConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.diary.values import (
    TAKING_STATES,
    BookingState,
    GivenUpFor,
    OfferState,
    SessionKind,
    Surface,
    TestModule,
    TestResult,
    WaitingState,
)
from app.store.columns import Base, words

_HELD_NOW = f"state IN ({', '.join(repr(state.value) for state in TAKING_STATES)})"
_HOLDS = text(_HELD_NOW)


def _never_twice(name: str, column: str, where: str) -> ExcludeConstraint:
    """At no moment the same value twice; SQLite has triggers for it, made by migration 0013.

    A range of one number stands for the number, so that no extension is needed.
    """
    one: ColumnElement[int] = literal_column(column)
    return ExcludeConstraint(
        (func.int4range(one, one, text("'[]'")), "&&"),
        (func.tstzrange(literal_column("starts_at"), literal_column("ends_at")), "&&"),
        name=name,
        where=text(where),
        using="gist",
    ).ddl_if(dialect="postgresql")


class SessionRow(Base):
    """A block of time in one yard with one instructor."""

    __tablename__ = "training_sessions"
    __table_args__ = (
        CheckConstraint("ends_at > starts_at", name="ends_after_it_began"),
        CheckConstraint("places > 0", name="has_places"),
        CheckConstraint("kind <> 'road' OR places <= 2", name="two_on_the_road"),
        UniqueConstraint("id", "starts_at", "ends_at"),
        _never_twice("instructor_once", "instructor_id", "cancelled_at IS NULL"),
        Index(None, "instructor_id", "starts_at"),
        Index(None, "yard_id", "starts_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    yard_id: Mapped[int] = mapped_column(ForeignKey("yards.id"))
    instructor_id: Mapped[int] = mapped_column(ForeignKey("instructors.id"))
    kind: Mapped[SessionKind] = mapped_column(words(SessionKind))
    starts_at: Mapped[datetime] = mapped_column(index=True)
    ends_at: Mapped[datetime]
    places: Mapped[int]
    surface: Mapped[Surface | None] = mapped_column(words(Surface))
    windy: Mapped[bool | None]
    surface_remark: Mapped[str] = mapped_column(default="")
    remarks: Mapped[str] = mapped_column(default="")
    cancelled_at: Mapped[datetime | None]
    cancelled_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    version: Mapped[int] = mapped_column(default=1)


def _of_session(column: str) -> Callable[[Any], datetime]:
    """The time of the booking's session, for whoever adds a booking without saying it."""

    def asked(context: Any) -> datetime:
        session_id = context.get_current_parameters()["session_id"]
        query = select(getattr(SessionRow, column)).where(SessionRow.id == session_id)
        found: datetime = context.root_connection.execute(query).scalar_one()
        return found

    return asked


class BookingRow(Base):
    """One student's place in a session, whose times it repeats so that no two can overlap.

    ``held_until`` is set while a place is only held; ``given_up_for`` once it is given up.
    """

    __tablename__ = "bookings"
    __table_args__ = (
        CheckConstraint(
            "(state = 'cancelled') = (cancelled_at IS NOT NULL)", name="cancelled_has_time"
        ),
        CheckConstraint("(state = 'held') = (held_until IS NOT NULL)", name="held_has_an_end"),
        ForeignKeyConstraint(
            ["session_id", "starts_at", "ends_at"],
            ["training_sessions.id", "training_sessions.starts_at", "training_sessions.ends_at"],
            onupdate="CASCADE",
        ),
        _never_twice("student_once", "student_id", _HELD_NOW),
        _never_twice("bike_once", "bike_id", f"{_HELD_NOW} AND bike_id IS NOT NULL"),
        Index(
            "uq_bookings_student_held", "session_id", "student_id",
            unique=True, sqlite_where=_HOLDS, postgresql_where=_HOLDS,
        ),
        Index(
            "uq_bookings_bike_held", "session_id", "bike_id",
            unique=True, sqlite_where=_HOLDS, postgresql_where=_HOLDS,
        ),
    )  # fmt: skip

    id: Mapped[int] = mapped_column(primary_key=True)
    session_id: Mapped[int] = mapped_column(index=True)
    starts_at: Mapped[datetime] = mapped_column(default=_of_session("starts_at"))
    ends_at: Mapped[datetime] = mapped_column(default=_of_session("ends_at"))
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), index=True)
    bike_id: Mapped[int | None] = mapped_column(ForeignKey("bikes.id"), index=True)
    state: Mapped[BookingState] = mapped_column(words(BookingState))
    booked_at: Mapped[datetime]
    booked_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    cancelled_at: Mapped[datetime | None]
    cancelled_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    given_up_for: Mapped[GivenUpFor | None] = mapped_column(words(GivenUpFor))
    held_until: Mapped[datetime | None]
    course_id: Mapped[int | None] = mapped_column(ForeignKey("courses.id"), index=True)
    late: Mapped[bool] = mapped_column(default=False)
    version: Mapped[int] = mapped_column(default=1)


class CourseRow(Base):
    """Several sessions that a student was booked into in one go."""

    __tablename__ = "courses"

    id: Mapped[int] = mapped_column(primary_key=True)
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), index=True)
    name: Mapped[str]
    booked_at: Mapped[datetime]
    booked_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))


class WaitingRow(Base):
    """A student who waits for a place: what for, and when they can.

    ``weekdays`` has a digit for each day, 0 for Monday; ``begins`` and ``ends`` are
    the school's own time of day. With ``session_id`` they wait for that session alone.
    """

    __tablename__ = "waiting"
    __table_args__ = (
        CheckConstraint("latest >= earliest", name="latest_not_before_earliest"),
        CheckConstraint("weekdays <> ''", name="some_day"),
        Index(None, "state", "asked_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), index=True)
    kind: Mapped[SessionKind] = mapped_column(words(SessionKind))
    session_id: Mapped[int | None] = mapped_column(ForeignKey("training_sessions.id"), index=True)
    earliest: Mapped[date]
    latest: Mapped[date]
    weekdays: Mapped[str] = mapped_column(default="0123456")
    begins: Mapped[time | None]
    ends: Mapped[time | None]
    own_bike: Mapped[bool] = mapped_column(default=False)
    asked_at: Mapped[datetime]
    asked_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    state: Mapped[WaitingState] = mapped_column(words(WaitingState), default=WaitingState.WAITING)
    version: Mapped[int] = mapped_column(default=1)


class OfferRow(Base):
    """A place that was held for somebody who waits. One session is offered to them once."""

    __tablename__ = "offers"
    __table_args__ = (UniqueConstraint("waiting_id", "session_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    waiting_id: Mapped[int] = mapped_column(ForeignKey("waiting.id"))
    session_id: Mapped[int] = mapped_column(ForeignKey("training_sessions.id"), index=True)
    booking_id: Mapped[int] = mapped_column(ForeignKey("bookings.id"), index=True)
    made_at: Mapped[datetime]
    state: Mapped[OfferState] = mapped_column(words(OfferState), default=OfferState.OPEN)


class CalendarFeedRow(Base):
    """A secret address at which a calendar can be read until it is revoked.

    It is the school's when neither an instructor nor a student is named. Only a
    digest of the secret is kept, so the address is shown once, when it is made.
    """

    __tablename__ = "calendar_feeds"
    __table_args__ = (
        CheckConstraint("instructor_id IS NULL OR student_id IS NULL", name="one_owner"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(unique=True)
    instructor_id: Mapped[int | None] = mapped_column(ForeignKey("instructors.id"), index=True)
    student_id: Mapped[int | None] = mapped_column(ForeignKey("students.id"), index=True)
    made_at: Mapped[datetime]
    made_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    revoked_at: Mapped[datetime | None]
    revoked_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))


class TestAppointmentRow(Base):
    """The real test: where and when, on which bike, and what came of it."""

    __tablename__ = "test_appointments"

    id: Mapped[int] = mapped_column(primary_key=True)
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), index=True)
    module: Mapped[TestModule] = mapped_column(words(TestModule))
    centre: Mapped[str]
    starts_at: Mapped[datetime] = mapped_column(index=True)
    bike_id: Mapped[int | None] = mapped_column(ForeignKey("bikes.id"))
    result: Mapped[TestResult | None] = mapped_column(words(TestResult))
