"""The diary's views: moving about with the keys, and what lies on the printer."""

from __future__ import annotations

from io import BytesIO

from playwright.sync_api import Locator, Page
from pypdf import PageObject, PdfReader


class Diary:
    """A day or a week of the diary."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def open(self, address: str) -> Diary:
        """Go to a view."""
        self.page.goto(address)
        return self

    @property
    def spots(self) -> Locator:
        """The sessions and free times that the arrow keys go to."""
        return self.page.locator("#grid .spot")

    def focused(self) -> str:
        """The words of what has the keyboard."""
        words: str = self.page.evaluate("document.activeElement.textContent")
        return " ".join(words.split())

    def column(self) -> str:
        """Whose column the keyboard is in."""
        name: str = self.page.evaluate("document.activeElement.closest('td')?.dataset.label ?? ''")
        return name

    def press(self, *keys: str) -> Diary:
        """Press keys one after another."""
        for key in keys:
            self.page.keyboard.press(key)
        return self

    def heading(self) -> str:
        """The page's first heading."""
        return self.page.get_by_role("heading", level=1).inner_text()

    def printed(self) -> list[PageObject]:
        """The sheets of paper that the page prints on, without coloured grounds."""
        paper = self.page.pdf(prefer_css_page_size=True, print_background=False)
        return list(PdfReader(BytesIO(paper)).pages)
