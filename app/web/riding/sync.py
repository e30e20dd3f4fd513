"""Where a tablet hands its rides in. The contract stands in DEVELOPERS.md."""

from __future__ import annotations

import json
from typing import Any

from flask import request
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import generate_csrf

from app.rules.refusal import Refused
from app.rules.riding.handed_in import MOST_BYTES, MOST_ITEMS, ItemAnswer, read_batch, skew_of
from app.store.progress.syncing import take_batch
from app.web import context
from app.web.answers import answer, trouble
from app.web.riding.routes import bp

_TOO_MUCH = f"Send at most {MOST_ITEMS} items and {MOST_BYTES // 1024} KB at once."


@bp.get("/yard/sync/token")
def sync_token() -> ResponseReturnValue:
    """A fresh form token for the next batch, with whose sign-in it is and the server's time."""
    person = context.actor()
    return answer(
        {
            "token": generate_csrf(),
            "account": person.account_id,
            "name": person.name,
            "now": context.now().isoformat(),
        }
    )


@bp.post("/yard/sync")
def sync() -> ResponseReturnValue:
    """Take a batch in and answer each of its items."""
    if (request.content_length or 0) > MOST_BYTES:
        return trouble(413, _TOO_MUCH)
    sent = request.get_data(cache=False)
    if len(sent) > MOST_BYTES:  # sent in chunks, without saying how much
        return trouble(413, _TOO_MUCH)
    try:
        batch = read_batch(_read(sent), context.now())
    except ValueError:
        return trouble(422, "This is not JSON. Nothing was kept.")
    except Refused as refused:
        return trouble(422, f"{refused} Nothing was kept.")
    if len(batch.items) > MOST_ITEMS:
        return trouble(413, _TOO_MUCH)
    answers = take_batch(context.database(), context.actor(), batch.items, context.now())
    skew = skew_of(batch.clock, context.now())
    return answer({"skew_seconds": skew.total_seconds(), "items": [_said(a) for a in answers]})


def _read(sent: bytes) -> Any:
    """What was sent. Raises ValueError for anything but JSON."""
    try:
        return json.loads(sent)
    except RecursionError:
        raise ValueError("nested too deeply") from None


def _said(of: ItemAnswer) -> dict[str, str | None]:
    reason = {"reason": of.reason} if of.reason else {}
    return {"id": of.sent_id, "answer": of.word.value, **reason}
