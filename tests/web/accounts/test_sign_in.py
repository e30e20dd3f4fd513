"""The sign-in page: it works, then each refusal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from flask import Flask
from sqlalchemy import update

from app.store import settings
from app.store.accounts.tables import AccountRow
from app.store.database import Database
from tests.support.cast import EMAILS, PASSWORD, Cast
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.support.queries import counted

Visit = Callable[..., Visitor]
LENA = {"email": EMAILS["learner"], "password": PASSWORD}


def test_email_and_password_let_a_person_in(visit: Visit) -> None:
    visitor = visit()
    visitor.send("/sign-in", LENA)
    assert "Lena Wren" in visitor.get("/me").text


def test_whoever_is_in_already_goes_on_to_their_home(visit: Visit) -> None:
    answer = visit("learner").client.get("/sign-in")
    assert answer.location == "/"


@pytest.mark.parametrize(
    "typed",
    [
        LENA | {"password": "not her password at all"},
        LENA | {"email": "nobody@example.org"},
        LENA | {"email": "not even an address"},
    ],
)
def test_what_does_not_fit_is_one_sentence_and_the_email_stays(
    visit: Visit, typed: dict[str, str]
) -> None:
    page = visit().send("/sign-in", typed, status=422)
    assert page.error_beside("email").startswith("That email and password do not go together.")
    assert f'value="{typed["email"]}"' in page.html
    assert typed["password"] not in page.html


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("email", "", "Type your email."),
        ("email", "a" * 300, "at most 254"),
        ("password", "", "Type your password."),
        ("password", "a" * 300, "at most 256"),
    ],
)
def test_empty_and_too_long_are_said_at_the_field(
    visit: Visit, name: str, value: str, sentence: str
) -> None:
    page = visit().send("/sign-in", LENA | {name: value}, status=422)
    assert sentence in page.error_beside(name)


def test_a_sign_in_gives_the_browser_a_new_cookie_and_ends_the_old(
    app: Flask, visit: Visit
) -> None:
    visitor, thief = visit("learner"), Visitor(app)
    stolen = visitor.client.get_cookie("yardmark")
    assert stolen is not None
    form = visitor.client.post("/sign-in", data=LENA)
    assert form.status_code == 400  # a sign-in without the page's token is no sign-in
    token = next(f for f in visitor.get("/me").forms()).find("input")
    assert token is not None
    visitor.post("/sign-in", LENA | {"csrf_token": token.get("value")})
    thief.client.set_cookie("yardmark", stolen.value)
    assert thief.client.get("/me").status_code == 302
    assert visitor.client.get("/me").status_code == 200


def test_a_sign_in_ends_after_two_weeks(visit: Visit, clock: Clock) -> None:
    visitor = visit("learner")
    clock.forward(days=13.9)
    assert visitor.client.get("/me").status_code == 200
    clock.forward(days=0.2)
    assert visitor.client.get("/me").status_code == 302


def test_signing_out_is_a_button_and_ends_it(visit: Visit) -> None:
    visitor = visit("learner")
    kept = visitor.client.get_cookie("yardmark")
    assert kept is not None
    assert visitor.send("/me", action="/sign-out").heading == "Sign in"
    visitor.client.set_cookie("yardmark", kept.value)
    assert visitor.client.get("/me").status_code == 302
    assert visitor.client.get("/sign-out").status_code == 405


def lands(visitor: Visitor, wanted: str) -> str:
    page = visitor.get("/sign-in?" + "next=" + wanted)
    form = page.form("/sign-in")
    token = next(n.get("value") for n in form.iter("input") if n.get("name") == "csrf_token")
    answer = visitor.client.post(form.get("action") or "", data=LENA | {"csrf_token": token})
    return answer.location


def test_after_signing_in_a_person_goes_on_to_what_they_wanted(visit: Visit) -> None:
    visitor = visit()
    answer = visitor.client.get("/me")
    assert answer.location == "/sign-in?next=/me"
    assert lands(visitor, "/me") == "/me"


@pytest.mark.parametrize(
    "wanted",
    [
        "https://elsewhere.example/me",
        "//elsewhere.example/me",
        "/%5Celsewhere.example",
        "/%2Felsewhere.example",
        "javascript:alert(1)",
        "/%09/elsewhere.example",
        "/me%0D%0AX-Header:1",
        "/no-such-page",
        "/sign-out",
        "me",
        "%20/me",
    ],
)
def test_nobody_is_sent_anywhere_but_to_our_own_pages(visit: Visit, wanted: str) -> None:
    assert lands(visit(), wanted) == "/"


def demo_school(database: Database, *emails: str) -> None:
    with database.writing() as session:
        settings.save(session, replace(settings.load(session), demo=True))
        for email in emails:
            invented = email.replace("example.org", "saltmarsh.example")
            account = update(AccountRow).where(AccountRow.email == email)
            session.execute(account.values(email=invented))


def test_a_demo_lets_a_visitor_be_one_of_its_people_with_one_press(
    visit: Visit, people: Cast, database: Database
) -> None:
    demo_school(database, *EMAILS.values())
    visitor = visit()
    page = visitor.get("/sign-in")
    assert len([f for f in page.forms() if f.get("action") == "/sign-in/demo"]) == 6
    visitor.submit(page, {"account": people.desk}, action="/sign-in/demo")
    assert "Dev Rook" in visitor.get("/me").text


@pytest.mark.parametrize("account", ["", "0", "9999", "one", "9" * 30, None])
def test_a_demo_has_only_the_people_it_offers(
    visit: Visit, people: Cast, database: Database, account: str | None
) -> None:
    demo_school(database, EMAILS["desk"])
    visitor = visit()
    visitor.submit(
        visitor.get("/sign-in"), {"account": account}, action="/sign-in/demo", status=404
    )
    visitor.submit(
        visitor.get("/sign-in"), {"account": people.owner}, action="/sign-in/demo", status=404
    )


def test_a_real_school_has_no_such_doors(visit: Visit, people: Cast, database: Database) -> None:
    visitor = visit()
    page = visitor.get("/sign-in")
    assert not [f for f in page.forms() if f.get("action") == "/sign-in/demo"]
    token = next(n.get("value") for n in page.tree.iter("input") if n.get("name") == "csrf_token")
    values = {"account": people.desk, "csrf_token": token}
    visitor.post("/sign-in/demo", values, status=404)


def test_a_school_without_anyone_says_how_to_make_the_owner(app: Flask) -> None:
    assert "python3 -m app create-owner" in Visitor(app).get("/sign-in").text


def test_a_school_with_people_does_not(visit: Visit) -> None:
    assert "create-owner" not in visit().get("/sign-in").text


def test_the_sign_in_page_asks_the_database_a_fixed_few_things(app: Flask, visit: Visit) -> None:
    visitor = visit()
    with counted(app.extensions["yardmark_database"]) as statements:
        visitor.get("/sign-in")
    assert len(statements) == 2
