"""Many receptionists press at once, on two servers over one database: exactly one wins.

YARDMARK_RACE_CLIENTS=50 YARDMARK_RACE_ROUNDS=100 makes the long run.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import date, time, timedelta
from html import unescape
from threading import Barrier

import pytest
from sqlalchemy import func, select

from app.rules.diary.clock import span_of
from app.store import settings
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from tests.faults.clerk import Clerk
from tests.faults.school import KillableServer
from tests.support.cast import Cast
from tests.support.clock import LONDON
from tests.support.diary import add_bikes, add_session, add_students

pytestmark = pytest.mark.slow

CLIENTS = int(os.environ.get("YARDMARK_RACE_CLIENTS", "8"))
ROUNDS = int(os.environ.get("YARDMARK_RACE_ROUNDS", "2"))
FIRST_DAY = date(2026, 12, 1)

Wanted = tuple[str, dict[str, object]]
"""An address, and the form that is sent to it."""


@pytest.fixture
def servers(either_url: str, people: Cast) -> Iterator[tuple[KillableServer, KillableServer]]:
    """Two processes over one school, as behind a proxy."""
    made = KillableServer(either_url), KillableServer(either_url)
    for server in made:
        server.start()
    yield made
    for server in made:
        server.kill()


class Race:
    """Rounds of many clients, who all send at the same moment."""

    def __init__(self, servers: tuple[KillableServer, KillableServer], db: Database) -> None:
        self._ports = [server.port for server in servers]
        self._clerk, self.db = Clerk(self._ports[0]), db
        self._pool = ThreadPoolExecutor(CLIENTS)

    def run(self, wanted: list[Wanted], refused: str) -> None:
        """Send each; one is taken, and all others hear this reason and nothing worse."""
        ready = Barrier(len(wanted))

        def send(number: int) -> tuple[int, str]:
            ready.wait()
            path, values = wanted[number]
            return self._clerk.send(self._ports[number % 2], path, values)

        answers = list(self._pool.map(send, range(len(wanted))))
        statuses = sorted(status for status, _ in answers)
        assert statuses == [303] + [422] * (len(wanted) - 1), statuses
        for status, text in answers:
            assert status == 303 or refused in _plain(text), _plain(text)[:2000]


def _plain(page: str) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", page))


@pytest.fixture
def race(servers: tuple[KillableServer, KillableServer], either: Database) -> Race:
    """The two servers, with a clerk signed in, at a school that keeps no bank holidays."""
    with either.writing() as session:
        settings.keep(session, "nation", "")
    return Race(servers, either)


def day_of(turn: int) -> date:
    """A day of its own for each round."""
    return FIRST_DAY + timedelta(days=turn)


def held(db: Database, *sessions: int) -> int:
    """How many places are taken in these sessions."""
    with db.reading() as session:
        query = select(func.count()).where(BookingRow.session_id.in_(sessions))
        return session.scalar(query) or 0


def two_sessions(db: Database, people: Cast, turn: int) -> tuple[int, int]:
    """Two at the same time, in two yards; each with room for more than are racing for one thing."""
    here = add_session(db, people, day=day_of(turn))
    there = add_session(
        db, people, day=day_of(turn), places=3,
        yard_id=people.small_yard, instructor_id=people.other_instructor,
    )  # fmt: skip
    return here, there


def the_last_place(race: Race, people: Cast, days: range) -> None:
    riders = add_students(race.db, CLIENTS)
    for turn in days:
        training = add_session(race.db, people, day=day_of(turn), places=1)
        wanted: list[Wanted] = [
            (f"/sessions/{training}/book/{rider}", {"bike_id": 0}) for rider in riders
        ]
        race.run(wanted, "This session is full: its 1 place is taken.")
        assert held(race.db, training) == 1


def the_same_bike_from_two_yards(race: Race, people: Cast, days: range) -> None:
    riders = add_students(race.db, CLIENTS)
    for turn in days:
        both = two_sessions(race.db, people, turn)
        wanted: list[Wanted] = [
            (f"/sessions/{both[n % 2]}/book/{rider}", {"bike_id": people.bike})
            for n, rider in enumerate(riders)
        ]
        race.run(wanted, "Bike 1 is taken by Rider")
        assert held(race.db, *both) == 1


def the_same_student_from_two_desks(race: Race, people: Cast, days: range) -> None:
    bikes = add_bikes(race.db, CLIENTS)
    for turn in days:
        both = two_sessions(race.db, people, turn)
        wanted: list[Wanted] = [
            (f"/sessions/{both[n % 2]}/book/{people.learner}", {"bike_id": bike})
            for n, bike in enumerate(bikes)
        ]
        race.run(wanted, "Lena Wren")
        assert held(race.db, *both) == 1


def the_same_instructor(race: Race, people: Cast, days: range) -> None:
    for turn in days:
        wanted: list[Wanted] = [
            ("/sessions/new", _session(people, turn, minutes % 60)) for minutes in range(CLIENTS)
        ]
        race.run(wanted, "Ines Heron already has a session in Long yard")
        with race.db.reading() as session:
            begins, ends = span_of(day_of(turn), 1, LONDON)
            made = select(func.count()).where(SessionRow.starts_at.between(begins, ends))
            assert session.scalar(made) == 1


def _session(people: Cast, turn: int, minutes: int) -> dict[str, object]:
    return {
        "day": day_of(turn).isoformat(),
        "starts": time(9, minutes).isoformat("minutes"),
        "ends": time(11, minutes).isoformat("minutes"),
        "instructor_id": people.instructor,
        "yard_id": people.yard,
        "kind": "module_1",
        "places": 1,
    }


RACES = (
    the_last_place,
    the_same_bike_from_two_yards,
    the_same_student_from_two_desks,
    the_same_instructor,
)


def test_exactly_one_wins_each_time(race: Race, people: Cast) -> None:
    for number, run in enumerate(RACES):
        run(race, people, range(number * ROUNDS, (number + 1) * ROUNDS))
