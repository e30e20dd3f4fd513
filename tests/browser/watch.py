"""What a page does behind its reader's back: errors, strange hosts, and bytes."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import ConsoleMessage, Page, Request, Response


class Watch:
    """Collects what goes wrong on a page from now on."""

    def __init__(self, page: Page, address: str) -> None:
        self.troubles: list[str] = []
        self._host = urlsplit(address).netloc
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.troubles.append(f"script error: {error}"))
        page.on("request", self._request)
        page.on("response", self._response)
        page.on("requestfailed", lambda request: self.troubles.append(f"failed: {request.url}"))

    def take(self) -> list[str]:
        """The troubles since the last time they were taken."""
        taken, self.troubles = self.troubles, []
        return taken

    def _console(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.troubles.append(f"console {message.type}: {message.text}")

    def _request(self, request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme in ("http", "https", "ws", "wss") and parts.netloc != self._host:
            self.troubles.append(f"asked another host: {request.url}")

    def _response(self, response: Response) -> None:
        if response.status >= 400:
            self.troubles.append(f"{response.status} for {response.url}")


class Scales:
    """Weighs what comes over the wire: bodies and headers as sent, nothing for what is cached."""

    def __init__(self, page: Page) -> None:
        self._weights: dict[str, float] = {}
        self._addresses: dict[str, str] = {}
        session = page.context.new_cdp_session(page)
        session.send("Network.enable")
        session.on("Network.responseReceived", self._named)
        session.on("Network.loadingFinished", self._finished)

    def _named(self, event: dict[str, Any]) -> None:
        self._addresses[event["requestId"]] = event["response"]["url"]

    def _finished(self, event: dict[str, Any]) -> None:
        self._weights[event["requestId"]] = event["encodedDataLength"]

    def read(self) -> dict[str, float]:
        """Bytes by address since the last reading."""
        found = {self._addresses.get(key, key): weight for key, weight in self._weights.items()}
        self._weights.clear()
        return found
