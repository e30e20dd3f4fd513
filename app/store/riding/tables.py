"""The syllabus, the rides with the faults seen in them, and the mock tests they belong to."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, Numeric, UniqueConstraint, Uuid
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.categories import Category
from app.rules.riding.marking import SpeedResult
from app.rules.riding.values import Outcome, Severity, Side, SpeedSource
from app.store.columns import Base, words


class SyllabusRow(Base):
    """A curriculum, with the rules of its test as the reference files write them."""

    __tablename__ = "syllabuses"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(unique=True)
    version: Mapped[int]
    name: Mapped[str]
    caution: Mapped[str]
    pass_rule: Mapped[dict[str, Any]] = mapped_column(JSON)
    speed_rule: Mapped[dict[str, Any]] = mapped_column(JSON)


class ManoeuvreRow(Base):
    """One thing to get right, with what is said about it. ``minutes`` is for one ride."""

    __tablename__ = "manoeuvres"
    __table_args__ = (UniqueConstraint("syllabus_id", "code"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    syllabus_id: Mapped[int] = mapped_column(ForeignKey("syllabuses.id"))
    code: Mapped[str]
    name: Mapped[str]
    exercise: Mapped[int]
    place: Mapped[int]
    minutes: Mapped[float]
    speed_run: Mapped[bool]
    clean_looks_like: Mapped[str]
    coaching_points: Mapped[list[str]] = mapped_column(JSON)
    common_mistake: Mapped[str]
    cautions: Mapped[list[str]] = mapped_column(JSON)
    cone_colours: Mapped[list[str]] = mapped_column(JSON)
    not_after_failed: Mapped[str | None]
    retired: Mapped[bool] = mapped_column(default=False)


class VariantRow(Base):
    """A way of riding a manoeuvre that is evidence of its own. Every manoeuvre has at least one."""

    __tablename__ = "variants"
    __table_args__ = (UniqueConstraint("manoeuvre_id", "code"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    manoeuvre_id: Mapped[int] = mapped_column(ForeignKey("manoeuvres.id"))
    code: Mapped[str]
    name: Mapped[str]
    place: Mapped[int]
    retired: Mapped[bool] = mapped_column(default=False)


class MinimumSpeedRow(Base):
    """The least speed, in km/h, at which a manoeuvre counts in a category."""

    __tablename__ = "minimum_speeds"

    manoeuvre_id: Mapped[int] = mapped_column(ForeignKey("manoeuvres.id"), primary_key=True)
    category: Mapped[Category] = mapped_column(words(Category), primary_key=True)
    kmh: Mapped[float] = mapped_column(Numeric(4, 1, asdecimal=False))


class FaultKindRow(Base):
    """Something that can be seen in a ride."""

    __tablename__ = "fault_kinds"

    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    sided: Mapped[bool]
    standing: Mapped[str]
    place: Mapped[int]
    retired: Mapped[bool] = mapped_column(default=False)


class ManoeuvreFaultRow(Base):
    """A fault that is offered for a manoeuvre, with the severity it starts from."""

    __tablename__ = "manoeuvre_faults"

    manoeuvre_id: Mapped[int] = mapped_column(ForeignKey("manoeuvres.id"), primary_key=True)
    fault_kind_id: Mapped[int] = mapped_column(ForeignKey("fault_kinds.id"), primary_key=True)
    severity: Mapped[Severity] = mapped_column(words(Severity))
    standing: Mapped[str]
    note: Mapped[str] = mapped_column(default="")


class ReferenceItemRow(Base):
    """What was last shipped for an entry, so that the school's own edits can be told from it."""

    __tablename__ = "reference_items"

    kind: Mapped[str] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(primary_key=True)
    version: Mapped[int]
    shipped: Mapped[dict[str, Any]] = mapped_column(JSON)


class MockTestRow(Base):
    """A practice run of the whole test. Its id is made where it begins; its verdict is not kept.

    ``side`` is the way round the obstacle, and null where the yard allows none.
    """

    __tablename__ = "mock_tests"
    __table_args__ = (
        CheckConstraint("stopped_reason IS NULL OR ended_at IS NOT NULL", name="stopped_has_ended"),
        Index(None, "student_id", "started_at"),
        Index(None, "session_id"),
    )

    id: Mapped[UUID] = mapped_column(Uuid, primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("training_sessions.id"))
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"))
    recorded_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    side: Mapped[Side | None] = mapped_column(words(Side))
    started_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    stopped_reason: Mapped[str | None]


class MockLineRow(Base):
    """One exercise of a mock test as it stood when the test began, in order of ``place``.

    ``left_out`` is the sentence why the yard did not allow it then.
    """

    __tablename__ = "mock_test_lines"

    mock_test_id: Mapped[UUID] = mapped_column(ForeignKey("mock_tests.id"), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    variant_id: Mapped[int] = mapped_column(ForeignKey("variants.id"))
    left_out: Mapped[str | None]


class AttemptRow(Base):
    """One ride of one variant. Its id is made where it is recorded; it is never deleted.

    ``tablet`` and ``tablet_seq`` say which queue it came through, null for a form.
    ``speed_result`` is what the minimum-speed rule said when it was kept.
    ``ridden_at`` is put right already: the tablet's clock showed ``skew_seconds`` more.
    """

    __tablename__ = "attempts"
    __table_args__ = (
        CheckConstraint("speed_kmh IS NULL OR speed_kmh BETWEEN 0 AND 150", name="speed_possible"),
        CheckConstraint("(speed_kmh IS NULL) = (speed_source IS NULL)", name="speed_has_source"),
        CheckConstraint(
            "(struck_at IS NULL) = (struck_reason IS NULL)", name="struck_out_has_reason"
        ),
        Index(None, "student_id", "ridden_at"),
        Index(None, "student_id", "variant_id", "ridden_at"),
        Index(None, "session_id", "student_id"),
        Index(None, "tablet", "tablet_seq"),
    )

    id: Mapped[UUID] = mapped_column(Uuid, primary_key=True)
    session_id: Mapped[int] = mapped_column(ForeignKey("training_sessions.id"))
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"))
    variant_id: Mapped[int] = mapped_column(ForeignKey("variants.id"), index=True)
    bike_id: Mapped[int | None] = mapped_column(ForeignKey("bikes.id"))
    recorded_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    ridden_at: Mapped[datetime]
    received_at: Mapped[datetime]
    outcome: Mapped[Outcome] = mapped_column(words(Outcome))
    speed_result: Mapped[SpeedResult] = mapped_column(
        words(SpeedResult), default=SpeedResult.NO_MINIMUM
    )
    speed_kmh: Mapped[float | None] = mapped_column(Numeric(4, 1, asdecimal=False))
    speed_source: Mapped[SpeedSource | None] = mapped_column(words(SpeedSource))
    second_try: Mapped[bool] = mapped_column(default=False)
    struck_at: Mapped[datetime | None]
    struck_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    struck_reason: Mapped[str | None]
    mock_test_id: Mapped[UUID | None] = mapped_column(ForeignKey("mock_tests.id"), index=True)
    tablet: Mapped[UUID | None] = mapped_column(Uuid)
    tablet_seq: Mapped[int | None]
    skew_seconds: Mapped[int] = mapped_column(default=0)


class PendingStrikeRow(Base):
    """A ride that was struck out before it arrived; the row goes when the ride comes."""

    __tablename__ = "pending_strikes"

    ride_id: Mapped[UUID] = mapped_column(Uuid, primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), primary_key=True)
    reason: Mapped[str]
    received_at: Mapped[datetime]


class AttemptFaultRow(Base):
    """One fault or remark seen in a ride. ``place`` keeps the order in which they were seen."""

    __tablename__ = "attempt_faults"

    attempt_id: Mapped[UUID] = mapped_column(ForeignKey("attempts.id"), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    fault_kind_id: Mapped[int] = mapped_column(ForeignKey("fault_kinds.id"), index=True)
    severity: Mapped[Severity] = mapped_column(words(Severity))
    side: Mapped[Side | None] = mapped_column(words(Side))
