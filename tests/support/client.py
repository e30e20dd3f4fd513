"""A visitor without a browser: follows links, fills in forms, and checks every page it gets.

Cross-site protection is on: a form is sent with the token that the page carried.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from xml.etree.ElementTree import Element

import html5lib
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.support import cast
from tests.support.html_checks import faults

Values = dict[str, Any]


@dataclass(frozen=True)
class Page:
    """One answer: its status, its text and, for HTML, its parsed tree."""

    response: TestResponse
    path: str

    @property
    def status(self) -> int:
        """The status code."""
        return self.response.status_code

    @property
    def html(self) -> str:
        """The body as text."""
        return self.response.get_data(as_text=True)

    @cached_property
    def tree(self) -> Element:
        """The body, parsed as a browser would."""
        parsed: Element = html5lib.parse(self.html, namespaceHTMLElements=False)
        return parsed

    @property
    def text(self) -> str:
        """What a person reads on the page, with white space folded."""
        main = next(self.tree.iter("body"))
        return re.sub(r"\s+", " ", " ".join(main.itertext())).strip()

    @property
    def heading(self) -> str:
        """The first-level heading."""
        return re.sub(r"\s+", " ", "".join(next(self.tree.iter("h1")).itertext())).strip()

    def forms(self) -> list[Element]:
        """The forms of the page in order."""
        return list(self.tree.iter("form"))

    def form(self, action: str | None = None) -> Element:
        """The form whose action contains ``action``; without it, the first POST form in main."""
        main = next(self.tree.iter("main"))
        posts = [f for f in main.iter("form") if (f.get("method") or "").lower() == "post"]
        wanted = [f for f in self.forms() if action in (f.get("action") or "")] if action else posts
        assert wanted, f"no form for {action!r} on {self.path}"
        return wanted[0]

    def error_beside(self, name: str) -> str:
        """The sentence that the field called ``name`` says it is described by as an error."""
        # A group of radio buttons is described as a whole, by its fieldset.
        groups = [g for g in self.tree.iter("fieldset") if _holds(g, name)]
        fields = [n for n in self.tree.iter() if n.get("name") == name]
        described = " ".join(n.get("aria-describedby") or "" for n in fields[:1] + groups).split()
        spoken = [n for n in self.tree.iter() if n.get("id") in described]
        return " ".join("".join(n.itertext()).strip() for n in spoken if "error" in n.get("id", ""))


def _holds(group: Element, name: str) -> bool:
    return any(node.get("name") == name for node in group.iter())


def typed_values(form: Element) -> dict[str, list[str]]:
    """What a form would send if it were sent as it stands."""
    values: dict[str, list[str]] = {}
    for node in form.iter():
        name = node.get("name")
        if name and node.tag in ("input", "select", "textarea"):
            values.setdefault(name, []).extend(_values(node))
    return {name: kept for name, kept in values.items() if kept}


def _values(node: Element) -> list[str]:
    if node.tag == "textarea":
        return ["".join(node.itertext())]
    if node.tag == "select":
        options = list(node.iter("option"))
        chosen = [o for o in options if o.get("selected") is not None] or options[:1]
        return [o.get("value", "".join(o.itertext())) for o in chosen]
    kind = node.get("type", "text")
    if kind in ("submit", "button", "image", "reset"):
        return []
    if kind in ("checkbox", "radio"):
        return [node.get("value", "on")] if node.get("checked") is not None else []
    return [node.get("value", "")]


class Visitor:
    """One person's browser, as far as a test without JavaScript needs it."""

    def __init__(self, app: Flask) -> None:
        self.client: FlaskClient = app.test_client()

    def sign_in(self, who: str) -> Visitor:
        """Sign in as one of the cast, through the form."""
        asked = self.client.get("/sign-in").get_data(as_text=True)
        token = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', asked)
        assert token is not None
        values = {"email": cast.EMAILS[who], "password": cast.PASSWORD, "csrf_token": token[1]}
        answer = self.client.post("/sign-in", data=values)
        assert answer.status_code == 303, answer.get_data(as_text=True)
        return self

    def get(self, path: str, status: int = 200) -> Page:
        """Open a page, following redirects, and check that it is fit to be seen."""
        return self._checked(self.client.get(path, follow_redirects=True), status)

    def send(
        self, path: str, values: Values | None = None, action: str | None = None, status: int = 200
    ) -> Page:
        """Open ``path``, fill in a form there (see Page.form) and send it, following redirects."""
        return self.submit(self.get(path), values, action, status)

    def submit(
        self, page: Page, values: Values | None = None, action: str | None = None, status: int = 200
    ) -> Page:
        """Send a form of a page already open. A value of None leaves the field out."""
        form = page.form(action)
        filled: Values = {**typed_values(form), **(values or {})}
        sent = {name: value for name, value in filled.items() if value is not None}
        target = form.get("action") or page.path
        return self.post(target, sent, status)

    def post(self, path: str, values: Values, status: int = 200) -> Page:
        """Send values to an address as they are, following redirects."""
        return self._checked(self.client.post(path, data=values, follow_redirects=True), status)

    def _checked(self, response: TestResponse, status: int) -> Page:
        page = Page(response, response.request.full_path.rstrip("?"))
        assert page.status == status, f"{page.path}: {page.status}\n{page.html[:3000]}"
        if response.mimetype == "text/html":
            assert "default-src 'none'" in response.headers["Content-Security-Policy"]
            assert not faults(page.tree), f"{page.path}: {faults(page.tree)}"
        return page
