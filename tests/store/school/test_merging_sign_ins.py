"""Which sign-in stays when two records become one."""

from __future__ import annotations

import pytest

from app.rules.accounts.roles import Role
from app.rules.refusal import Refused
from app.store.accounts.tables import AccountRoleRow, AccountRow
from app.store.database import Database
from app.store.people.tables import StudentRow
from tests.store.school.twins import add_twin, make_one
from tests.support.cast import Cast
from tests.support.clock import START


def _account(database: Database, student: int, password: str | None, *, active: bool = True) -> int:
    with database.writing() as session:
        row = AccountRow(
            email=f"{student}@example.net",
            name="Lena",
            password_hash=password,
            created_at=START,
            active=active,
            roles=[AccountRoleRow(role=Role.STUDENT)],
        )
        session.add(row)
        session.flush()
        session.get_one(StudentRow, student).account_id = row.id
        return row.id


def _opens(database: Database, student: int) -> int | None:
    with database.reading() as session:
        return session.get_one(StudentRow, student).account_id


def test_two_sign_ins_in_use_are_not_taken_away(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    _account(either, twin, "hash")
    with pytest.raises(Refused, match="an owner closes the other under Accounts"):
        make_one(either, people.learner, twin)
    assert _opens(either, people.learner) == people.learner_account


def test_the_only_sign_in_goes_over(either: Database, people: Cast) -> None:
    twin, kept = add_twin(either), add_twin(either)
    made = _account(either, twin, "hash")
    make_one(either, kept, twin)
    assert (_opens(either, kept), _opens(either, twin)) == (made, None)


@pytest.mark.parametrize(("password", "active"), [(None, True), ("hash", False), (None, False)])
def test_a_sign_in_that_nobody_uses_gives_way(
    either: Database, people: Cast, password: str | None, active: bool
) -> None:
    twin = add_twin(either)
    made = _account(either, twin, password, active=active)
    make_one(either, twin, people.learner)
    assert _opens(either, twin) == people.learner_account
    with either.reading() as session:
        assert not session.get_one(AccountRow, made).active
