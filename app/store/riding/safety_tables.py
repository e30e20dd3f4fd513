"""Safety checks, and what happened in spite of them."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Uuid
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.riding.safety import IncidentKind
from app.store.columns import Base, words


class SafetyCheckRow(Base):
    """That an instructor confirmed the checks of a session: once, in the words shown then."""

    __tablename__ = "safety_checks"

    session_id: Mapped[int] = mapped_column(ForeignKey("training_sessions.id"), primary_key=True)
    confirmed_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    confirmed_at: Mapped[datetime]
    checks: Mapped[list[Any]] = mapped_column(JSON)


class IncidentRow(Base):
    """A near miss, a fall or an injury. Its id is made where it is recorded; never deleted."""

    __tablename__ = "incidents"
    __table_args__ = (
        CheckConstraint("closed_at IS NOT NULL OR closed_by IS NULL", name="closed_has_time"),
    )

    id: Mapped[UUID] = mapped_column(Uuid, primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("training_sessions.id"), index=True)
    student_id: Mapped[int | None] = mapped_column(ForeignKey("students.id"), index=True)
    bike_id: Mapped[int | None] = mapped_column(ForeignKey("bikes.id"))
    kind: Mapped[IncidentKind] = mapped_column(words(IncidentKind))
    note: Mapped[str] = mapped_column(default="")
    happened_at: Mapped[datetime]
    received_at: Mapped[datetime]
    recorded_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    closed_at: Mapped[datetime | None] = mapped_column(index=True)
    closed_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
