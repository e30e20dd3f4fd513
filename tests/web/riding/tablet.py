"""A tablet's queue as the tests send it."""

from __future__ import annotations

from datetime import datetime
from itertools import count
from typing import Any
from uuid import UUID, uuid4

from werkzeug.test import TestResponse

from app.store.database import Database
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.web.riding.board import variant_id

Sent = dict[str, Any]


class Tablet:
    """One tablet with one person at it; its clock is ``clock``."""

    def __init__(self, visitor: Visitor, db: Database, people: Cast, clock: Clock) -> None:
        self.client, self.people, self.clock = visitor.client, people, clock
        self.id = str(UUID(int=77))
        self.slalom = variant_id(db, "slalom")
        self._seq = count(1)

    def ride(self, **changes: Any) -> Sent:
        """A clean slalom of Lena's, but for some changes."""
        usual = {
            "kind": "ride",
            "id": str(uuid4()),
            "session": self.people.session,
            "student": self.people.learner,
            "variant": self.slalom,
            "ridden_at": self.clock().isoformat(),
            "seq": next(self._seq),
        }
        return {**usual, **changes}

    def strike(self, ride: Sent, **changes: Any) -> Sent:
        """A ride taken back."""
        usual = {"kind": "strike_out", "id": str(uuid4()), "ride": ride["id"]}
        return {**usual, "reason": "Taken back at once", **changes}

    def token(self) -> str:
        """A fresh token."""
        return str(self.client.get("/yard/sync/token").get_json()["token"])

    def post(self, body: Any, token: str | None = None) -> TestResponse:
        """Send anything, as JSON."""
        headers = {"X-CSRFToken": self.token() if token is None else token}
        return self.client.post("/yard/sync", json=body, headers=headers)

    def batch(self, *items: Any, clock: datetime | None = None) -> Sent:
        """A batch as the tablet would send it now."""
        shown = (clock or self.clock()).isoformat()
        return {"tablet": self.id, "clock": shown, "items": list(items)}

    def send(self, *items: Any, clock: datetime | None = None) -> list[str]:
        """Send items; the word for each."""
        return [answer["answer"] for answer in self.answers(*items, clock=clock)]

    def answers(self, *items: Any, clock: datetime | None = None) -> list[Sent]:
        """Send items; the whole answer for each."""
        response = self.post(self.batch(*items, clock=clock))
        assert response.status_code == 200, response.text
        found: list[Sent] = response.get_json()["items"]
        assert len(found) == len(items)
        return found
