"""The desk's pages: making a session, and booking a student into it."""

from __future__ import annotations

from playwright.sync_api import Page, expect


class Desk:
    """The front desk, worked from the keyboard."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def make_session(self, day: str, starts: str, ends: str, who: str, yard: str) -> None:
        """Make a session, from the desk's home; ends on the session's own page."""
        self.page.goto("/desk")
        self.page.get_by_role("link", name="Make a session").click()
        self.page.get_by_label("Day").fill(day)
        self.page.get_by_label("Starts").fill(starts)
        self.page.get_by_label("Ends").fill(ends)
        self.page.get_by_label("Instructor").select_option(label=who)
        self.page.get_by_label("Yard").select_option(label=yard)
        self.page.get_by_label("Ends").press("Enter")
        expect(self.page.get_by_role("heading", name="Book a student")).to_be_visible()

    def book(self, letters: str, name: str) -> str:
        """Find a student by some letters and book them; the bike that was proposed for them."""
        self.page.get_by_label("Who comes").fill(letters)
        self.page.get_by_label("Who comes").press("Enter")
        self.page.get_by_role("link", name=name, exact=True).click()
        bike = self.page.get_by_role("radio", checked=True)
        said = bike.evaluate("radio => radio.labels[0].innerText")
        bike.press("Enter")
        expect(self.page.get_by_role("status")).to_contain_text(f"{name} is booked on ")
        return str(said).split(",")[0]

    def riders(self) -> str:
        """What the session's page says of its riders."""
        return self.page.get_by_role("table").first.inner_text()
