"""Who may let whom in, and what keeps the school from locking itself out."""

from __future__ import annotations

from collections.abc import Iterable

from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Reason, Refused

GIVEN = (Role.DESK, Role.INSTRUCTOR, Role.OWNER)
"""The roles that an owner gives. A student's comes with the student's record."""


def may_let_in(by: Actor, roles: Iterable[Role]) -> bool:
    """Whether a person may hand out a link to an account with these roles.

    The desk lets students in. Only an owner lets a colleague in, or the desk
    could take an owner's place by making itself the owner's link.
    """
    if by.has(Role.OWNER):
        return True
    return by.has(Role.DESK) and set(roles) <= {Role.STUDENT}


def new_roles(held: Iterable[Role], given: Iterable[Role]) -> frozenset[Role]:
    """The roles after an owner gives ``given``: a student stays a student.

    Raises Refused when none is left.
    """
    kept = frozenset(given) | (frozenset(held) & {Role.STUDENT})
    if not kept:
        raise Refused(Reason("Choose at least one thing this person does.", field="roles"))
    return kept


def keep_an_owner(other_owners: int) -> None:
    """Refuse to lose an owner where no other could sign in.

    ``other_owners`` counts the open accounts of other owners that have a password.
    """
    if not other_owners:
        raise Refused(
            Reason("Nobody else is an owner. Make a colleague an owner first.", field="roles")
        )
