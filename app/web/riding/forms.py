"""What the board sends: one ride."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from wtforms import BooleanField, HiddenField, RadioField, StringField
from wtforms.validators import DataRequired

from app.rules.refusal import Reason, Refused
from app.rules.riding.mock import ANOTHER_REASON
from app.rules.riding.recording import NewFault, NewRide
from app.rules.riding.syllabus import Offer
from app.rules.riding.values import Severity, Side, SpeedSource
from app.web.choices import PickRadioField, options
from app.web.forms import Length, NumberField, SchoolForm
from app.web.riding.views import BoardView, OnBoard

NOT_MEASURED = "none"
SOURCES = (
    (SpeedSource.GATE.value, "Gate"),
    (SpeedSource.RADAR.value, "Radar or GPS"),
    (SpeedSource.DIAL.value, "Dial"),
    (NOT_MEASURED, "Not measured"),
)
CLEAN, FAULTS = "clean", "faults"


class RideForm(SchoolForm):
    """One ride as it is pressed together on the board. Faults are ticks, read beside the fields."""

    attempt_id = HiddenField()
    rider = HiddenField()
    variant = HiddenField()
    second_try = BooleanField("Second try")
    speed = NumberField("Speed")
    source = RadioField(
        "Speed from", choices=options(SOURCES), default=NOT_MEASURED, validate_choice=False
    )

    @classmethod
    def for_next(cls, view: BoardView) -> RideForm:
        """The form for the next ride on a board, with a number of its own and no speed yet."""
        values = {
            "attempt_id": str(uuid4()),
            "rider": view.rider.student_id,
            "variant": view.variant.id,
            "second_try": view.again,
        }
        return cls(formdata=None, data=values)

    def renumber(self) -> None:
        """Take a new number: what was refused under the old one may be another ride's."""
        self.attempt_id.data = str(uuid4())

    def ride(self, on: OnBoard, press: str, faults: tuple[NewFault, ...], now: datetime) -> NewRide:
        """The ride that the form says was ridden. Raises Refused where it says no ride."""
        if press == CLEAN and any(f.severity is not Severity.REMARK for f in faults):
            raise Refused(Reason("A fault is ticked, so this ride is not clean. Record the fault."))
        if press != CLEAN and not faults:
            raise Refused(Reason("Tick what you saw, or record the ride as clean."))
        timed = on.minimum_kmh is not None
        speed, source = self._speed() if timed else (None, None)
        return NewRide(
            attempt_id=_number(self.attempt_id.data),
            session_id=on.board.session.id,
            student_id=on.rider.student_id,
            variant_id=on.variant.id,
            ridden_at=now,
            faults=faults,
            speed_kmh=speed,
            speed_source=source,
            second_try=bool(self.second_try.data) and timed,
        )

    def _speed(self) -> tuple[float | None, SpeedSource | None]:
        if self.source.data in (NOT_MEASURED, None):
            if self.speed.data is not None:
                raise Refused(Reason("Choose where the speed came from, or clear it.", "speed"))
            return None, None
        if self.source.data not in set(SpeedSource):
            raise Refused(Reason("Choose where the speed came from.", "speed"))
        if self.speed.data is None:
            raise Refused(Reason("Write the speed, or choose Not measured.", "speed"))
        return self.speed.data, SpeedSource(self.source.data)


def _number(text: str | None) -> UUID:
    try:
        return UUID(text or "")
    except ValueError:
        raise Refused(Reason("This page is out of date. Load it again.")) from None


def ticked(values: Iterable[str], sent: Mapping[str, str], offers: Iterable[Offer]) -> Faults:
    """The faults that were ticked, each ``code`` or ``code:side``, with the severity chosen.

    Raises Refused for a value that the board never offered.
    """
    known = {offer.kind.code: offer for offer in offers}
    return tuple(_fault(value, sent.get(f"severity-{value}"), known) for value in values)


Faults = tuple[NewFault, ...]


def _fault(value: str, severity: str | None, known: Mapping[str, Offer]) -> NewFault:
    code, _, side = value.partition(":")
    offer = known.get(code)
    try:
        if offer is None:
            raise ValueError
        chosen = Severity(severity) if severity else offer.default.severity
        return NewFault(code, chosen, Side(side) if side else None)
    except ValueError:
        raise Refused(Reason("That fault is not offered here. Load the page again.")) from None


STRIKE_REASONS = (
    "Wrong rider",
    "Wrong manoeuvre",
    "Pressed by mistake",
    "The ride was broken off for safety",
    ANOTHER_REASON,
)


class ReasonForm(SchoolForm):
    """Why, from a list that ends with another reason, which is written in one's own words."""

    reason: PickRadioField
    more: StringField

    def validate(self, *args: Any, **kwargs: Any) -> bool:
        """Take words that were written without choosing a reason for another reason."""
        if self.more.data and not self.reason.data:
            self.reason.data = ANOTHER_REASON
        return bool(super().validate(*args, **kwargs))

    def words(self) -> str:
        """The reason to keep. Raises Refused when another reason is not given."""
        if self.reason.data != ANOTHER_REASON:
            return str(self.reason.data)
        if not self.more.data:
            raise Refused(Reason("Write the reason in a few words.", "more"))
        return str(self.more.data)


class StrikeForm(ReasonForm):
    """Why a ride is struck out."""

    reason = PickRadioField(
        "Why",
        [DataRequired("Choose a reason.")],
        choices=options((each, each) for each in STRIKE_REASONS),
    )
    more = StringField("In a few words, if it is another reason", [Length(200)])
