"""Who can sign in: listed, added, changed, closed, invited; then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sqlalchemy import update

from app.store.database import Database
from app.store.people.tables import StudentRow
from tests.support.cast import EMAILS, Cast
from tests.support.client import Visitor

Visit = Callable[..., Visitor]
TESS = {"name": "Tess Knot", "email": "tess@example.org", "roles": ["desk", "instructor"]}


def test_an_owner_adds_a_colleague_and_gets_a_link_to_hand_over(visit: Visit) -> None:
    owner = visit("owner")
    page = owner.send("/accounts/new", TESS)
    assert page.heading == "A way in for Tess Knot"
    assert "http://localhost/link/" in page.text
    assert "Front desk, Instructor" in owner.get("/accounts").text


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("name", "", "Type the name."),
        ("name", "T" * 101, "at most 100"),
        ("name", "Tess\x00Knot", "unprintable"),
        ("email", "", "Type the email address."),
        ("email", "tess", "whole email address"),
        ("email", EMAILS["desk"], "already"),
    ],
)
def test_what_is_wrong_with_a_colleague_is_said_at_the_field(
    visit: Visit, name: str, value: str, sentence: str
) -> None:
    owner = visit("owner")
    page = owner.send("/accounts/new", TESS | {name: value}, status=422)
    assert sentence in page.error_beside(name)
    kept = "email" if name == "name" else "name"
    assert f'value="{TESS[kept]}"' in page.html
    assert "Tess Knot" not in owner.get("/accounts").text


@pytest.mark.parametrize("roles", [[], ["student"], ["king"]])
def test_a_colleague_needs_a_role_that_an_owner_gives(visit: Visit, roles: list[str]) -> None:
    page = visit("owner").send("/accounts/new", TESS | {"roles": roles}, status=422)
    assert page.error_beside("roles") or "roles-error" in page.html


def test_a_form_sent_twice_adds_one_colleague(visit: Visit) -> None:
    owner = visit("owner")
    page = owner.get("/accounts/new")
    owner.submit(page, TESS)
    assert owner.submit(page, TESS).heading == "A way in for Tess Knot"
    assert owner.get("/accounts").text.count("tess@example.org") == 1


def test_a_key_that_is_not_ours_is_refused(visit: Visit) -> None:
    visit("owner").send("/accounts/new", TESS | {"once": "1"}, status=422)


def test_an_owner_changes_a_colleague(visit: Visit, people: Cast) -> None:
    owner = visit("owner")
    values = {"name": "Devon Rook", "roles": ["owner", "desk"]}
    page = owner.send(f"/accounts/{people.desk}", values)
    assert "Devon Rook" in page.text
    assert "Owner, Front desk" in page.text


def test_a_stale_page_says_so_and_keeps_what_was_typed(visit: Visit, people: Cast) -> None:
    owner = visit("owner")
    stale = owner.get(f"/accounts/{people.desk}")
    owner.submit(stale, {"name": "Devon Rook"})
    page = owner.submit(stale, {"name": "Debbie Rook"}, status=422)
    assert "Someone changed this since you opened it." in page.text
    assert 'value="Debbie Rook"' in page.html


@pytest.mark.parametrize("version", ["", "x", "-1", None])
def test_a_page_without_its_version_changes_nothing(
    visit: Visit, people: Cast, version: str | None
) -> None:
    values = {"name": "Devon Rook", "version": version}
    visit("owner").send(f"/accounts/{people.desk}", values, status=422)


def test_the_last_owner_keeps_the_school(visit: Visit, people: Cast) -> None:
    owner = visit("owner")
    path = f"/accounts/{people.owner}"
    assert "Nobody else is an owner" in owner.send(path, {"roles": ["desk"]}, status=422).text
    assert "Nobody else is an owner" in owner.send(path, action="/close", status=409).text


def test_a_closed_colleague_is_out_until_opened_again(visit: Visit, people: Cast) -> None:
    owner, dev = visit("owner"), visit("desk")
    owner.send(f"/accounts/{people.desk}", action="/close")
    assert dev.client.get("/me").status_code == 302
    owner.send(f"/accounts/{people.desk}", action="/reopen")
    visit("desk")


@pytest.mark.parametrize("path", ["/accounts/9999", "/accounts/9999/link", "/accounts/x"])
def test_an_unknown_account_is_not_found(visit: Visit, path: str) -> None:
    visit("owner").get(path, status=404)


def invite(visitor: Visitor, student_id: int, status: int) -> str:
    page = visitor.get("/me")
    token = next(n.get("value") for n in page.tree.iter("input") if n.get("name") == "csrf_token")
    answer = visitor.post(f"/students/{student_id}/invite", {"csrf_token": token}, status)
    return answer.text


def test_the_desk_invites_a_student_and_shows_the_link(visit: Visit, people: Cast) -> None:
    text = invite(visit("desk"), people.learner, 200)
    assert "A way in for Lena Wren" in text
    assert "Back to Lena Wren" in text
    assert "/link/" in text


def test_a_record_without_an_email_is_refused_with_what_to_do(
    visit: Visit, people: Cast, database: Database
) -> None:
    with database.writing() as session:
        without = update(StudentRow).where(StudentRow.id == people.learner)
        session.execute(without.values(account_id=None))
    assert "Add one, then invite" in invite(visit("desk"), people.learner, 409)


def test_the_desk_sees_no_colleagues_link(visit: Visit, people: Cast) -> None:
    owner, desk = visit("owner"), visit("desk")
    owner.send("/accounts", action=f"/accounts/{people.instructor_account}/link")
    desk.get(f"/accounts/{people.instructor_account}/link", status=403)


def test_a_link_that_is_over_is_not_shown(visit: Visit, people: Cast) -> None:
    page = visit("desk").get(f"/accounts/{people.learner_account}/link")
    assert "There is no open link." in page.text
