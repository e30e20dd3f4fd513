"""Who changed what, when and from where. Entries are added, never changed; the database refuses."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index
from sqlalchemy.orm import Mapped, Session, mapped_column

from app.rules.accounts.roles import Actor
from app.store.columns import Base


class AuditEntryRow(Base):
    """One change, as it was made."""

    __tablename__ = "audit_entries"
    __table_args__ = (Index(None, "subject", "subject_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime] = mapped_column(index=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"), index=True)
    origin: Mapped[str]
    action: Mapped[str]
    subject: Mapped[str]
    subject_id: Mapped[str]
    details: Mapped[dict[str, Any]] = mapped_column(JSON)


def record(
    session: Session,
    by: Actor,
    at: datetime,
    action: str,
    subject: str,
    subject_id: object,
    **details: Any,
) -> None:
    """Add an entry to the transaction that makes the change.

    ``action`` is a verb in the past ("booked"), ``subject`` a table's name,
    ``details`` what JSON can hold; never a password, a token or free text about a person.
    """
    session.add(
        AuditEntryRow(
            at=at,
            account_id=by.account_id,
            origin=by.origin,
            action=action,
            subject=subject,
            subject_id=str(subject_id),
            details=details,
        )
    )
