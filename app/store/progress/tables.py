"""What the engine knows now. Derived: it can be rebuilt from the rides at any time."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.store.columns import Base


class LearnerRow(Base):
    """The engine's state of one student over all manoeuvres, as the rules write it."""

    __tablename__ = "learners"

    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), primary_key=True)
    state: Mapped[dict[str, Any]] = mapped_column(JSON)


class StandingRow(Base):
    """The engine's state of one student on one manoeuvre variant, as the rules write it."""

    __tablename__ = "standings"

    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), primary_key=True)
    variant_id: Mapped[int] = mapped_column(ForeignKey("variants.id"), primary_key=True, index=True)
    rides: Mapped[int]
    clean_rides: Mapped[int]
    last_ridden_at: Mapped[datetime | None]
    state: Mapped[dict[str, Any]] = mapped_column(JSON)
