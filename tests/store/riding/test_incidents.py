"""Near misses, falls and injuries: kept once, told to the owner, closed and still there."""

from __future__ import annotations

from dataclasses import replace
from uuid import uuid4

import pytest
from sqlalchemy import select

from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Missing, Refused
from app.rules.riding.safety import IncidentKind, NewIncident
from app.store.database import Database
from app.store.outbox import MessageRow
from app.store.riding import incidents
from app.store.riding.safety_tables import IncidentRow
from tests.store.riding.rides import count
from tests.support.cast import EMAILS, Cast
from tests.support.clock import START
from tests.support.queries import counted


@pytest.fixture
def fall(people: Cast) -> NewIncident:
    """Lena fell and is not hurt."""
    return NewIncident(
        uuid4(), people.session, people.learner, IncidentKind.FALL, " looked at the cone "
    )


def test_a_fall_is_kept_with_rider_bike_and_who_wrote_it_down(
    either: Database, people: Cast, ines: Actor, fall: NewIncident
) -> None:
    incidents.report(either, ines, fall, START, mail=False)
    with either.reading() as session:
        (line,) = incidents.open_incidents(session)
    assert (line.what, line.rider, line.bike) == ("Fall, nobody hurt", "Lena Wren", "Bike 1")
    assert (line.recorded_by, line.note, line.yard) == (
        "Ines Heron",
        "looked at the cone",
        "Long yard",
    )
    assert count(either, MessageRow) == 0


def test_the_same_one_sent_again_is_kept_and_told_once(
    either: Database, ines: Actor, fall: NewIncident
) -> None:
    for _ in range(3):
        assert incidents.report(either, ines, fall, START, mail=True) == fall.incident_id
    assert (count(either, IncidentRow), count(either, MessageRow)) == (1, 1)


def test_the_owner_is_told_what_and_where_and_not_who(
    either: Database, ines: Actor, fall: NewIncident
) -> None:
    incidents.report(either, ines, fall, START, mail=True)
    with either.reading() as session:
        (message,) = session.scalars(select(MessageRow))
    assert message.recipient == EMAILS["owner"]
    assert message.subject == "Fall, nobody hurt: Long yard, Thu 26 Nov 2026, 09:00"
    assert "Lena" not in message.body
    assert "cone" not in message.body


def test_it_need_not_be_one_of_the_riders(either: Database, ines: Actor, fall: NewIncident) -> None:
    nobody = replace(fall, student_id=None, kind=IncidentKind.NEAR_MISS)
    incidents.report(either, ines, nobody, START, mail=False)
    with either.reading() as session:
        (line,) = incidents.open_incidents(session)
    assert (line.what, line.rider, line.bike) == ("Near miss", None, None)


def test_a_rider_without_a_place_and_a_colleagues_session_are_refused(
    either: Database, people: Cast, ines: Actor, fall: NewIncident
) -> None:
    with pytest.raises(Refused, match="no place in the session"):
        incidents.report(either, ines, replace(fall, student_id=people.stranger), START, mail=True)
    with pytest.raises(Missing):
        elsewhere = replace(fall, session_id=people.other_session)
        incidents.report(either, ines, elsewhere, START, mail=True)
    assert (count(either, IncidentRow), count(either, MessageRow)) == (0, 0)


def test_closed_it_leaves_the_office_and_stays_on_file(
    either: Database, people: Cast, ines: Actor, fall: NewIncident
) -> None:
    incidents.report(either, ines, fall, START, mail=False)
    owner = Actor(people.owner, "Olive Marsh", frozenset({Role.OWNER}), "test")
    incidents.close(either, owner, fall.incident_id, START)
    incidents.close(either, owner, fall.incident_id, START)
    with either.reading() as session:
        assert incidents.open_incidents(session) == ()
        assert session.get_one(IncidentRow, fall.incident_id).closed_by == people.owner
    with pytest.raises(Missing):
        incidents.close(either, owner, uuid4(), START)


@pytest.mark.parametrize("how_many", [1, 12])
def test_the_office_asks_once_however_many_there_are(
    either: Database, ines: Actor, fall: NewIncident, how_many: int
) -> None:
    for _ in range(how_many):
        incidents.report(either, ines, replace(fall, incident_id=uuid4()), START, mail=False)
    with counted(either) as statements, either.reading() as session:
        assert len(incidents.open_incidents(session)) == how_many
    assert len(statements) == 1
