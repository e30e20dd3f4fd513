"""The controls of a page as they are drawn: how large, and how far apart."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from playwright.sync_api import Page

LEAST_PX, LEAST_APART_PX = 64, 12
"""For a gloved finger: common practice, no source."""

_ROUNDING_PX = 0.5
_CONTROLS = """() => {
  const kinds = 'a, button, summary, input:not([type=hidden]), select, textarea, .chip, .choice';
  const shut = 'details:not([open]) > :not(summary) *';
  const within = 'label.chip *, label.choice *, .tick input, .skip';
  return [...document.querySelectorAll(kinds)]
    .filter((e) => e.checkVisibility() && !e.matches(shut) && !e.matches(within))
    .map((e) => {
      const box = e.getBoundingClientRect();
      const name = (e.getAttribute('aria-label') || e.textContent || e.value || e.name).trim();
      return [name.slice(0, 40), box.left, box.top, box.right, box.bottom];
    });
}"""


@dataclass(frozen=True, slots=True)
class Target:
    """One control and its box in CSS pixels."""

    name: str
    left: float
    top: float
    right: float
    bottom: float

    @property
    def least(self) -> float:
        """The shorter of its sides."""
        return min(self.right - self.left, self.bottom - self.top)

    def apart(self, other: Target) -> float:
        """How far it is from another; below 0 where they overlap."""
        across = max(self.left - other.right, other.left - self.right)
        return max(across, self.top - other.bottom, other.top - self.bottom)


def targets(page: Page) -> list[Target]:
    """Every control in sight. A label that is pressed stands for the box in it."""
    return [Target(*each) for each in page.evaluate(_CONTROLS)]


def too_small(found: list[Target]) -> list[str]:
    """Those a glove would miss."""
    small = [each for each in found if each.least < LEAST_PX - _ROUNDING_PX]
    return [f"{each.name}: {each.least:.0f} px" for each in small]


def too_near(found: list[Target]) -> list[str]:
    """Pairs of which a glove would press both."""
    near = LEAST_APART_PX - _ROUNDING_PX
    pairs = [(a, b, a.apart(b)) for a, b in combinations(found, 2)]
    return [f"{a.name} and {b.name}: {gap:.0f} px" for a, b, gap in pairs if gap < near]


def row(name: str, found: list[Target]) -> str:
    """A line of the table: how many controls, the least side and the least gap."""
    least = min((each.least for each in found), default=0.0)
    gap = min((a.apart(b) for a, b in combinations(found, 2)), default=0.0)
    return f"| {name} | {len(found)} | {least:.0f} | {gap:.0f} |"
