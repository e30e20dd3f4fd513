"""Fixtures for tests in a real browser: Chromium, the demo school served, and its visitors."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from app.rules.accounts.roles import Role
from tests.browser.devices import Device
from tests.browser.pages.sign_in import SignInPage
from tests.support import demo
from tests.support.clock import Clock
from tests.support.demo import DemoFactory
from tests.support.server import Server, serving

WAIT_MS = 10_000


def _chromium() -> str:
    found = os.environ.get("YARDMARK_CHROMIUM") or shutil.which("chromium")
    if not found:
        if os.environ.get("CI") == "true":
            pytest.fail("Chromium is not installed")
        pytest.skip("Chromium is not installed")
    return found


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Use the machine's own Chromium, and keep it from calling home."""
    quiet = [
        "--disable-gpu",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
    ]
    root = ["--no-sandbox"] if os.geteuid() == 0 else []
    return {**browser_type_launch_args, "executable_path": _chromium(), "args": [*quiet, *root]}


@pytest.fixture(scope="session")
def demo_factory(tmp_path_factory: pytest.TempPathFactory) -> DemoFactory:
    """Copies of the demo school."""
    return DemoFactory(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="session")
def looked_at(demo_factory: DemoFactory) -> Iterator[Server]:
    """The demo school, served for the whole run. Only for tests that change nothing in it."""
    with serving(demo_factory.fresh(), Clock()) as server:
        yield server


@pytest.fixture
def school(demo_factory: DemoFactory, clock: Clock) -> Iterator[Server]:
    """A demo school of this test's own, served, with the test's clock."""
    with serving(demo_factory.fresh(), clock) as server:
        yield server


Sitting = Callable[[Role, Device], Page]


@pytest.fixture
def sit_down(browser: Browser, school: Server) -> Iterator[Sitting]:
    """Sign someone in at a device: ``sit_down(Role.DESK, DESK)`` is their open page."""
    contexts: list[BrowserContext] = []

    def sit(role: Role, device: Device) -> Page:
        context = browser.new_context(base_url=school.address, **device.options())
        contexts.append(context)
        context.set_default_timeout(WAIT_MS)
        page = context.new_page()
        SignInPage(page).open().enter(demo.sign_ins()[role], demo.PASSWORD)
        return page

    yield sit
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def kept_cookies(browser: Browser, looked_at: Server) -> dict[Role | None, Any]:
    """The cookies of one signed-in person of each role, in the school that is only looked at."""
    found: dict[Role | None, Any] = {None: {"cookies": [], "origins": []}}
    for role, email in demo.sign_ins().items():
        context = browser.new_context(base_url=looked_at.address)
        SignInPage(context.new_page()).open("/me").enter(email, demo.PASSWORD)
        found[role] = context.storage_state()
        context.close()
    return found
