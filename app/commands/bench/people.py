"""The people of the bench: signed in as anyone would be, pressing what anyone would press."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import uuid4

import click

from app.commands.bench.load import Connection, Request
from app.config import utc_now
from app.store.school.demo import data

_TABLET = str(uuid4())
_FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@dataclass(frozen=True, slots=True)
class Board:
    """A session board that is open: what a press on it has to send."""

    path: str
    token: str
    rider: str
    variant: str


def signed_in(role: str) -> Callable[[Connection], None]:
    """Something that signs a connection in as the demo's first person of a role."""
    school = data.read()
    mailboxes = [person["email"] for person in school.staff if role in person["roles"]]
    mailbox = mailboxes[0] if mailboxes else school.students[0].mailbox

    def sign_in(connection: Connection) -> None:
        token = _hidden(_get(connection, "/sign-in"), "csrf_token")
        fields = {"email": school.address(mailbox), "password": school.password}
        status, _text, _where = connection.send(_post("/sign-in", {**fields, "csrf_token": token}))
        if status != 303:
            raise click.ClickException(f"The demo's {role} could not sign in ({status}).")
        _get(connection, "/me")  # brings the new session's token before the cookies are shared

    return sign_in


def board_of(connection: Connection) -> Board:
    """Open the board of the instructor's first session of today."""
    home = _get(connection, "/yard")
    path = _found(r'href="(/yard/sessions/\d+)"', home)
    _check_safety(connection, f"{path}/safety")
    page = _get(connection, path)
    return Board(
        path=f"{path}/rides",
        token=_hidden(page, "csrf_token"),
        rider=_hidden(page, "rider"),
        variant=_hidden(page, "variant"),
    )


def _check_safety(connection: Connection, path: str) -> None:
    """Confirm the safety check, which the first ride of a session waits for."""
    fields = {"csrf_token": _hidden(_get(connection, path), "csrf_token")}
    connection.send(_post(path, {**fields, "surface": "dry", "wind": "calm"}))


def ride_request(board: Board) -> Request:
    """Press Clean, once."""
    fields = {
        "csrf_token": board.token,
        "attempt_id": str(uuid4()),
        "rider": board.rider,
        "variant": board.variant,
        "press": "clean",
    }
    return _post(board.path, fields)


def batch_request(board: Board, token: str, number: int, rides: int) -> Request:
    """Send a tablet's batch of so many clean rides; ``number`` keeps its sequence going."""
    moment = utc_now().isoformat()
    session = int(board.path.split("/")[3])
    items = [
        {
            "kind": "ride",
            "id": str(uuid4()),
            "session": session,
            "student": int(board.rider),
            "variant": int(board.variant),
            "ridden_at": moment,
            "seq": number * rides + place,
        }
        for place in range(rides)
    ]
    body = json.dumps({"tablet": _TABLET, "clock": moment, "items": items}).encode()
    return Request(
        "POST", "/yard/sync", body, {"Content-Type": "application/json", "X-CSRFToken": token}
    )


def sync_token(connection: Connection) -> str:
    """A fresh token for sending batches."""
    return str(json.loads(_get(connection, "/yard/sync/token"))["token"])


def weights(connection: Connection) -> tuple[int, int]:
    """Bytes on the wire of a board's first load (page and all it names) and of its next (page)."""
    path = _found(r'href="(/yard/sessions/\d+)"', _get(connection, "/yard"))
    packed = {"Accept-Encoding": "gzip"}
    page = connection.weigh(Request("GET", path, headers=packed))
    named = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', _get(connection, path)))
    parts = [connection.weigh(Request("GET", each.replace("&amp;", "&"), headers=packed))
             for each in sorted(named)]  # fmt: skip
    return page + sum(parts), page


def _post(path: str, fields: dict[str, str]) -> Request:
    return Request("POST", path, urlencode(fields).encode(), _FORM)


def _get(connection: Connection, path: str) -> str:
    status, text, _where = connection.send(Request("GET", path))
    if status != 200:
        raise click.ClickException(f"{path} answered {status}.")
    return text


def _hidden(page: str, name: str) -> str:
    tag = _found(rf'(<input[^>]*name="{name}"[^>]*>)', page)
    return _found(r'value="([^"]*)"', tag)


def _found(pattern: str, page: str) -> str:
    match = re.search(pattern, page)
    if match is None:
        raise click.ClickException(f"The page does not hold {pattern}.")
    return match.group(1)
