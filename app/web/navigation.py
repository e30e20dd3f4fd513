"""The menu of each role, in one place."""

from __future__ import annotations

from dataclasses import dataclass

from flask import request, url_for

from app.rules.accounts.access import scope_for
from app.rules.accounts.roles import Actor, Role


@dataclass(frozen=True, slots=True)
class MenuEntry:
    """One entry of the menu."""

    label: str
    url: str
    current: bool


_ENTRIES = (
    ("Desk", "homes.desk"),
    ("Students", "people.students"),
    ("Sessions", "diary.week"),
    ("Yard", "homes.yard"),
    ("Progress", "progress.flags"),
    ("Mine", "homes.mine"),
    ("Office", "homes.office"),
    ("Accounts", "accounts.everyone"),
)

_HOMES = {
    Role.OWNER: "homes.office",
    Role.DESK: "homes.desk",
    Role.INSTRUCTOR: "homes.yard",
    Role.STUDENT: "homes.mine",
}


def menu(person: Actor) -> tuple[MenuEntry, ...]:
    """The entries that the access table lets this person reach."""
    return tuple(
        MenuEntry(label, url_for(endpoint), request.endpoint == endpoint)
        for label, endpoint in _ENTRIES
        if scope_for(person, endpoint) is not None
    )


def home_of(person: Actor) -> str:
    """The endpoint where a person lands; the desk before the yard before their own page."""
    for role, endpoint in _HOMES.items():
        if person.has(role):
            return endpoint
    return "accounts.me"
