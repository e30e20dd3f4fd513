"""Students and instructors."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.categories import Category
from app.rules.people.seeking import sought
from app.store.columns import Base, words


def _sought(context: Any) -> str:
    row = context.get_current_parameters()
    return sought(row["name"], row.get("phone"), row.get("email"))


class StudentRow(Base):
    """A person who is learning. Their account, if they have one, opens only their own record.

    ``sought`` is what the desk searches in; it follows from name, phone and email.
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
    version: Mapped[int] = mapped_column(default=1)


class InstructorRow(Base):
    """A person who teaches in the yard."""

    __tablename__ = "instructors"

    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"), unique=True)
    name: Mapped[str]
    active: Mapped[bool] = mapped_column(default=True)
