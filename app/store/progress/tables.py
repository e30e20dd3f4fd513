"""What the engine knows now. Derived: it can be rebuilt from the rides at any time."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.store.columns import Base


class LearnerRow(Base):
    """The engine's state of one student, over all manoeuvres, and the last ride it has counted."""

    __tablename__ = "learners"

    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), primary_key=True)
    general: Mapped[dict[str, Any]] = mapped_column(JSON)
    last_ridden_at: Mapped[datetime]
    last_attempt_id: Mapped[str]


class StandingRow(Base):
    """The engine's state of one student on one manoeuvre variant."""

    __tablename__ = "standings"

    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), primary_key=True)
    variant_id: Mapped[int] = mapped_column(
        ForeignKey("variants.id"), primary_key=True, index=True
    )
    rides: Mapped[int]
    clean_rides: Mapped[int]
    last_ridden_at: Mapped[datetime]
    was_steady: Mapped[bool]
    state: Mapped[dict[str, Any]] = mapped_column(JSON)
