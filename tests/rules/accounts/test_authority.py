"""Who may let whom in."""

from __future__ import annotations

import pytest

from app.rules.accounts.authority import keep_an_owner, may_let_in, new_roles
from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Refused

STUDENT, DESK, OWNER = {Role.STUDENT}, {Role.DESK}, {Role.OWNER}


def person(*roles: Role) -> Actor:
    return Actor(1, "Someone", frozenset(roles), "test")


@pytest.mark.parametrize(
    ("by", "whom", "expected"),
    [
        (Role.OWNER, OWNER, True),
        (Role.OWNER, STUDENT, True),
        (Role.DESK, STUDENT, True),
        (Role.DESK, OWNER, False),
        (Role.DESK, DESK, False),
        (Role.DESK, STUDENT | {Role.INSTRUCTOR}, False),
        (Role.INSTRUCTOR, STUDENT, False),
        (Role.STUDENT, STUDENT, False),
    ],
)
def test_the_desk_lets_students_in_and_an_owner_anyone(
    by: Role, whom: set[Role], expected: bool
) -> None:
    assert may_let_in(person(by), whom) is expected


def test_a_student_stays_a_student_whatever_an_owner_gives() -> None:
    assert new_roles(STUDENT, DESK) == {Role.STUDENT, Role.DESK}


def test_nobody_is_left_without_a_role() -> None:
    with pytest.raises(Refused, match="at least one"):
        new_roles(DESK, ())


def test_the_last_owner_stays() -> None:
    keep_an_owner(1)
    with pytest.raises(Refused, match="Nobody else"):
        keep_an_owner(0)
