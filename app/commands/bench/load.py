"""Sending requests over kept-open connections and timing the answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from http.client import HTTPConnection
from statistics import quantiles
from time import perf_counter


@dataclass(frozen=True, slots=True)
class Request:
    """One request to send."""

    method: str
    path: str
    body: bytes = b""
    headers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Measured:
    """What a run of requests came to; times in milliseconds, rate in requests a second."""

    name: str
    clients: int
    requests: int
    rate: float
    p50_ms: float
    p95_ms: float
    wrong: int

    def slower_than(self, floor: Measured) -> float:
        """How many times as long the middle request takes as the floor's."""
        return self.p50_ms / floor.p50_ms


class Connection:
    """A connection that is kept open, and its cookies."""

    def __init__(self, port: int) -> None:
        self._http = HTTPConnection("127.0.0.1", port, timeout=30)
        self.cookies: dict[str, str] = {}

    def send(self, request: Request) -> tuple[int, str, str]:
        """Send one request; the status, the body and the address it points on to."""
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        headers = {**request.headers, **({"Cookie": cookies} if cookies else {})}
        self._http.request(request.method, request.path, request.body or None, headers)
        response = self._http.getresponse()
        text = response.read().decode("utf-8", "replace")
        for cookie in response.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        return response.status, text, response.headers.get("Location", "")

    def weigh(self, request: Request) -> int:
        """Send one request; how many bytes its answer's body takes on the wire."""
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        headers = {**request.headers, "Cookie": cookies}
        self._http.request(request.method, request.path, request.body or None, headers)
        return len(self._http.getresponse().read())

    def close(self) -> None:
        """Close the connection."""
        self._http.close()


Maker = Callable[[int], Request]


def measure(
    name: str,
    connections: list[Connection],
    make: Maker,
    count: int,
    wanted: frozenset[int] = frozenset({200, 303}),
) -> Measured:
    """Send ``count`` requests over each connection, all connections side by side."""
    for connection in connections:
        connection.send(make(-1))  # the first request pays for imports and compiled templates
    began = perf_counter()
    with ThreadPoolExecutor(len(connections)) as pool:
        work = [
            pool.submit(_one_client, connection, make, range(turn * count, (turn + 1) * count))
            for turn, connection in enumerate(connections)
        ]
        parts = [future.result() for future in work]
    seconds = perf_counter() - began
    times = [moment for part, _statuses in parts for moment in part]
    wrong = sum(status not in wanted for _times, statuses in parts for status in statuses)
    cuts = quantiles(times, n=20)
    rate = len(times) / seconds
    return Measured(
        name, len(connections), len(times), rate, cuts[9] * 1000, cuts[18] * 1000, wrong
    )


def _one_client(
    connection: Connection, make: Maker, numbers: range
) -> tuple[list[float], list[int]]:
    times, statuses = [], []
    for number in numbers:
        request = make(number)
        began = perf_counter()
        status, _text, _location = connection.send(request)
        times.append(perf_counter() - began)
        statuses.append(status)
    return times, statuses
