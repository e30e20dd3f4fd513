"""The ``bench`` command."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter

import click

from app.commands.bench.diary import compare_diary
from app.commands.bench.flags import compare_flags
from app.commands.bench.load import Connection, Maker, Measured, Request, measure
from app.commands.bench.people import (
    Board,
    batch_request,
    board_of,
    ride_request,
    signed_in,
    sync_token,
    weights,
)
from app.commands.bench.server import running
from app.config import utc_now
from app.store import migrate
from app.store.database import Database
from app.store.school.demo.load import load_demo

CLIENTS = (1, 4)
BATCH = 50
QUEUED = 500
_SELECT: Maker = lambda _number: Request("GET", "/bare/floor/select")  # noqa: E731
_INSERT: Maker = lambda _number: Request("POST", "/bare/floor/insert")  # noqa: E731


@click.command()
@click.option("--requests", default=200, show_default=True, help="Requests of each client.")
@click.option("--only", type=click.Choice(["pages", "flags", "diary"]), help="Measure only a part.")
def bench(requests: int, only: str | None) -> None:
    """Measure the pages that matter against a floor measured in the same run."""
    with tempfile.TemporaryDirectory(prefix="yardmark-bench-") as name:
        folder = Path(name)
        school = folder / "school.db"
        click.echo("Loading the demo school.")
        _load(f"sqlite:///{school}")
        if only in (None, "flags"):
            compare_flags(school, folder, max(requests // 10, 10))
        if only in (None, "diary"):
            compare_diary(school, folder, max(requests // 10, 10), utc_now().date())
        if only in (None, "pages"):
            _compare_pages(school, folder, requests)


def _compare_pages(school: Path, folder: Path, requests: int) -> None:
    with running(f"sqlite:///{school}", folder) as port:
        _weigh_board(port)
        for clients in CLIENTS:
            _compare_reading(port, clients, requests)
            _compare_recording(port, clients, requests)
        _compare_sending(port, requests)


def _load(url: str) -> None:
    migrate.upgrade(url)
    database = Database(url)
    load_demo(database, utc_now())
    database.close()


def _compare_reading(port: int, clients: int, requests: int) -> None:
    with _clients(port, clients, signed_in("student")) as students:
        floor = measure("bare select page", students, _SELECT, requests)
        mine = measure(
            "student's page", students, lambda _number: Request("GET", "/mine"), requests
        )
    _report(floor, mine)


def _compare_recording(port: int, clients: int, requests: int) -> None:
    with _clients(port, clients, signed_in("instructor")) as instructors:
        board: Board = board_of(instructors[0])
        floor = measure("bare insert", instructors, _INSERT, requests)
        ride = measure(
            "recording a ride", instructors, lambda _number: ride_request(board), requests
        )
    _report(floor, ride)


def _weigh_board(port: int) -> None:
    with _clients(port, 1, signed_in("instructor")) as tablets:
        first, later = weights(tablets[0])
    click.echo(f"The board weighs {first:,} bytes at its first load, {later:,} at the next.\n")


def _compare_sending(port: int, requests: int) -> None:
    """A tablet's queue: ride by ride, in batches, and a day's worth in one go."""
    with _clients(port, 1, signed_in("instructor")) as tablets:
        board, token = board_of(tablets[0]), sync_token(tablets[0])
        floor = measure("bare insert", tablets, _INSERT, requests)
        for rides in (1, BATCH):
            sent = measure(
                f"batch of {rides}",
                tablets,
                lambda number, rides=rides: batch_request(board, token, number, rides),  # type: ignore[misc]
                max(requests // rides, 10),
            )
            _report(floor, sent)
            click.echo(f"  rides a second, sent {rides} at a time: {sent.rate * rides:.0f}\n")
        began = perf_counter()
        for number in range(QUEUED // BATCH):
            tablets[0].send(batch_request(board, token, 1000 + number, BATCH))
        click.echo(f"{QUEUED} queued rides, sent in one go: {perf_counter() - began:.2f} s")


@contextmanager
def _clients(
    port: int, count: int, prepare: Callable[[Connection], None]
) -> Iterator[list[Connection]]:
    first = Connection(port)
    prepare(first)
    made = [first]
    for _turn in range(count - 1):
        other = Connection(port)
        other.cookies = dict(first.cookies)
        made.append(other)
    try:
        yield made
    finally:
        for connection in made:
            connection.close()


def _report(floor: Measured, ours: Measured) -> None:
    for line in (floor, ours):
        click.echo(
            f"{line.name:<20} {line.clients} client{'s' if line.clients > 1 else ' '}"
            f"  {line.rate:8.0f}/s  p50 {line.p50_ms:7.2f} ms  p95 {line.p95_ms:7.2f} ms"
            f"{f'  {line.wrong} WRONG ANSWERS' if line.wrong else ''}"
        )
    click.echo(f"  ratio of the middle request to its floor: {ours.slower_than(floor):.1f}\n")
    if ours.wrong or floor.wrong:
        raise click.ClickException("Some answers were wrong, so the figures count for nothing.")
