"""Who is behind a request: the cookie's token, looked up once."""

from __future__ import annotations

from typing import cast

from flask import Flask, request, session
from flask_login import LoginManager, UserMixin, current_user, login_user, logout_user

from app.rules.accounts.roles import Actor
from app.store.accounts import reads
from app.store.accounts.reads import Visit
from app.store.accounts.writes import Browser
from app.web import context


class SignedIn(UserMixin):  # type: ignore[misc]
    """A person whose browser holds a token that still opens something."""

    def __init__(self, token: str, visit: Visit | None) -> None:
        self.token = token
        self.visit = visit

    @property
    def actor(self) -> Actor | None:
        """The person at the browser."""
        return self.visit.actor if self.visit else None

    def get_id(self) -> str:
        """What the cookie keeps: the token."""
        return self.token


def origin() -> str:
    """The network address that the request comes from."""
    return request.remote_addr or "unknown"


def token() -> str | None:
    """The token of this browser's sign-in, if it has one."""
    return current_user.token if current_user.is_authenticated else None


def visit() -> Visit:
    """This browser and the person at it. Only for screens behind the gate."""
    return cast(Visit, current_user.visit)


def browser() -> Browser:
    """This browser, for a sign-in that replaces its earlier one."""
    return Browser(origin(), token())


def welcome(new_token: str) -> None:
    """Let this browser hold a new token, with nothing left of what its session held before."""
    session.clear()
    session.permanent = True
    login_user(SignedIn(new_token, None))


def forget() -> None:
    """Leave nothing in this browser's session."""
    logout_user()
    session.clear()


def _load(kept: str) -> SignedIn | None:
    found = reads.visit_by_token(context.reading(), kept, context.now(), origin())
    return SignedIn(kept, found) if found else None


def install(app: Flask) -> None:
    """Look up the person behind every request."""
    manager = LoginManager()
    # A tablet changes its network address between the office and the yard; the
    # token is looked up each time, so tying it to an address would only sign people out.
    manager.session_protection = None
    manager.user_loader(_load)
    manager.init_app(app)
