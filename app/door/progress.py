"""One line that says how far things are, on a screen and in a log."""

from __future__ import annotations

import sys
import time
from types import TracebackType

# A log wants to see that something is alive, not every half second of it.
_LOG_SECONDS = 10.0


class Progress:
    """A step under way: on a screen its line is rewritten, in a log now and then one is added."""

    def __init__(self, step: str) -> None:
        self.step = step
        self.detail = ""
        self._began = self._told = time.monotonic()
        self._shown = ""
        self._rewrites = sys.stdout.isatty()

    def __enter__(self) -> Progress:
        if not self._rewrites:
            print(f"{self.step} …", flush=True)
        self.show()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._rewrites:
            print("\r\x1b[K", end="")
        if kind is None:
            print(f"{self.step}: done in {self.seconds:.0f} s", flush=True)

    @property
    def seconds(self) -> float:
        """Seconds since the step began."""
        return time.monotonic() - self._began

    def show(self) -> None:
        """Show the state of things; called often, so it decides itself whether to print."""
        if self._rewrites:
            self._rewrite(self._line()[:78])
        elif time.monotonic() - self._told >= _LOG_SECONDS:
            self._told = time.monotonic()
            print(f"  {self._line()}", flush=True)

    def _rewrite(self, line: str) -> None:
        if line != self._shown:
            self._shown = line
            print(f"\r\x1b[K{line}", end="", flush=True)

    def _line(self) -> str:
        detail = f", {self.detail}" if self.detail else ""
        return f"{self.step}: {self.seconds:.0f} s{detail}"
