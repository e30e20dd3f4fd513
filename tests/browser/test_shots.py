"""Pictures of every page to look at, on request: YARDMARK_SHOTS names the folder for them."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from app.rules.accounts.roles import Role
from tests.browser.devices import DEVICES, SCHEMES, Device, Scheme
from tests.support.addresses import Guide, stops
from tests.support.server import Server

SHOTS = os.environ.get("YARDMARK_SHOTS", "")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not SHOTS, reason="YARDMARK_SHOTS names no folder for pictures"),
]


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("device", DEVICES, ids=[device.name for device in DEVICES])
@pytest.mark.parametrize("role", [None, *Role], ids=["nobody", *Role])
def test_take_pictures(
    browser: Browser,
    looked_at: Server,
    kept_cookies: dict[Role | None, Any],
    role: Role | None,
    device: Device,
    scheme: Scheme,
) -> None:
    guide = Guide(looked_at.app, looked_at.database)
    context = browser.new_context(
        base_url=looked_at.address, storage_state=kept_cookies[role], **device.options(scheme)
    )
    page = context.new_page()
    for stop in (each for each in stops() if each.role == role):
        page.goto(guide.path(stop))
        file = Path(SHOTS) / f"{stop.name}-{device.name}-{scheme}.png"
        page.screenshot(path=file, full_page=True)
        assert file.stat().st_size > 2_000
    context.close()
