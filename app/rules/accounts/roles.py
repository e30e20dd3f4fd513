"""Roles, and the person behind a request."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What a person does at the school. One person may hold several."""

    DESK = "desk"
    INSTRUCTOR = "instructor"
    STUDENT = "student"
    OWNER = "owner"


@dataclass(frozen=True, slots=True)
class Actor:
    """Who is asking, for access checks and for the audit.

    ``origin`` is the network address of the request, or the name of a command.
    ``student_id`` and ``instructor_id`` are this person's own records, if any.
    """

    account_id: int | None
    name: str
    roles: frozenset[Role]
    origin: str
    student_id: int | None = None
    instructor_id: int | None = None

    def has(self, *roles: Role) -> bool:
        """Whether the person holds at least one of the roles."""
        return not self.roles.isdisjoint(roles)


def system(command: str) -> Actor:
    """The actor for work done by a command rather than by a person."""
    return Actor(account_id=None, name=command, roles=frozenset(), origin=f"command {command}")


ROLE_WORDS = {
    Role.OWNER: "Owner",
    Role.DESK: "Front desk",
    Role.INSTRUCTOR: "Instructor",
    Role.STUDENT: "Student",
}
"""The roles as people read them, the widest first."""


def roles_words(roles: frozenset[Role]) -> str:
    """``Front desk, Instructor``: a person's roles, the widest first."""
    return ", ".join(word for role, word in ROLE_WORDS.items() if role in roles)
