"""The yard's pages, as they are touched on a tablet."""

from __future__ import annotations

from playwright.sync_api import Locator, Page, expect


class Yard:
    """An instructor's sessions and the board of one."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def open_session(self, times: str) -> None:
        """Open one of today's sessions by its times."""
        self.page.goto("/yard")
        self.page.get_by_role("link", name=times).tap()
        expect(self.page.get_by_role("navigation", name="Riders in this session")).to_be_visible()

    def check_safety(self) -> None:
        """Do the safety check that comes before the first ride."""
        self.page.get_by_role("link", name="Safety check").first.tap()
        self.page.get_by_role("radio", name="Dry").tap()
        self.page.get_by_role("button", name="I have checked all of this").tap()
        expect(self.page.get_by_role("navigation", name="Riders in this session")).to_be_visible()

    def pick(self, rider: str, manoeuvre: str) -> None:
        """Choose who rides what."""
        riders = self.page.get_by_role("navigation", name="Riders in this session")
        riders.get_by_role("link", name=rider).tap()
        keys = self.page.get_by_role("navigation", name="Manoeuvres")
        keys.locator("a span").get_by_text(manoeuvre, exact=True).tap()
        expect(self.page.get_by_role("heading", name=f"{rider}: {manoeuvre}")).to_be_visible()

    def speed(self, more: int) -> None:
        """Say that the speed was measured by radar, so many km/h over the minimum."""
        self.page.get_by_role("radio", name="Radar or GPS").tap()
        for _ in range(more):
            self.page.get_by_role("button", name="1 more").tap()

    def is_timed(self) -> bool:
        """Whether this manoeuvre has a minimum speed."""
        return self.page.get_by_role("spinbutton", name="Speed").count() > 0

    def clean(self) -> None:
        """One tap for a clean ride, besides the speed where there is one."""
        self._record("Clean")

    def first_fault(self) -> str:
        """The name of the fault that is offered first."""
        return str(self._faults().first.locator("label span").inner_text())

    def fault(self) -> None:
        """Two taps for the fault that is offered first, besides the speed where there is one."""
        self._faults().first.get_by_role("checkbox").tap()
        self._record("Record the fault")

    def _record(self, button: str) -> None:
        before = self._listed().count()
        if self.is_timed():
            self.speed(more=2)
        self.page.get_by_role("button", name=button, exact=True).tap()
        expect(self._listed()).to_have_count(before + 1)
        self.all_sent()

    def take_back(self) -> None:
        """Take the last ride back."""
        self.page.get_by_role("button", name="Take back").tap()
        expect(self.page.get_by_text("Nothing to take back")).to_be_visible()
        self.all_sent()

    def all_sent(self) -> None:
        """Wait until nothing waits on the tablet any more."""
        expect(self.page.locator("[data-queue-status]")).to_have_text("All sent")

    def rides(self, rider: str) -> int:
        """How many rides of this session the board shows beside a rider's name."""
        strip = self.page.get_by_role("list", name=f"{rider}, last rides", exact=True)
        return strip.get_by_role("listitem").count()

    def _listed(self) -> Locator:
        """The rides of the rider on the board in this session."""
        return self.page.locator("#rides .ride-list li")

    def _faults(self) -> Locator:
        return self.page.locator(".tick.is-fault")
