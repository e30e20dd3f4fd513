"""What the engine knows now. Derived: it can be rebuilt from the rides at any time."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from app.store.columns import Base


class LearnerRow(Base):
    """The engine's state of one student over all manoeuvres, as the rules write it.

    ``rough_chance`` is the chance of passing right after the last ride, from their
    own rides alone: lists of many students are put in order by it. The two beliefs
    stand beside the state too, since reading many states takes long.
    """

    __tablename__ = "learners"

    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), primary_key=True)
    last_ridden_at: Mapped[datetime | None] = mapped_column(index=True)
    rough_chance: Mapped[float] = mapped_column(index=True)
    level: Mapped[float]
    level_variance: Mapped[float]
    form: Mapped[float]
    form_variance: Mapped[float]
    state: Mapped[dict[str, Any]] = mapped_column(JSON)


class StandingRow(Base):
    """The engine's state of one student on one manoeuvre variant, as the rules write it.

    ``run`` counts the clean rides since the last that was not, ``run_over`` the
    sessions they lie in: without enough of both, no chance has to be worked out.
    ``serious``, ``again`` and ``riding`` count the faults in the rides that count,
    and the rides that were too slow and had to be ridden again. The belief stands
    beside the state too.
    """

    __tablename__ = "standings"
    # With the counts in it, the sums over the whole school never read the wide rows.
    __table_args__ = (Index(None, "variant_id", "serious", "again", "riding"),)

    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), primary_key=True)
    variant_id: Mapped[int] = mapped_column(ForeignKey("variants.id"), primary_key=True)
    rides: Mapped[int]
    clean_rides: Mapped[int]
    run: Mapped[int]
    run_over: Mapped[int]
    serious: Mapped[int]
    again: Mapped[int]
    riding: Mapped[int]
    own: Mapped[float]
    own_variance: Mapped[float]
    last_ridden_at: Mapped[datetime | None]
    state: Mapped[dict[str, Any]] = mapped_column(JSON)


class GivenChanceRow(Base):
    """The chance of passing that stood before a real test whose result is known."""

    __tablename__ = "given_chances"

    appointment_id: Mapped[int] = mapped_column(
        ForeignKey("test_appointments.id"), primary_key=True
    )
    chance: Mapped[float]
    passed: Mapped[bool]


class SchoolFigureRow(Base):
    """How hard a variant is and what practice on it brings, as the school's own rides say.

    A variant without a row has its shipped figures. ``rides`` and ``students`` are what
    the figures rest on.
    """

    __tablename__ = "school_figures"

    variant_id: Mapped[int] = mapped_column(ForeignKey("variants.id"), primary_key=True)
    ease: Mapped[float]
    practice: Mapped[float]
    rides: Mapped[int]
    students: Mapped[int]
    estimated_at: Mapped[datetime]
