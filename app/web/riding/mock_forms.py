"""What the screens of a mock test send: its beginning, its rides, and why it is stopped."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID, uuid4

from wtforms import HiddenField, StringField
from wtforms.validators import DataRequired, InputRequired

from app.rules.refusal import Reason, Refused
from app.rules.riding.mock import NO_SIDE, STOP_REASONS, NewMockTest
from app.rules.riding.recording import NewRide
from app.rules.riding.values import Side
from app.store.riding.board import Board, BoardRider
from app.store.riding.mock_reads import MockTest
from app.web.choices import PickRadioField, options
from app.web.forms import Length, SchoolForm
from app.web.riding.forms import CLEAN, Faults, ReasonForm, RideForm

MOVED_ON = "This test has moved on. Nothing was kept of the page you sent."
_OUT_OF_DATE = "This page is out of date. Load it again."


def number(text: str | None) -> UUID:
    """A number made in a page. Raises Refused for what is none."""
    try:
        return UUID(text or "")
    except ValueError:
        raise Refused(Reason(_OUT_OF_DATE)) from None


class StartForm(SchoolForm):
    """The beginning of a mock test: its own number, and the examiner's choice of side."""

    mock_test_id = HiddenField(default=lambda: str(uuid4()))
    side = PickRadioField("Hazard avoidance", [])

    @classmethod
    def offering(cls, sides: tuple[Side, ...]) -> StartForm:
        """The form with the sides that the yard allows, chosen already where there is only one."""
        form = cls()
        form.side.choices = options((side.value, f"To the {side.value}") for side in sides)
        form.side.validators = [InputRequired(NO_SIDE)] if sides else []
        form.side.validate_choice = bool(sides)
        if not form.is_submitted() and len(sides) == 1:
            form.side.data = sides[0].value
        return form

    def test(self, board: Board, rider: BoardRider, now: datetime) -> NewMockTest:
        """The mock test that begins. Raises Refused for a number that is none."""
        chosen = self.side.data if self.side.choices else None
        return NewMockTest(
            mock_test_id=number(self.mock_test_id.data),
            session_id=board.session.id,
            student_id=rider.student_id,
            side=Side(chosen) if chosen else None,
            started_at=now,
        )


class TurnForm(RideForm):
    """One ride of a mock test: faults only, of what the test asks for next."""

    @classmethod
    def fresh(cls) -> TurnForm:
        """The form for the next ride, with a number of its own."""
        return cls(formdata=None, data={"attempt_id": str(uuid4())})

    def is_for(self, test: MockTest) -> bool:
        """Whether the page that was sent showed what is ridden next."""
        if test.turn is None:
            return False
        sent = (self.variant.data, bool(self.second_try.data))
        return sent == (str(test.next_variant.id), test.turn.second_try)

    def in_test(self, test: MockTest, press: str, faults: Faults, now: datetime) -> NewRide:
        """The ride that was ridden. Raises Refused where the page says none, or an old one."""
        if test.turn is None:
            raise Refused(Reason(MOVED_ON))
        if press == CLEAN and faults:
            raise Refused(Reason("A fault is ticked, so this ride is not clean. Record the fault."))
        if press != CLEAN and not faults:
            raise Refused(Reason("Tick what you saw, or go on with a clean ride."))
        timed = test.next_variant.minimum_for(test.category) is not None
        speed, source = self._speed() if timed else (None, None)
        return NewRide(
            attempt_id=number(self.attempt_id.data),
            session_id=test.session_id,
            student_id=test.student_id,
            variant_id=test.next_variant.id,
            ridden_at=now,
            faults=faults,
            speed_kmh=speed,
            speed_source=source,
            second_try=test.turn.second_try,
            mock_test_id=test.id,
        )


class TakeBackForm(SchoolForm):
    """Which ride is taken back, so that a second press takes back no other."""

    attempt_id = HiddenField()


class StopForm(ReasonForm):
    """Why a mock test is stopped."""

    reason = PickRadioField(
        "Why", [DataRequired("Choose a reason.")], choices=options((r, r) for r in STOP_REASONS)
    )
    more = StringField("In a few words, if it is another reason", [Length(200)])
