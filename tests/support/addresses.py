"""Every page that can be opened, for every role that the access table lets in.

The list is not written by hand: it is each GET rule of the app times each role of
the access table. What stands in the angle brackets of a rule is looked up in the
demo school by the name of the parameter.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any
from uuid import UUID

from flask import Flask
from sqlalchemy import text
from werkzeug.routing import Rule

from app import create_app
from app.config import Config
from app.rules.accounts.access import ACCESS, OPEN, SIGNED_IN
from app.rules.accounts.roles import Actor, Role
from app.store.accounts import invitations, links
from app.store.database import Database
from app.web.accounts.addresses import address_of
from tests.support import demo
from tests.support.clock import START

NOT_PAGES = {
    "static": "a file",
    "homes.favicon": "a picture",
    "homes.front": "only sends on",
    "riding.worker": "a script",
    "riding.manifest": "read by the browser itself",
    "riding.keep": "an answer for scripts",
    "diary.feed": "read by calendars",
    "diary.message_html": "a letter, which a frame of diary.message shows; no script runs in it",
    "riding.sync_token": "an answer for scripts",
}
"""GET endpoints that are not pages to look at, each with the reason."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One page seen by one role; ``role`` is None for a passer-by."""

    endpoint: str
    role: Role | None

    @property
    def name(self) -> str:
        """A name for test ids and files."""
        return f"{self.endpoint}-{self.role or 'nobody'}"


@cache
def get_rules() -> dict[str, Rule]:
    """The rule of every endpoint that answers GET with a page, without opening a database."""
    app = create_app(Config(database_url="sqlite://", secret_key="k" * 40))
    gets = {
        rule.endpoint: rule for rule in app.url_map.iter_rules() if "GET" in (rule.methods or ())
    }
    return {name: rule for name, rule in gets.items() if name not in NOT_PAGES}


def stops() -> list[Stop]:
    """Every page times every role that reaches it."""
    return [Stop(name, role) for name in sorted(get_rules()) for role in roles_of(name)]


def roles_of(endpoint: str) -> list[Role | None]:
    """Who reaches an endpoint; for an open one, a passer-by."""
    if endpoint in OPEN:
        return [None]
    if endpoint in SIGNED_IN:
        return list(Role)
    return list(ACCESS.get(endpoint, ()))


_NEAREST = """
    SELECT t.id AS session_id, t.yard_id, t.instructor_id, b.id AS booking_id, b.bike_id,
           b.student_id, a.id AS attempt_id, a.variant_id, v.manoeuvre_id
    FROM training_sessions t
    JOIN instructors i ON i.id = t.instructor_id
    JOIN bookings b ON b.session_id = t.id AND b.state IN ('booked', 'attended')
    JOIN students s ON s.id = b.student_id
    JOIN attempts a ON a.student_id = s.id AND a.struck_at IS NULL
    JOIN training_sessions ridden ON ridden.id = a.session_id
    JOIN variants v ON v.id = a.variant_id
    WHERE (:role = 'student' AND s.account_id = :account)
       OR (:role = 'instructor' AND i.account_id = :account
           AND ridden.instructor_id = t.instructor_id)
       OR :role IN ('desk', 'owner')
    ORDER BY t.starts_at > :now, abs(julianday(t.starts_at) - julianday(:now)), a.ridden_at DESC
    LIMIT 1
"""

_ALSO = {
    "mock_test_id": """
        SELECT m.id FROM mock_tests m
        JOIN training_sessions t ON t.id = m.session_id
        JOIN instructors i ON i.id = t.instructor_id
        WHERE :role <> 'student' OR m.student_id = :student_id
        ORDER BY :role = 'instructor' AND i.account_id <> :account, m.started_at DESC
        LIMIT 1""",
    "closure_id": "SELECT min(id) FROM closures",
    "message_id": "SELECT max(id) FROM messages WHERE html IS NOT NULL",
    "day_off_id": "SELECT min(id) FROM days_off",
    "other_id": """
        SELECT id FROM students WHERE id <> :student_id
        ORDER BY account_id IS NOT NULL, id DESC LIMIT 1""",
}
"""Parameters of their own kind: how one is found that belongs to the person and their student."""

_ASKED: dict[str, dict[str, Any]] = {
    "progress.open_place": {"kind": "module_1", "at": "2026-12-01T10:00:00+00:00", "minutes": 120},
}
"""What stands after the question mark of a page that shows nothing without it."""


class Guide:
    """Knows the addresses in one demo school: whose page it is and what is on it."""

    def __init__(self, app: Flask, school: Database) -> None:
        self._app = app
        self._school = school
        self._letter = self._make_link()
        self._near = {role: self._nearest(role) for role in Role}

    def path(self, stop: Stop) -> str:
        """The address of a stop, the most recent records of that person standing in it."""
        rule = get_rules()[stop.endpoint]
        known = self._near[stop.role or Role.DESK] | self._letter
        missing = set(rule.arguments) - known.keys()
        assert not missing, f"tests/support/addresses.py does not know {missing} of {rule}"
        values = {n: _value(known[n]) for n in rule.arguments}
        if asked := _ASKED.get(stop.endpoint):
            values |= asked | {"yard": known["yard_id"], "instructor": known["instructor_id"]}
        with self._app.test_request_context():
            return self._app.url_for(stop.endpoint, **values)

    def _nearest(self, role: Role) -> dict[str, Any]:
        person = {"role": role, "account": self._account(demo.sign_ins()[role]), "now": START}
        with self._school.reading() as session:
            found = dict(session.execute(text(_NEAREST), person).mappings().one())
            also = {n: session.execute(text(q), person | found).scalar() for n, q in _ALSO.items()}
        return found | {n: found_id for n, found_id in also.items() if found_id}

    def _account(self, email: str) -> int:
        with self._school.reading() as session:
            found = session.execute(text("SELECT id FROM accounts WHERE email = :e"), {"e": email})
            return int(found.scalar_one())

    def _make_link(self) -> dict[str, Any]:
        """A link for the student, made by the desk, so that the pages about it have one."""
        desk, student = (self._account(demo.sign_ins()[r]) for r in (Role.DESK, Role.STUDENT))
        by = Actor(desk, "Desk", frozenset({Role.DESK}), "127.0.0.1")
        invitations.new_link(self._school, by, student, START, None)
        with self._school.reading() as session, self._app.test_request_context():
            link = links.to_show(session, student, START)
            assert link is not None
            return {"account_id": student, "token": address_of(link).rsplit("/", 1)[-1]}


def _value(found: Any) -> Any:
    """A UUID where the database gave its 32 hexadecimal digits."""
    return UUID(found) if isinstance(found, str) and len(found) == 32 else found
