"""A mock test on the tablet, from the board to the debrief."""

from __future__ import annotations

from collections.abc import Iterator

from playwright.sync_api import Page, expect


class MockTestPage:
    """The screens of one rider's mock test."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def begin(self, side: str) -> None:
        """From the board: begin, with the safety check behind us."""
        self.page.get_by_role("link", name="Mock test:").click()
        self.page.get_by_label(f"To the {side}").check()
        self._press("Begin the test")
        self.is_live()

    @property
    def now(self) -> str:
        """What is ridden now."""
        return self.page.locator("h2.now").inner_text()

    def is_live(self) -> None:
        """Wait for the scripts of the test."""
        expect(self.page.locator("html[data-board=live]")).to_have_count(1)

    def clean(self) -> None:
        """One tap: clean."""
        self._record("Clean")

    def fault(self) -> None:
        """Two taps: the first fault in sight."""
        self.page.locator(".tick.is-fault input").first.check()
        self._record("Record the fault")

    def _record(self, label: str) -> None:
        before = self.now
        self.page.get_by_role("button", name=label, exact=True).click()
        expect(self.page.locator("h2.now")).not_to_have_text(before)

    def clean_to_the_end(self, kmh: str) -> Iterator[str]:
        """Ride what is left clean, at a speed where one is measured; each by its name."""
        while self.now != "Nothing is left to ride":
            name = self.now
            speed = self.page.get_by_role("spinbutton", name="Speed")
            if speed.count():
                speed.fill(kmh)
            self.clean()
            yield name

    def end(self) -> None:
        """End it, and wait for the debrief."""
        self._press("Go on to the end")
        self._press("End the test")
        expect(self.page.get_by_role("heading", name="Verdict")).to_be_visible()

    def _press(self, label: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=label).click()
