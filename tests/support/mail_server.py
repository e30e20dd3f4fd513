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
    """What arrived, and how the server answers.

    ``answer`` is an SMTP reply to the message, ``to_recipient`` to its recipient,
    ``to_sender`` to its sender. The line is hung up at the step that ``hang_up`` names:
    ``mail``, ``rcpt``, or ``data``, which is after the whole message has come; with
    ``keeps`` the server has kept it by then, as one that dies before it could say so.
    """

    def __init__(self) -> None:
        self.messages: list[EmailMessage] = []
        self.raw: list[bytes] = []
        self.recipients: list[str] = []
        self.answer = self.to_recipient = self.to_sender = "250 Kept"
        self.hang_up = ""
        self.keeps = False
        self.arrived = Event()

    async def handle_MAIL(  # noqa: N802
        self, server: Any, _session: Any, envelope: Any, address: str, _options: list[str]
    ) -> str:
        """Answer the sender's address as told."""
        envelope.mail_from = address
        return self._or_hang_up("mail", server, self.to_sender)

    async def handle_RCPT(  # noqa: N802
        self, server: Any, _session: Any, envelope: Any, address: str, _options: list[str]
    ) -> str:
        """Answer the recipient's address as told."""
        if self.to_recipient.startswith("250"):
            envelope.rcpt_tos.append(address)
        return self._or_hang_up("rcpt", server, self.to_recipient)

    async def handle_DATA(self, server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        """Keep a message, and answer as told."""
        if self.keeps or (self.answer.startswith("250") and self.hang_up != "data"):
            self.messages.append(message_from_bytes(envelope.content, policy=default))
            self.raw.append(envelope.content)
            self.recipients += envelope.rcpt_tos
        self.arrived.set()
        return self._or_hang_up("data", server, self.answer)

    def _or_hang_up(self, step: str, server: Any, answer: str) -> str:
        if self.hang_up != step:
            return answer
        server.transport.close()
        return "421 Gone"


@contextmanager
def mail_server(
    postbox: Postbox | None = None, port: int | None = None, *, utf8: bool = True
) -> Iterator[tuple[Postbox, Smtp]]:
    """Run a server while the block runs; ``utf8``: it takes addresses in any script."""
    postbox = postbox or Postbox()
    controller = Controller(
        postbox, hostname="127.0.0.1", port=port or _free_port(), enable_SMTPUTF8=utf8
    )
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
