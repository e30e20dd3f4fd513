"""A receptionist on a real server, without a browser: signs in once, then sends forms."""

from __future__ import annotations

import re
from http.client import HTTPConnection
from http.cookies import SimpleCookie
from urllib.parse import urlencode
from uuid import uuid4

from tests.support import cast

_FORM = {"Content-Type": "application/x-www-form-urlencoded"}


class Clerk:
    """One sign-in at the desk; many may send at once with it, each over a line of its own."""

    def __init__(self, port: int) -> None:
        self._cookies: dict[str, str] = {}
        self._token = self._find_token(self._ask(port, "GET", "/sign-in")[1])
        who: dict[str, object] = {"email": cast.EMAILS["desk"], "password": cast.PASSWORD}
        status, _ = self._ask(port, "POST", "/sign-in", who)
        assert status == 303
        self._token = self._find_token(self._ask(port, "GET", "/sessions/new")[1])

    def send(self, port: int, path: str, values: dict[str, object]) -> tuple[int, str]:
        """Send a form that makes something, with a key of its own; the status and the page."""
        return self._ask(port, "POST", path, {**values, "once": uuid4()})

    def _find_token(self, page: str) -> str:
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
        assert found, "no token on the page"
        return found[1]

    def _ask(
        self, port: int, method: str, path: str, values: dict[str, object] | None = None
    ) -> tuple[int, str]:
        cookie = "; ".join(f"{name}={value}" for name, value in self._cookies.items())
        body = urlencode({**values, "csrf_token": self._token}) if values is not None else None
        connection = HTTPConnection("127.0.0.1", port, timeout=60)
        try:
            connection.request(method, path, body, {"Cookie": cookie, **_FORM})
            answer = connection.getresponse()
            for set_cookie in answer.headers.get_all("Set-Cookie") or ():
                for name, morsel in SimpleCookie(set_cookie).items():
                    self._cookies[name] = morsel.value
            return answer.status, answer.read().decode()
        finally:
            connection.close()
