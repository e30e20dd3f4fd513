"""The access table: closed by default, the widest role counts."""

from __future__ import annotations

from app.rules.accounts.access import ACCESS, OPEN, SIGNED_IN, Scope, is_known, scope_for
from app.rules.accounts.roles import Actor, Role, roles_words


def person(*roles: Role) -> Actor:
    return Actor(1, "Someone", frozenset(roles), "test")


def test_what_is_not_in_the_table_is_closed_to_everyone() -> None:
    assert scope_for(person(*Role), "school.something_new") is None
    assert not is_known("school.something_new")


def test_the_widest_of_several_roles_counts() -> None:
    assert scope_for(person(Role.STUDENT), "homes.mine") is Scope.OWN
    assert scope_for(person(Role.STUDENT, Role.OWNER), "homes.office") is Scope.ALL


def test_a_person_without_a_role_reaches_nothing_but_themselves() -> None:
    assert all(scope_for(person(), endpoint) is None for endpoint in ACCESS)


def test_no_screen_stands_in_two_tables() -> None:
    assert not OPEN & SIGNED_IN
    assert not (OPEN | SIGNED_IN) & set(ACCESS)


def test_a_student_never_reaches_all_records() -> None:
    wide = [e for e, roles in ACCESS.items() if roles.get(Role.STUDENT) is Scope.ALL]
    assert wide == []


def test_roles_are_said_widest_first() -> None:
    assert roles_words(frozenset({Role.INSTRUCTOR, Role.DESK})) == "Front desk, Instructor"
