"""A school that every visitor finds as new, and the addresses of everything in it.

Each visit may change the school, so before the next one its database file is
put back. That is quicker by far than making a new school for each.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import UUID

from flask import Flask, session
from flask.testing import FlaskClient
from flask_wtf.csrf import generate_csrf
from sqlalchemy import select
from sqlalchemy.orm import Session
from werkzeug.test import TestResponse

from app import create_app
from app.config import Config
from app.rules.diary.values import SessionKind
from app.rules.riding.safety import IncidentKind
from app.rules.riding.values import Outcome
from app.store import migrate
from app.store.accounts.hashing import token_hash
from app.store.accounts.tables import AccountRow, SignInRow
from app.store.accounts.writes import Browser, begin
from app.store.database import Database
from app.store.diary.tables import WaitingRow
from app.store.outbox import MessageRow
from app.store.people.tables import DayOffRow
from app.store.riding.reference import load_reference
from app.store.riding.safety_tables import IncidentRow
from app.store.riding.tables import AttemptRow, FaultKindRow, ManoeuvreRow, MockTestRow, VariantRow
from app.store.yards.tables import ClosureRow
from tests.support import cast
from tests.support.clock import START, Clock

Records = dict[str, Any]
"""A value for each argument that an address can have, by the argument's name."""

OWN_MOCK, OTHER_MOCK = UUID(int=11), UUID(int=12)
OWN_ATTEMPT, OTHER_ATTEMPT, INCIDENT = UUID(int=1), UUID(int=2), UUID(int=3)
MESSAGE = 1
_SEED = "c" * 40


@dataclass(frozen=True)
class School:
    """The school, and who is signed in where."""

    app: Flask
    template: Path
    path: Path
    tokens: dict[str, str]
    own: Records
    other: Records
    people: cast.Cast

    def restore(self) -> None:
        """Put everything back as it was."""
        self.app.extensions["yardmark_database"].close()
        for left in self.path.parent.glob(f"{self.path.name}-*"):
            left.unlink()
        shutil.copy(self.template, self.path)

    def visit(self, who: str | None, method: str, path: str) -> TestResponse:
        """Send one request as one person, with a token against cross-site forms and no more."""
        self.restore()
        client = self.app.test_client()
        with client.session_transaction() as cookie:
            cookie["csrf_token"] = _SEED
            if who is not None:
                cookie["_user_id"] = self.tokens[who]
        return self._send(client, method, path)

    def _send(self, client: FlaskClient, method: str, path: str) -> TestResponse:
        with self.app.test_request_context():
            session["csrf_token"] = _SEED
            token = generate_csrf()
        data = {"csrf_token": token} if method == "POST" else None
        return client.open(path, method=method, data=data)


def build(folder: Path) -> School:
    """Make the school in ``folder``: the cast, the syllabus, a ride each, everyone signed in."""
    template, path = folder / "template.db", folder / "school.db"
    url = f"sqlite:///{template}"
    migrate.upgrade(url)
    database = Database(url)
    who = cast.make(database, START)
    load_reference(database, START)
    with database.writing() as opened:
        tokens = {name: _signed_in(opened, email) for name, email in cast.EMAILS.items()}
        shared = _shared(opened, who)
        _ride(opened, OWN_ATTEMPT, who.learner, who.session, shared["variant_id"])
        _ride(opened, OTHER_ATTEMPT, who.stranger, who.other_session, shared["variant_id"])
        _mock_test(opened, OWN_MOCK, who.learner, who.session)
        _mock_test(opened, OTHER_MOCK, who.stranger, who.other_session)
        opened.add(_near_miss(who.session))
        opened.add(_message(who))
        opened.add(_waiting(who))
        opened.add_all(_days_out(who.instructor))
    database.close()
    config = Config(f"sqlite:///{path}", "k" * 40, clock=Clock(), rate_limits=False)
    own, other = shared | _own(who), shared | _other(who)
    return School(create_app(config), template, path, tokens, own, other, who)


def sign_in_id(school: School, who: str) -> int:
    """The id of a person's sign-in."""
    school.restore()
    with school.app.extensions["yardmark_database"].reading() as opened:
        mine = SignInRow.token_hash == token_hash(school.tokens[who])
        found: int = opened.scalars(select(SignInRow.id).where(mine)).one()
        return found


def _signed_in(opened: Session, email: str) -> str:
    account = opened.scalars(select(AccountRow).where(AccountRow.email == email)).one()
    return begin(opened, account, Browser("127.0.0.1"), START)


def _ride(opened: Session, ride: UUID, student: int, training: int, variant: int) -> None:
    opened.add(
        AttemptRow(
            id=ride,
            session_id=training,
            student_id=student,
            variant_id=variant,
            ridden_at=START,
            received_at=START,
            outcome=Outcome.CLEAN,
        )
    )


def _near_miss(training: int) -> IncidentRow:
    return IncidentRow(
        id=INCIDENT,
        session_id=training,
        kind=IncidentKind.NEAR_MISS,
        happened_at=START,
        received_at=START,
    )


def _days_out(instructor: int) -> tuple[ClosureRow, DayOffRow]:
    days = {"first_day": START.date(), "last_day": START.date(), "noted_at": START}
    return (
        ClosureRow(id=1, reason="New markings", **days),
        DayOffRow(id=1, instructor_id=instructor, **days),
    )


def _waiting(who: cast.Cast) -> WaitingRow:
    """Lena, who waits for a kind of session that there is none of."""
    return WaitingRow(
        id=1,
        student_id=who.learner,
        kind=SessionKind.ROAD,
        earliest=START.date(),
        latest=START.date(),
        asked_at=START,
    )


def _message(who: cast.Cast) -> MessageRow:
    """Email to Lena that a server refused, so that all can be done with it that can be."""
    return MessageRow(
        id=MESSAGE,
        recipient="lena.wren@example.org",
        subject="Booked: Module 1 training",
        body="Hello Lena Wren,",
        html="<p>Hello Lena Wren,</p>",
        made_at=START,
        kind="confirmation",
        student_id=who.learner,
        booking_id=who.booking,
        refused_at=START,
        last_error="550 Nobody here",
    )


def _mock_test(opened: Session, test: UUID, student: int, training: int) -> None:
    opened.add(
        MockTestRow(
            id=test,
            session_id=training,
            student_id=student,
            started_at=START,
            ended_at=START,
        )
    )


def _shared(opened: Session, who: cast.Cast) -> Records:
    """What belongs to the school rather than to a person."""
    return {
        "yard_id": who.yard,
        "bike_id": who.bike,
        "variant_id": opened.scalars(select(VariantRow.id)).first(),
        "manoeuvre_id": opened.scalars(select(ManoeuvreRow.id)).first(),
        "fault_kind_id": opened.scalars(select(FaultKindRow.id)).first(),
        "incident_id": INCIDENT,
        "message_id": MESSAGE,
        "closure_id": 1,
        "day_off_id": 1,
        "waiting_id": 1,
        "filename": "css/tokens.css",
        "token": "made-up",
    }


def _own(who: cast.Cast) -> Records:
    """What is Lena's, who learns, and Ines's, who teaches her."""
    return {
        "student_id": who.learner,
        "other_id": who.stranger,
        "session_id": who.session,
        "booking_id": who.booking,
        "attempt_id": OWN_ATTEMPT,
        "mock_test_id": OWN_MOCK,
        "account_id": who.learner_account,
        "instructor_id": who.instructor,
    }


def _other(who: cast.Cast) -> Records:
    """What is none of their business."""
    return {
        "student_id": who.stranger,
        "other_id": who.learner,
        "session_id": who.other_session,
        "booking_id": who.other_booking,
        "attempt_id": OTHER_ATTEMPT,
        "mock_test_id": OTHER_MOCK,
        "account_id": who.stranger_account,
        "instructor_id": who.other_instructor,
    }
