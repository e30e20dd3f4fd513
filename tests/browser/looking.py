"""One look at a page: everything that is asked of it, found in a single visit.

A page is loaded at most twice for a look, once to be examined and once to be
weighed, however many tests ask about it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

from app.rules.accounts.roles import Role
from tests.browser.axe import colour_violations, violations
from tests.browser.devices import DESK, NARROW, PHONE, TABLET, Device, Scheme
from tests.browser.watch import Watch
from tests.support.addresses import Guide, Stop
from tests.support.server import Server

_WIDE = """() => [...document.querySelectorAll('body *')]
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1)
    .slice(0, 5).map(e => e.outerHTML.slice(0, 120))"""
_WEIGHTS = """() => Object.fromEntries(['navigation', 'resource']
    .flatMap(kind => performance.getEntriesByType(kind))
    .map(entry => [entry.name, entry.transferSize]))"""


_NO_WORKER = "console warning: Service Worker registration blocked by Playwright"
"""What the browser says to a page of the yard because these visits allow no worker."""


@dataclass(frozen=True, slots=True)
class Look:
    """What was found: the status, the troubles, and by size and scheme what axe says.

    ``too_wide`` names the sizes that have to be scrolled sideways with what sticks
    out; ``weights`` are the bytes by address of a visit with everything kept that can be.
    """

    status: int
    troubles: list[str]
    violations: dict[str, list[str]]
    too_wide: dict[str, list[str]]
    weights: dict[str, float]


@dataclass
class Viewer:
    """Looks at each stop once and remembers it. ``closely`` says where all is wanted."""

    browser: Browser
    server: Server
    guide: Guide
    cookies: dict[Role | None, Any]
    closely: Callable[[Stop], bool]
    _tabs: dict[Role | None, tuple[Page, Watch]] = field(default_factory=dict)
    _seen: dict[Stop, Look] = field(default_factory=dict)

    def look(self, stop: Stop) -> Look:
        """What there is to see at a stop."""
        if stop not in self._seen:
            self._seen[stop] = self._visit(stop)
        return self._seen[stop]

    def close(self) -> None:
        """Close every tab."""
        for page, _ in self._tabs.values():
            page.context.close()

    def _visit(self, stop: Stop) -> Look:
        page, watch = self._tab(stop.role)
        _as_on(page, PHONE)
        response = page.goto(self.guide.path(stop))
        assert response is not None
        found: dict[str, list[str]] = {}
        too_wide: dict[str, list[str]] = {}
        weights: dict[str, float] = {}
        if self.closely(stop):
            found = _in_every_way(page)
            too_wide = _too_wide(page)
            weights = self._weigh(page, stop)
        troubles = [each for each in watch.take() if each != _NO_WORKER]
        return Look(response.status, troubles, found, too_wide, weights)

    def _weigh(self, page: Page, stop: Stop) -> dict[str, float]:
        page.goto("about:blank")
        page.goto(self.guide.path(stop))
        weights: dict[str, float] = page.evaluate(_WEIGHTS)
        return weights

    def _tab(self, role: Role | None) -> tuple[Page, Watch]:
        """The role's tab. What comes out of a service worker's store is not on the wire: none."""
        if role not in self._tabs:
            page = self._context(role).new_page()
            self._tabs[role] = (page, Watch(page, self.server.address))
        return self._tabs[role]

    def _context(self, role: Role | None) -> BrowserContext:
        return self.browser.new_context(
            base_url=self.server.address,
            storage_state=self.cookies[role],
            service_workers="block",
            **PHONE.options(),
        )


def _is_yard(page: Page) -> bool:
    return page.locator("body.yard").count() > 0


def _as_on(page: Page, device: Device, scheme: Scheme = "light") -> None:
    page.set_viewport_size(device.size)
    page.emulate_media(color_scheme=scheme)


def _in_every_way(page: Page) -> dict[str, list[str]]:
    """On a phone and on a wide screen, each in both schemes."""
    yard = _is_yard(page)
    wide = TABLET if yard else DESK
    found = {"phone, light": violations(page, yard=yard)}
    found["phone, dark"] = _in_the_dark(page, PHONE, yard)
    _as_on(page, wide)
    found[f"{wide.name}, light"] = violations(page, yard=yard)
    return found | {f"{wide.name}, dark": _in_the_dark(page, wide, yard)}


def _in_the_dark(page: Page, device: Device, yard: bool) -> list[str]:
    _as_on(page, device, "dark")
    return colour_violations(page, yard=yard)


def _too_wide(page: Page) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for device in (NARROW, PHONE, TABLET, DESK):
        _as_on(page, device)
        width = page.evaluate("document.documentElement.scrollWidth")
        if width > device.width:
            found[f"{width} px at {device.width}"] = page.evaluate(_WIDE)
    return found
