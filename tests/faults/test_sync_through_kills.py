"""Rides sent while the server is killed again and again: none lost, none doubled.

YARDMARK_KILL_RIDES=10000 makes the long run.
"""

from __future__ import annotations

import os
import random
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from sqlalchemy import select

from app.store.database import Database
from app.store.progress import writes
from app.store.progress.tables import LearnerRow, StandingRow
from app.store.riding.tables import AttemptFaultRow, AttemptRow, PendingStrikeRow
from tests.faults.school import KillableServer, YardSchool, prepare
from tests.faults.sender import Sender, Sent
from tests.support.clock import START

pytestmark = pytest.mark.slow

RIDES = int(os.environ.get("YARDMARK_KILL_RIDES", "150"))
KILL_AFTER = (0.05, 1.5)
"""Seconds between the server's answering and its end, at least and at most."""


@pytest.fixture
def server(either_url: str) -> Iterator[KillableServer]:
    """The server over an empty school, killed at the end whatever happens."""
    made = KillableServer(either_url)
    yield made
    made.kill()


def rides(school: YardSchool, lots: random.Random) -> list[Sent]:
    """The rides of a day, a tenth of them taken back."""
    made: list[Sent] = []
    for number in range(RIDES):
        variant, faulty = lots.choice(list(school.faults)), lots.random() < 0.4
        made.append({
            "kind": "ride",
            "id": str(UUID(int=lots.getrandbits(128))),
            "session": school.people.session,
            "student": lots.choice(school.riders),
            "variant": variant,
            "ridden_at": (START - timedelta(seconds=RIDES - number)).isoformat(),
            "seq": number + 1,
            "faults": [{"kind": school.faults[variant], "severity": "riding"}] if faulty else [],
        })  # fmt: skip
    struck = lots.sample(made, RIDES // 10)
    return made + [_strike(ride, lots) for ride in struck]


def _strike(ride: Sent, lots: random.Random) -> Sent:
    made = str(UUID(int=lots.getrandbits(128)))
    return {"kind": "strike_out", "id": made, "ride": ride["id"], "reason": "Taken back at once"}


class Killer:
    """Kills the server at random moments and starts it again, beside the sender."""

    def __init__(self, server: KillableServer, lots: random.Random) -> None:
        self._server, self._lots = server, lots
        self._over = threading.Event()
        self._up = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Killer:
        self._up.set()
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join(timeout=90)

    def _run(self) -> None:
        while not self._over.wait(self._lots.uniform(*KILL_AFTER)):
            self._up.clear()
            self._server.kill()
            self._server.start()
            self._up.set()

    def wait_a_little(self) -> None:
        """Do not hammer on a server that is down, nor wait so long that no post meets a kill."""
        self._up.wait(timeout=30)
        time.sleep(self._lots.uniform(0, 0.02))


def standings(db: Database) -> dict[Any, Any]:
    with db.reading() as session:
        found: dict[Any, Any] = {
            (row.student_id, row.variant_id): (row.rides, row.clean_rides, row.state)
            for row in session.scalars(select(StandingRow))
        }
        ridden = LearnerRow.student_id.in_(select(StandingRow.student_id))
        learners = session.scalars(select(LearnerRow).where(ridden))
        return found | {row.student_id: row.state for row in learners}


def assert_each_once(db: Database, items: list[Sent]) -> None:
    sent = [item for item in items if item["kind"] == "ride"]
    struck = {item["ride"] for item in items if item["kind"] == "strike_out"}
    with db.reading() as session:
        query = select(AttemptRow).order_by(AttemptRow.ridden_at)
        kept = list(session.scalars(query))
        faults = session.scalars(select(AttemptFaultRow.attempt_id)).all()
        assert session.scalars(select(PendingStrikeRow)).all() == []
    assert [str(row.id) for row in kept] == [ride["id"] for ride in sent]
    assert {str(row.id) for row in kept if row.struck_at} == struck
    assert sorted(map(str, faults)) == sorted(r["id"] for r in sent if r["faults"])


def test_every_ride_arrives_once(either: Database, server: KillableServer) -> None:
    lots = random.Random(1926)
    school = prepare(either)
    items = rides(school, lots)
    server.start()
    sender = Sender(server.port, str(UUID(int=5)), lots)
    sender.sign_in()
    with Killer(server, random.Random(8)) as killer:
        words = sender.send_all(items, killer.wait_a_little)
    assert set(words.values()) <= {"saved", "already_had"}
    assert server.kills > 0
    print(f"{len(items)} items, {sender.posts} posts, {sender.lost} cut off, {server.kills} kills")
    assert_each_once(either, items)
    found = standings(either)
    writes.rebuild(either)
    assert found == standings(either)
