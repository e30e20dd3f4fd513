"""The page where people come in."""

from __future__ import annotations

from playwright.sync_api import Page, expect


class SignInPage:
    """Sign-in by email and password."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def open(self, then: str = "/") -> SignInPage:
        """Go there, on the way to another page."""
        self.page.goto(f"/sign-in?next={then}")
        return self

    def enter(self, email: str, password: str) -> None:
        """Sign in, and wait for what comes after."""
        self.page.get_by_label("Email").fill(email)
        self.page.get_by_label("Password", exact=True).fill(password)
        self.page.get_by_role("button", name="Sign in", exact=True).click()
        expect(self.page.get_by_role("button", name="Sign out")).to_be_visible()
