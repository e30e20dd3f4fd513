"""A forgotten password, and the page behind a one-time link."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from flask import Flask

from app import create_app
from app.config import Config
from tests.support.cast import EMAILS, Cast
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.support.mail_server import Postbox, mail_server

Visit = Callable[..., Visitor]
NEW = "copper kettle winter lane"


def shown_link(visit: Visit, account_id: int) -> str:
    page = visit("owner").send("/accounts", action=f"/accounts/{account_id}/link")
    found = re.search(r"http://localhost(/link/[^\"<]+)", page.html)
    assert found
    return found[1]


def test_a_link_lets_a_person_choose_a_password_and_signs_them_in(
    visit: Visit, people: Cast
) -> None:
    path, visitor = shown_link(visit, people.learner_account), visit()
    page = visitor.get(path)
    assert EMAILS["learner"] in page.text
    assert "Your password is set." in visitor.submit(page, {"password": NEW}).text
    assert "Lena Wren" in visitor.get("/me").text
    visit().send("/sign-in", {"email": EMAILS["learner"], "password": NEW})


def test_opening_it_twice_is_fine_and_using_it_twice_is_not(visit: Visit, people: Cast) -> None:
    path, visitor = shown_link(visit, people.learner_account), visit()
    first, second = visitor.get(path), visitor.get(path)
    visitor.submit(first, {"password": NEW})
    another = visit()
    assert another.get(path, status=410).heading == "This link is over"
    visitor.submit(second, {"password": "a second lot of words"}, status=400)


@pytest.mark.parametrize(
    ("password", "sentence"),
    [
        ("", "Choose a password."),
        ("short", "at least 15"),
        ("x" * 14 + " " * 40, "at least 15"),
        ("lena wren lena wren", "your own name"),
        ("password password", "Too many people"),
        ("a b c d e " * 40, "at most 256"),
    ],
)
def test_a_password_that_cannot_be_used_is_said_at_the_field(
    visit: Visit, people: Cast, password: str, sentence: str
) -> None:
    path, visitor = shown_link(visit, people.learner_account), visit()
    page = visitor.send(path, {"password": password}, status=422)
    assert sentence in page.error_beside("password")
    visitor.get(path)


def test_a_link_that_ran_out_or_was_made_up_is_over(
    visit: Visit, people: Cast, clock: Clock
) -> None:
    path = shown_link(visit, people.learner_account)
    visit().get(path[:-3] + "abc", status=410)
    visit().get("/link/x.y", status=410)
    clock.forward(hours=1)
    assert visit().get(path, status=410).heading == "This link is over"


def test_a_closed_account_is_not_opened_by_an_old_link(visit: Visit, people: Cast) -> None:
    path = shown_link(visit, people.learner_account)
    visit("owner").send(f"/accounts/{people.learner_account}", action="/close")
    visit().get(path, status=410)


def test_the_answer_is_the_same_for_an_unknown_email(visit: Visit) -> None:
    known = visit().send("/forgotten", {"email": EMAILS["learner"]})
    unknown = visit().send("/forgotten", {"email": "nobody@example.org"})
    assert known.text.replace(EMAILS["learner"], "X") == unknown.text.replace(
        "nobody@example.org", "X"
    )


def test_without_email_the_desk_sees_who_asked_and_makes_the_link(
    visit: Visit, people: Cast
) -> None:
    visit().send("/forgotten", {"email": EMAILS["learner"]})
    desk = visit("desk")
    page = desk.get("/accounts")
    assert "Lena Wren asked for a new password" in page.text
    shown = desk.submit(page, action=f"/accounts/{people.learner_account}/link")
    assert "<svg" in shown.html
    assert "asked for a new password" not in desk.get("/accounts").text


@pytest.mark.parametrize("email", ["", "not an address", "a" * 300 + "@example.org"])
def test_what_is_no_email_is_said_at_the_field(visit: Visit, email: str) -> None:
    page = visit().send("/forgotten", {"email": email}, status=422)
    assert page.error_beside("email")


@pytest.fixture
def mailing(url: str, clock: Clock, people: Cast) -> Iterator[tuple[Flask, Postbox]]:
    """The app of a school that sends email, and where its email arrives."""
    config = Config(database_url=url, secret_key="k" * 40, clock=clock, rate_limits=False)
    with mail_server() as (postbox, smtp):
        base = "https://school.example"
        app = create_app(replace(config, smtp=smtp, base_url=base, mail_from="s@example.org"))
        yield app, postbox
        app.extensions["yardmark_database"].close()


def test_a_forgotten_password_comes_back_by_email(mailing: tuple[Flask, Postbox]) -> None:
    app, postbox = mailing
    visitor = Visitor(app)
    visitor.send("/forgotten", {"email": EMAILS["learner"]})
    assert postbox.arrived.wait(10)
    [message] = postbox.messages
    assert message["To"] == EMAILS["learner"]
    found = re.search(r"https://school\.example(/link/\S+)", message.get_content())
    assert found
    visitor.send(found[1], {"password": NEW})
    assert "Lena Wren" in visitor.get("/me").text


def test_a_request_cannot_choose_the_host_in_an_email(mailing: tuple[Flask, Postbox]) -> None:
    app, postbox = mailing
    visitor = Visitor(app)
    page = visitor.get("/forgotten")
    token = next(n.get("value") for n in page.tree.iter("input") if n.get("name") == "csrf_token")
    values = {"email": EMAILS["learner"], "csrf_token": token}
    visitor.client.post("/forgotten", data=values, headers={"X-Forwarded-Host": "evil.example"})
    assert postbox.arrived.wait(10)
    assert "evil.example" not in postbox.messages[0].get_content()
