"""A tablet in the yard whose network comes and goes."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import BrowserContext, Page, expect

_KEPT = """async (path) => {
  const cache = await caches.open("yardmark-pages");
  return (await cache.match(path)) !== undefined;
}"""


class YardTablet:
    """One tablet on the board of one session."""

    def __init__(self, context: BrowserContext, page: Page) -> None:
        self.context, self.page = context, page

    def keep(self, path: str) -> None:
        """Wait until the worker serves this page and has kept the board at ``path``."""
        self.page.wait_for_function("() => navigator.serviceWorker.controller !== null")
        self.page.wait_for_function(_KEPT, arg=path)

    def lose_network(self) -> None:
        """Go out of reach."""
        self.context.set_offline(True)

    def find_network(self) -> None:
        """Come back into reach."""
        self.context.set_offline(False)

    def is_live(self) -> None:
        """Wait for the board's scripts."""
        expect(self.page.locator("html[data-board=live]")).to_have_count(1)

    def rider(self, number: int) -> None:
        """Tap a rider's tab, from nought."""
        self.page.locator(".riders a").nth(number).tap()
        expect(self.page.locator(".riders a").nth(number)).to_have_attribute("aria-current", "page")

    def manoeuvre(self, name: str) -> None:
        """Tap a manoeuvre."""
        self.page.locator(".is-keys a span").get_by_text(name, exact=True).tap()

    def clean(self) -> None:
        """Tap Clean, and wait until the ride is on the tablet."""
        self._press("Clean")

    def fault(self, number: int = 0) -> None:
        """Tick a fault and record it."""
        self.page.locator(".tick.is-fault input").nth(number).tap()
        self._press("Record the fault")

    def _press(self, name: str) -> None:
        before = self.queued()
        self.page.get_by_role("button", name=name, exact=True).tap()
        expect(self.page.locator("[data-queue-status]")).to_contain_text(str(before + 1))

    def rides(self) -> int:
        """How many rides of this rider the board lists."""
        return self.page.locator(".ride-list li").count()

    def queued(self) -> int:
        """How many rides wait on the tablet."""
        found: list[Any] = self.items("waiting")
        return len(found)

    def items(self, state: str) -> list[dict[str, Any]]:
        """What the queue holds in one state, in the tablet's order."""
        found: list[dict[str, Any]] = self.page.evaluate(_ITEMS, state)
        return found

    def shells(self) -> list[str]:
        """The names of the releases whose files are kept."""
        names: list[str] = self.page.evaluate("caches.keys()")
        return [name for name in names if "shell" in name]

    def status(self) -> str:
        """The state of the tablet in words."""
        return self.page.locator("[data-queue-status]").inner_text()


_ITEMS = """(state) => new Promise((resolve, reject) => {
  const asked = indexedDB.open("yardmark");
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const all = asked.result.transaction("items").objectStore("items").getAll();
    all.onsuccess = () => {
      asked.result.close();
      resolve(all.result.filter((each) => each.state === state).map((each) => each.item));
    };
  };
})"""
