"""The student's own pages, on a phone."""

from __future__ import annotations

from playwright.sync_api import Locator, Page, expect


class Mine:
    """What to practise, and the rides behind it."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def open(self) -> Mine:
        """Go to the student's own page."""
        self.page.goto("/mine")
        expect(self.page.get_by_role("heading", name="What to practise next")).to_be_visible()
        return self

    def flags(self) -> list[str]:
        """The names of what to practise, the most urgent first."""
        return self._flags().locator("h3").all_inner_texts()

    def flag(self, name: str) -> Locator:
        """One thing to practise, with its reason."""
        return self._flags().filter(has=self.page.get_by_role("link", name=name, exact=True))

    def open_flag(self, name: str) -> None:
        """Go from a flag into its rides."""
        self.flag(name).get_by_role("link", name=name, exact=True).tap()
        expect(self.page.get_by_role("heading", name="Every ride")).to_be_visible()

    def last_session(self) -> Locator:
        """The newest session in which it was ridden, with its rides in it."""
        return self.page.get_by_role("region", name="Every ride").get_by_role("article").first

    def rides(self) -> list[str]:
        """The rides of that session, the newest first."""
        return self.last_session().get_by_role("listitem").all_inner_texts()

    def _flags(self) -> Locator:
        return self.page.get_by_role("article")
