"""Who is behind a request, and what the sign-in page shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.accounts.codes import BY_CODE, Presence
from app.rules.accounts.roles import ROLE_WORDS, Actor, Role
from app.store.accounts.hashing import token_hash
from app.store.accounts.own_records import INSTRUCTORS, STUDENTS
from app.store.accounts.tables import AccountRoleRow, AccountRow, SignInRow

DEMO_DOMAIN = "saltmarsh.example"
"""The domain of the invented accounts of a demo (.example is kept for such use, RFC 2606)."""

_SHOWN = {Role.OWNER: 1, Role.DESK: 1, Role.INSTRUCTOR: 2, Role.STUDENT: 2}


@dataclass(frozen=True, slots=True)
class Visit:
    """One browser that is signed in, and the person who is at it now."""

    sign_in_id: int
    email: str
    actor: Actor
    here: Presence


def visit_by_token(session: Session, token: str, now: datetime, origin: str) -> Visit | None:
    """The browser that holds ``token``, in one query; None when it opens nothing now.

    Whoever came by code has an instructor's part alone, whatever else they do.
    """
    rows = session.execute(
        select(
            AccountRow.id,
            AccountRow.name,
            AccountRow.email,
            AccountRoleRow.role,
            STUDENTS.c.id.label("student_id"),
            INSTRUCTORS.c.id.label("instructor_id"),
            SignInRow.id.label("sign_in_id"),
            SignInRow.at_tablet_id.is_not(None).label("by_code"),
            SignInRow.began_at,
            SignInRow.seen_at,
            SignInRow.locked_at,
        )
        .join(
            SignInRow,
            func.coalesce(SignInRow.at_tablet_id, SignInRow.account_id) == AccountRow.id,
        )
        .outerjoin(AccountRoleRow, AccountRoleRow.account_id == AccountRow.id)
        .outerjoin(STUDENTS, STUDENTS.c.account_id == AccountRow.id)
        .outerjoin(INSTRUCTORS, INSTRUCTORS.c.account_id == AccountRow.id)
        .where(SignInRow.token_hash == token_hash(token), SignInRow.ended_at.is_(None))
        .where(SignInRow.expires_at > now, AccountRow.active)
    ).all()
    return _visit(rows, origin) if rows else None


def _visit(rows: Sequence[Any], origin: str) -> Visit:
    first = rows[0]
    held = frozenset(row.role for row in rows if row.role is not None)
    roles = held & BY_CODE if first.by_code else held
    actor = Actor(
        account_id=first.id,
        name=first.name,
        roles=roles,
        origin=origin,
        student_id=None if first.by_code else first.student_id,
        instructor_id=first.instructor_id,
    )
    seen_at = first.seen_at or first.began_at
    here = Presence(roles, bool(first.by_code), first.began_at, seen_at, first.locked_at)
    return Visit(first.sign_in_id, first.email, actor, here)


def actor_by_token(session: Session, token: str, now: datetime, origin: str) -> Actor | None:
    """The person at the browser that holds ``token``; None when it opens nothing now."""
    visit = visit_by_token(session, token, now, origin)
    return visit.actor if visit else None


def any_account(session: Session) -> bool:
    """Whether anyone at all can have an account yet."""
    return session.scalar(select(AccountRow.id).limit(1)) is not None


@dataclass(frozen=True, slots=True)
class DemoAccount:
    """An invented person whom a visitor of the demo may be."""

    account_id: int
    name: str
    email: str
    role: Role

    @property
    def role_words(self) -> str:
        """What the person does at the school."""
        return ROLE_WORDS[self.role]


def demo_accounts(session: Session) -> tuple[DemoAccount, ...]:
    """The people offered on a demo's sign-in page: the first of each role, instructors and
    students twice, in the order of the roles above."""
    place = func.row_number().over(partition_by=AccountRoleRow.role, order_by=AccountRow.id)
    ranked = (
        select(
            AccountRow.id, AccountRow.name, AccountRow.email, AccountRoleRow.role, place.label("n")
        )
        .join(AccountRoleRow, AccountRoleRow.account_id == AccountRow.id)
        .where(AccountRow.active, AccountRow.email.like(f"%@{DEMO_DOMAIN}"))
        .subquery()
    )
    rows = session.execute(select(ranked).where(ranked.c.n <= max(_SHOWN.values())))
    people = [DemoAccount(row.id, row.name, row.email, row.role) for row in rows if _is_shown(row)]
    order = list(_SHOWN)
    return tuple(sorted(people, key=lambda p: (order.index(p.role), p.account_id)))


def _is_shown(row: object) -> bool:
    return bool(row.n <= _SHOWN[row.role])  # type: ignore[attr-defined]


def has_demo_accounts(session: Session) -> bool:
    """Whether any account of the invented school is present, active or not."""
    return (
        session.scalar(
            select(AccountRow.id).where(AccountRow.email.like(f"%@{DEMO_DOMAIN}")).limit(1)
        )
        is not None
    )
