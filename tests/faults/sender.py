"""A tablet's client on a bad line: it repeats, reorders and loses answers, but gives up nothing."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable
from http.client import HTTPConnection, HTTPException
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode

from tests.support import cast
from tests.support.clock import START

Sent = dict[str, Any]
_BATCH = 50
_TROUBLE = (OSError, HTTPException, ValueError)


class Sender:
    """Sends items until each has been answered, whatever happens to the server meanwhile."""

    def __init__(self, port: int, tablet: str, lots: random.Random) -> None:
        self._port, self._tablet, self._lots = port, tablet, lots
        self._cookies: dict[str, str] = {}
        self.posts = self.lost = 0

    def sign_in(self) -> None:
        """Sign in as Ines, through the form."""
        page = self._ask("GET", "/sign-in")[1].decode()
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
        assert found, "no token on the sign-in page"
        form = {"email": cast.EMAILS["instructor"], "password": cast.PASSWORD}
        body = urlencode({**form, "csrf_token": found[1]}).encode()
        status, _ = self._ask("POST", "/sign-in", body, _FORM)
        assert status == 303

    def send_all(self, items: list[Sent], between: Callable[[], None]) -> dict[str, str]:
        """Send everything; ``between`` is called between posts. The last word for each item."""
        words: dict[str, str] = {}
        while left := [item for item in items if item["id"] not in words]:
            between()
            try:
                words.update(self._round(left, items))
            except _TROUBLE:
                self.lost += 1
        return words

    def _round(self, left: list[Sent], items: list[Sent]) -> dict[str, str]:
        batch = self._lots.sample(left, min(_BATCH, len(left)))
        batch += self._lots.sample(items, self._lots.randint(0, 5))  # some once more, needed or not
        self._lots.shuffle(batch)
        answered = self._post(batch)
        if self._lots.random() < 0.25:
            return {}  # the answer was lost on the way
        return {answer["id"]: answer["answer"] for answer in answered}

    def _post(self, items: list[Sent]) -> list[dict[str, str]]:
        self.posts += 1
        token = json.loads(self._ask("GET", "/yard/sync/token")[1])["token"]
        body = {"tablet": self._tablet, "clock": START.isoformat(), "items": items}
        headers = {"Content-Type": "application/json", "X-CSRFToken": token}
        status, text = self._ask("POST", "/yard/sync", json.dumps(body).encode(), headers)
        if status != 200:
            raise HTTPException(f"{status}: {text[:200]!r}")
        found: list[dict[str, str]] = json.loads(text)["items"]
        return found

    def _ask(
        self,
        method: str,
        path: str,
        body: bytes | None = None,
        headers: dict[str, str] | None = None,
    ) -> tuple[int, bytes]:
        cookie = "; ".join(f"{name}={value}" for name, value in self._cookies.items())
        connection = HTTPConnection("127.0.0.1", self._port, timeout=20)
        try:
            connection.request(method, path, body, {"Cookie": cookie, **(headers or {})})
            answer = connection.getresponse()
            for set_cookie in answer.headers.get_all("Set-Cookie") or ():
                for name, morsel in SimpleCookie(set_cookie).items():
                    self._cookies[name] = morsel.value
            return answer.status, answer.read()
        finally:
            connection.close()


_FORM = {"Content-Type": "application/x-www-form-urlencoded"}
