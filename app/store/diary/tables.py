"""Training sessions, the bookings in them, and the real tests."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.diary.values import BookingState, SessionKind, Surface, TestModule, TestResult
from app.store.columns import Base, words

_HOLDS = text("state IN ('booked', 'attended')")


class SessionRow(Base):
    """A block of time in one yard with one instructor."""

    __tablename__ = "training_sessions"
    __table_args__ = (
        CheckConstraint("ends_at > starts_at", name="ends_after_it_began"),
        CheckConstraint("places > 0", name="has_places"),
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


class BookingRow(Base):
    """One student's place in a session. A student or a bike holds at most one place in it."""

    __tablename__ = "bookings"
    __table_args__ = (
        CheckConstraint(
            "(state = 'cancelled') = (cancelled_at IS NOT NULL)", name="cancelled_has_time"
        ),
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
    session_id: Mapped[int] = mapped_column(ForeignKey("training_sessions.id"), index=True)
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), index=True)
    bike_id: Mapped[int | None] = mapped_column(ForeignKey("bikes.id"), index=True)
    state: Mapped[BookingState] = mapped_column(words(BookingState))
    booked_at: Mapped[datetime]
    booked_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    cancelled_at: Mapped[datetime | None]
    cancelled_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    late: Mapped[bool] = mapped_column(default=False)
    version: Mapped[int] = mapped_column(default=1)


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
