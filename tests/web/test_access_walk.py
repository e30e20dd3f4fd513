"""Every screen, every role, own record and another's: the answers are those of the access table."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask
from werkzeug.routing import IntegerConverter, Rule, UUIDConverter

from app.rules.accounts.access import ACCESS, OPEN, SIGNED_IN, Scope, scope_for
from app.rules.accounts.roles import Actor, Role
from tests.support.walk import School, build, sign_in_id

VISITORS: dict[str, Role | None] = {
    "passer-by": None,
    "owner": Role.OWNER,
    "desk": Role.DESK,
    "instructor": Role.INSTRUCTOR,
    "learner": Role.STUDENT,
}
PERSONAL = {
    "student_id",
    "session_id",
    "booking_id",
    "attempt_id",
    "mock_test_id",
    "account_id",
    "sign_in_id",
    "instructor_id",
}
"""Arguments that name a record which belongs to someone."""

HUGE = (2**31, 2**70)
"""One more than PostgreSQL's integer holds, and more than SQLite's does."""


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory) -> School:
    """The school that everyone walks through."""
    return build(tmp_path_factory.mktemp("walk"))


def rules(app: Flask, endpoint: str | None = None) -> Iterator[tuple[Rule, str]]:
    """Each address of the app with each method it takes."""
    for rule in app.url_map.iter_rules(endpoint):
        for method in sorted((rule.methods or set()) & {"GET", "POST", "PUT", "PATCH", "DELETE"}):
            yield rule, method


def address(school: School, rule: Rule, who: str, whose: str) -> str:
    records = dict(school.own if whose == "own" else school.other)
    if "sign_in_id" in rule.arguments:
        owner = who if whose == "own" and who in school.tokens else "stranger"
        records["sign_in_id"] = sign_in_id(school, owner)
    unknown = rule.arguments - set(records)
    assert not unknown, f"{rule.rule}: tests/support/walk.py has no value for {sorted(unknown)}"
    adapter = school.app.url_map.bind("localhost")
    return adapter.build(rule.endpoint, {name: records[name] for name in rule.arguments})


def expected(endpoint: str, method: str, role: Role | None, others_record: bool) -> str:
    """The answer, from the table alone."""
    if endpoint in OPEN:
        return "open"
    if role is None:
        return "to sign in" if method == "GET" else "401"
    scope = scope_for(Actor(1, "Someone", frozenset({role}), "test"), endpoint)
    if endpoint in SIGNED_IN:
        scope = Scope.OWN
    if scope is None:
        return "403"
    return "404" if others_record and scope is Scope.OWN else "let in"


def observed(status: int, location: str) -> str:
    if status == 302 and location.startswith("/sign-in?next="):
        return "to sign in"
    if status in (401, 403, 404):
        return str(status)
    return "let in" if status < 500 and status not in (400, 405) else f"broken: {status}"


CASES = sorted(set(ACCESS) | SIGNED_IN | OPEN)


@pytest.mark.parametrize("endpoint", CASES)
def test_everyone_finds_what_the_table_says(school: School, endpoint: str) -> None:
    wrong = []
    for rule, method in rules(school.app, endpoint):
        for who, role in VISITORS.items():
            for whose in ("own", "other"):
                path = address(school, rule, who, whose)
                others_record = whose == "other" and bool(PERSONAL & rule.arguments)
                wanted = expected(endpoint, method, role, others_record)
                answer = school.visit(who if role else None, method, path)
                found = observed(answer.status_code, answer.location or "")
                refused = found in ("to sign in", "401", "403") or found.startswith("broken")
                if found != wanted and (wanted != "open" or refused):
                    wrong.append(f"{who}: {method} {path}: {found}, not {wanted}")
    assert not wrong, "\n".join(wrong)


def test_every_screen_stands_in_the_table_and_every_line_of_it_is_a_screen(school: School) -> None:
    registered = {rule.endpoint for rule in school.app.url_map.iter_rules()}
    assert registered == set(CASES)


def test_every_id_in_an_address_is_typed(school: School) -> None:
    untyped = [
        f"{rule.rule}: {name}"
        for rule in school.app.url_map.iter_rules()
        for name, converter in rule._converters.items()
        if name.endswith("_id") and not isinstance(converter, IntegerConverter | UUIDConverter)
    ]
    assert not untyped


@pytest.mark.parametrize("huge", HUGE)
def test_an_id_that_no_database_could_hold_is_not_found(school: School, huge: int) -> None:
    wrong = []
    for rule, method in rules(school.app):
        numbers = {n for n, c in rule._converters.items() if isinstance(c, IntegerConverter)}
        for name in numbers:
            parts = rule.rule.split("/")
            parts = [str(huge) if part == f"<int:{name}>" else part for part in parts]
            parts = ["1" if part.startswith("<int:") else part for part in parts]
            path = "/".join(parts)
            if "<" not in path:
                # Two methods at one address: the router answers 405 for an id that fits neither.
                status = school.visit("owner", method, path).status_code
                wrong += [f"{method} {path}: {status}"] if status not in (404, 405) else []
    assert not wrong, "\n".join(wrong)


def test_a_post_without_the_pages_token_is_refused(school: School) -> None:
    wrong = []
    for rule, method in rules(school.app):
        if method == "GET":
            continue
        for who in (None, "owner", "desk", "instructor", "learner"):
            path = address(school, rule, who or "", "own")
            client = school.app.test_client()
            with client.session_transaction() as cookie:
                if who is not None:
                    cookie["_user_id"] = school.tokens[who]
            answer = client.open(path, method=method)
            # Whoever signs out from a page left open too long is shown the way in, not a failure.
            wanted = 303 if rule.endpoint == "accounts.sign_out" else 400
            if answer.status_code != wanted:
                wrong.append(f"{who}: {method} {path}: {answer.status_code}")
    assert not wrong, "\n".join(wrong)


def test_reading_a_page_never_writes(school: School) -> None:
    wrong = []
    for rule, method in rules(school.app):
        if method == "GET":
            path = address(school, rule, "owner", "own")
            school.visit("owner", "GET", path)
            school.app.extensions["yardmark_database"].close()
            if school.path.read_bytes() != school.template.read_bytes():
                wrong.append(path)
    assert not wrong
