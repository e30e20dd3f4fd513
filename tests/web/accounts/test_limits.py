"""How often one may try: from one address, and for one email."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask

from app import create_app
from app.config import Config
from tests.support.cast import EMAILS, PASSWORD, Cast
from tests.support.client import Page, Visitor
from tests.support.clock import Clock


@pytest.fixture
def guarded(url: str, clock: Clock, people: Cast) -> Iterator[Flask]:
    """The app with its limits on, as a server has them."""
    app = create_app(Config(database_url=url, secret_key="k" * 40, clock=clock))
    yield app
    app.extensions["yardmark_database"].close()


def attempt(visitor: Visitor, email: str, password: str, status: int) -> Page:
    return visitor.send("/sign-in", {"email": email, "password": password}, status=status)


def test_ten_wrong_passwords_for_one_email_are_enough(guarded: Flask) -> None:
    visitor = Visitor(guarded)
    for _ in range(10):
        attempt(visitor, EMAILS["learner"], "a wrong password", 422)
    page = attempt(visitor, EMAILS["learner"].upper(), PASSWORD, 429)
    assert "Try again in" in page.text
    assert "after 09:15" in page.text
    assert page.response.headers["Retry-After"] == "900"
    attempt(visitor, EMAILS["desk"], PASSWORD, 200)


def test_right_passwords_are_not_counted(guarded: Flask) -> None:
    for _ in range(12):
        attempt(Visitor(guarded), EMAILS["learner"], PASSWORD, 200)


def test_one_address_cannot_go_through_the_emails(guarded: Flask) -> None:
    visitor = Visitor(guarded)
    for number in range(40):
        attempt(visitor, f"{number}@example.org", "a wrong password", 422)
    attempt(visitor, EMAILS["learner"], PASSWORD, 429)


def test_a_new_password_is_asked_for_three_times_an_hour(guarded: Flask) -> None:
    visitor = Visitor(guarded)
    for _ in range(3):
        visitor.send("/forgotten", {"email": EMAILS["learner"]})
    page = visitor.send("/forgotten", {"email": EMAILS["learner"]}, status=429)
    assert "Try again in 60 minutes" in page.text
    visitor.send("/forgotten", {"email": "nobody@example.org"})


def test_the_page_itself_is_never_shut(guarded: Flask) -> None:
    visitor = Visitor(guarded)
    for _ in range(50):
        visitor.get("/sign-in")
