"""Sending email as soon as what caused it is saved, without making anyone wait."""

from __future__ import annotations

import logging
from datetime import datetime
from threading import Thread

from app.config import Smtp
from app.store.database import Database
from app.store.post_office import CannotSend, send_owed
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
    arguments = (context.database(), config.smtp, config.sender)
    Thread(target=_send, args=(*arguments, context.now()), name="post").start()


def _send(db: Database, smtp: Smtp, sender: str, now: datetime) -> None:
    try:
        send_owed(db, smtp, sender, now)
    except CannotSend as error:
        _log.warning("email waits to be sent: %s", error)
