"""A real mail server on this machine, which keeps what it is given."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from socket import socket
from threading import Event
from typing import Any

from aiosmtpd.controller import Controller

from app.config import Smtp


class Postbox:
    """What arrived, and how the server answers. ``answer`` is an SMTP reply to the message."""

    def __init__(self) -> None:
        self.messages: list[EmailMessage] = []
        self.answer = "250 Kept"
        self.hang_up = False
        self.arrived = Event()

    async def handle_DATA(self, server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        """Keep a message, and answer as told."""
        if self.hang_up:
            server.transport.close()
            return "421 Gone"
        if self.answer.startswith("250"):
            self.messages.append(message_from_bytes(envelope.content, policy=default))
        self.arrived.set()
        return self.answer


@contextmanager
def mail_server() -> Iterator[tuple[Postbox, Smtp]]:
    """Run a server while the block runs."""
    postbox = Postbox()
    controller = Controller(postbox, hostname="127.0.0.1", port=_free_port())
    controller.start()
    try:
        yield postbox, Smtp("127.0.0.1", controller.port, "none", None, None)
    finally:
        controller.stop()


def _free_port() -> int:
    with socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port: int = listener.getsockname()[1]
        return port
