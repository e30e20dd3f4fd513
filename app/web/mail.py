"""Sending email as soon as what caused it is saved, without making anyone wait."""

from __future__ import annotations

import logging
from datetime import datetime
from threading import Thread

from app.store.database import Database
from app.store.diary.letter_truth import no_longer_so
from app.store.post_office import CannotSend, Office, send_owed
from app.web import context

_log = logging.getLogger(__name__)


def send_soon() -> None:
    """Start sending what is owed. What cannot be sent now waits for the ``send`` command.

    It runs beside the request, so that an answer takes the same time whether or
    not there was anything to send.
    """
    config = context.config()
    if config.smtp is None:
        return
    office = Office(config.smtp, config.sender, context.own_address())
    Thread(target=_send, args=(context.database(), office, context.now()), name="post").start()


def _send(db: Database, office: Office, now: datetime) -> None:
    try:
        done = send_owed(db, office, now, no_longer_so)
    except CannotSend as error:
        _log.warning("email waits to be sent: %s", error)
    else:
        if done.trouble:
            _log.warning("email may wait to be sent: %s", done.trouble)
