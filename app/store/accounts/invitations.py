"""Letting people in: a student to their own record, and anyone by a new link."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row, select, update
from sqlalchemy.orm import Session

from app.rules.accounts.authority import may_let_in
from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit
from app.store.accounts import links
from app.store.accounts.own_records import STUDENTS
from app.store.accounts.passwords import AddressOf, post_link
from app.store.accounts.tables import AccountRoleRow, AccountRow
from app.store.database import Database, Lock

_NO_EMAIL = Reason("There is no email on this record. Add one, then invite the student.")
_OTHERS = Reason("This email already opens another student's record. Each needs their own.")
_COLLEAGUE = Reason("This email belongs to a colleague's account. Ask an owner to make the link.")
_CLOSED = Reason("This account is closed. An owner can open it again.")


def invite_student(
    db: Database, by: Actor, student_id: int, now: datetime, address_of: AddressOf | None
) -> int:
    """Make an account and a link for a student, mailed where the school sends email.

    A student with an account gets a new link. Returns the account's id. Raises
    Missing for an unknown student, and Refused with what to do about the record.
    """
    with db.writing(Lock.ACCOUNTS) as session:
        here = (STUDENTS.c.id == student_id) & STUDENTS.c.merged_into_id.is_(None)
        student = session.execute(select(STUDENTS).where(here)).first()
        if student is None:
            raise Missing
        account = _account_of(session, student, now)
        if Role.STUDENT not in {row.role for row in account.roles}:
            account.roles.append(AccountRoleRow(role=Role.STUDENT))
        _let_in(session, by, account, now, address_of)
        mine = update(STUDENTS).where(STUDENTS.c.id == student_id)
        session.execute(mine.values(account_id=account.id))
        audit.record(session, by, now, "invited", "students", student_id)
        return account.id


def new_link(
    db: Database, by: Actor, account_id: int, now: datetime, address_of: AddressOf | None
) -> int:
    """Make a new link for an account that exists; Refused when that is not one's to do."""
    with db.writing(Lock.ACCOUNTS) as session:
        account = session.get(AccountRow, account_id)
        if account is None:
            raise Missing
        _let_in(session, by, account, now, address_of)
        return account_id


def _let_in(
    session: Session, by: Actor, account: AccountRow, now: datetime, address_of: AddressOf | None
) -> None:
    if not may_let_in(by, (row.role for row in account.roles)):
        raise Refused(_COLLEAGUE)
    if not account.active:
        raise Refused(_CLOSED)
    nonce = links.make(session, by, account, now)
    if address_of is not None:
        post_link(session, account, nonce, now, address_of)


def _account_of(session: Session, student: Row[Any], now: datetime) -> AccountRow:
    """The student's account, the one that has their email, or a new one."""
    if student.account_id is not None:
        return session.get_one(AccountRow, student.account_id)
    if not student.email:
        raise Refused(_NO_EMAIL)
    email = student.email.lower()
    account = session.scalars(select(AccountRow).where(AccountRow.email == email)).first()
    if account is None:
        account = AccountRow(email=email, name=student.name, created_at=now)
        session.add(account)
        session.flush()
    elif session.execute(select(STUDENTS.c.id).where(STUDENTS.c.account_id == account.id)).first():
        raise Refused(_OTHERS)
    return account
