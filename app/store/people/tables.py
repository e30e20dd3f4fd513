"""Students and instructors."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.categories import Category
from app.rules.people.authorisations import Authorisation
from app.rules.people.messages import MessageKind
from app.rules.settings import SchoolSettings
from app.store.columns import Base, words
from app.store.people.writing import sought


def _sought(context: Any) -> str:
    # Only rows that come without it ask for this: whoever knows the school's region says it.
    row = context.get_current_parameters()
    return sought(row["name"], row.get("phone"), row.get("email"), SchoolSettings().phone_region)


class StudentRow(Base):
    """A person who is learning. Their account, if they have one, opens only their own record.

    ``sought`` is what the desk searches in; it follows from name, phone and email.
    ``merged_into_id`` is set when two records were one person: this one is kept for the
    audit alone, and everything it had is the other's.
    """

    __tablename__ = "students"
    __table_args__ = (CheckConstraint("trim(name) <> ''", name="name_given"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"), unique=True)
    name: Mapped[str] = mapped_column(index=True)
    phone: Mapped[str | None]
    email: Mapped[str | None]
    date_of_birth: Mapped[date | None]
    category: Mapped[Category] = mapped_column(words(Category))
    emergency_name: Mapped[str | None]
    emergency_phone: Mapped[str | None]
    guardian_name: Mapped[str | None]
    guardian_phone: Mapped[str | None]
    notes: Mapped[str] = mapped_column(default="")
    sought: Mapped[str] = mapped_column(default=_sought)
    created_at: Mapped[datetime]
    merged_into_id: Mapped[int | None] = mapped_column(ForeignKey("students.id"), index=True)
    merged_at: Mapped[datetime | None]
    version: Mapped[int] = mapped_column(default=1)


class UnwantedMessageRow(Base):
    """A kind of email that a student does not want to get."""

    __tablename__ = "unwanted_messages"

    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), primary_key=True)
    kind: Mapped[MessageKind] = mapped_column(words(MessageKind), primary_key=True)


class InstructorRow(Base):
    """A person who teaches in the yard."""

    __tablename__ = "instructors"

    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"), unique=True)
    name: Mapped[str]
    active: Mapped[bool] = mapped_column(default=True)
    version: Mapped[int] = mapped_column(default=1)


class InstructorHoursRow(Base):
    """A time at which an instructor works each week; ``weekday`` 0 is Monday.

    An instructor without any works whenever the school is open.
    """

    __tablename__ = "instructor_hours"
    __table_args__ = (
        CheckConstraint("ends > begins", name="ends_after_it_began"),
        CheckConstraint("weekday BETWEEN 0 AND 6", name="a_weekday"),
        UniqueConstraint("instructor_id", "weekday", "begins"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    instructor_id: Mapped[int] = mapped_column(ForeignKey("instructors.id"))
    weekday: Mapped[int]
    begins: Mapped[time]
    ends: Mapped[time]


class DayOffRow(Base):
    """Days on which an instructor does not work, both ends included."""

    __tablename__ = "days_off"
    __table_args__ = (
        CheckConstraint("last_day >= first_day", name="ends_not_before_it_began"),
        Index(None, "instructor_id", "first_day"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    instructor_id: Mapped[int] = mapped_column(ForeignKey("instructors.id"))
    first_day: Mapped[date]
    last_day: Mapped[date]
    reason: Mapped[str] = mapped_column(default="")
    noted_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    noted_at: Mapped[datetime]


class AuthorisationRow(Base):
    """What an instructor is authorised to teach, and until when, that day included."""

    __tablename__ = "authorisations"

    instructor_id: Mapped[int] = mapped_column(ForeignKey("instructors.id"), primary_key=True)
    kind: Mapped[Authorisation] = mapped_column(words(Authorisation), primary_key=True)
    expires_on: Mapped[date | None]
