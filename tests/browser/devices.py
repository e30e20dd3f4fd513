"""The screens that people hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from playwright.sync_api import ViewportSize

Scheme = Literal["light", "dark"]
SCHEMES: tuple[Scheme, ...] = ("light", "dark")


@dataclass(frozen=True, slots=True)
class Device:
    """A screen: its size in CSS pixels and whether it is touched."""

    name: str
    width: int
    height: int
    touch: bool

    @property
    def size(self) -> ViewportSize:
        """The viewport as Playwright wants it."""
        return {"width": self.width, "height": self.height}

    def options(self, scheme: Scheme = "light") -> dict[str, Any]:
        """How a browser context for this screen is opened."""
        return {
            "viewport": self.size,
            "has_touch": self.touch,
            "is_mobile": self.touch,
            "color_scheme": scheme,
            "locale": "en-GB",
            "timezone_id": "Europe/London",
            "reduced_motion": "reduce",
        }


DESK = Device("desk", 1440, 900, touch=False)
TABLET = Device("tablet", 1280, 800, touch=True)
PHONE = Device("phone", 390, 844, touch=True)
NARROW = Device("narrow", 320, 640, touch=True)
"""320 px is the width at which WCAG 2.2, success criterion 1.4.10 (Reflow), is judged."""

DEVICES = (DESK, TABLET, PHONE, NARROW)
