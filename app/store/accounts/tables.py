"""Accounts, their roles, the one-time links that let people in, and who is signed in."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.rules.accounts.links import LinkPurpose
from app.rules.accounts.roles import Role
from app.store.columns import Base, words


class AccountRow(Base):
    """Someone who can sign in. Without a password hash the invitation is still open."""

    __tablename__ = "accounts"
    __table_args__ = (CheckConstraint("email = lower(email)", name="email_lower"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    email: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    password_hash: Mapped[str | None]
    active: Mapped[bool] = mapped_column(default=True)
    created_at: Mapped[datetime]
    version: Mapped[int] = mapped_column(default=1)
    roles: Mapped[list[AccountRoleRow]] = relationship(
        back_populates="account", cascade="all, delete-orphan", lazy="selectin"
    )


class AccountRoleRow(Base):
    """One role of one account."""

    __tablename__ = "account_roles"

    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), primary_key=True)
    role: Mapped[Role] = mapped_column(words(Role), primary_key=True)
    account: Mapped[AccountRow] = relationship(back_populates="roles")


class OneTimeLinkRow(Base):
    """An invitation or a password reset. The link itself is signed; only its id is kept."""

    __tablename__ = "one_time_links"

    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), index=True)
    purpose: Mapped[LinkPurpose] = mapped_column(words(LinkPurpose))
    nonce: Mapped[str] = mapped_column(unique=True)
    made_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    made_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))


class SignInRow(Base):
    """One browser that is signed in. The cookie holds a token; only its hash is kept.

    ``account_id`` signed in by password at ``began_at``. ``at_tablet_id`` has taken over by
    code since, if anyone has. ``seen_at`` is when it was last used, to within SEEN_EVERY.
    """

    __tablename__ = "sign_ins"
    __table_args__ = (Index(None, "account_id", "ended_at"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"))
    token_hash: Mapped[str] = mapped_column(unique=True)
    began_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    origin: Mapped[str]
    at_tablet_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"), index=True)
    seen_at: Mapped[datetime | None]
    locked_at: Mapped[datetime | None]


class HandOverCodeRow(Base):
    """An instructor's short code, hashed like a password."""

    __tablename__ = "hand_over_codes"

    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), primary_key=True)
    code_hash: Mapped[str]
    set_at: Mapped[datetime]


class CodeTryRow(Base):
    """A code that was tried and did not fit."""

    __tablename__ = "code_tries"
    __table_args__ = (Index(None, "account_id", "at"), Index(None, "sign_in_id", "at"))

    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"))
    sign_in_id: Mapped[int] = mapped_column(ForeignKey("sign_ins.id"))
    at: Mapped[datetime]


class TabletTurnRow(Base):
    """From when someone was at a browser by code: who may have recorded what it sends later."""

    __tablename__ = "tablet_turns"

    id: Mapped[int] = mapped_column(primary_key=True)
    sign_in_id: Mapped[int] = mapped_column(ForeignKey("sign_ins.id"), index=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"))
    began_at: Mapped[datetime]
