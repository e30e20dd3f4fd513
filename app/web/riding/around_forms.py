"""The small forms of the yard: conditions, the safety check, incidents, defects."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID, uuid4

from wtforms import HiddenField, SelectMultipleField, StringField
from wtforms.validators import InputRequired

from app.rules.diary.values import Surface
from app.rules.refusal import Reason, Refused
from app.rules.riding.safety import DEFECTS, INCIDENT_WORDS, IncidentKind, NewIncident, defect_words
from app.store.riding.around import Conditions, RiderOnBike
from app.web.choices import PickRadioField, number, options
from app.web.forms import Length, OnceForm, SchoolForm

_OLD_PAGE = "This page is out of date. Open it again."
NOBODY = "none"


class ConditionsForm(SchoolForm):
    """How it is in the yard."""

    surface = PickRadioField(
        "Surface",
        [InputRequired("Choose how the surface is.")],
        choices=options((each.value, each.value.capitalize()) for each in Surface),
    )
    wind = PickRadioField(
        "Wind",
        [InputRequired("Choose how the wind is.")],
        choices=options((("calm", "Calm"), ("windy", "Windy"))),
        default="calm",
    )
    remark = StringField("About the surface, in a few words", [Length(100)])

    @classmethod
    def showing(cls, known: Conditions) -> ConditionsForm:
        """The form with what is known chosen."""
        return cls(
            surface=known.surface.value if known.surface else None,
            wind="windy" if known.windy else "calm",
            remark=known.remark,
        )

    def conditions(self) -> Conditions:
        """What was chosen."""
        return Conditions(
            Surface(self.surface.data), self.wind.data == "windy", self.remark.data or ""
        )


class IncidentForm(SchoolForm):
    """What happened, and to whom: the rider is the button that sends it."""

    incident_id = HiddenField(default=lambda: str(uuid4()))
    kind = PickRadioField(
        "What happened",
        [InputRequired("Choose what happened.")],
        choices=options((each.value, words) for each, words in INCIDENT_WORDS.items()),
    )
    note = StringField("In a few words", [Length(500)])

    def incident(self, session_id: int, rider: str | None) -> NewIncident:
        """The incident that the form says. Raises Refused where a button or its id is made up."""
        try:
            who = None if rider == NOBODY else number(rider)
            made = UUID(self.incident_id.data or "")
        except (ValueError, TypeError):
            raise Refused(Reason(_OLD_PAGE)) from None
        kind = IncidentKind(self.kind.data)
        return NewIncident(made, session_id, who, kind, self.note.data or "")


class DefectForm(OnceForm):
    """What is wrong, and with which bike: the bike is the button that sends it."""

    what = SelectMultipleField(
        "What is wrong",
        choices=options((each, each) for each in DEFECTS),
        validate_choice=False,
    )
    more = StringField("In a few words", [Length(100)])

    def words(self) -> str:
        """What is wrong, as the desk reads it; empty when nothing was chosen."""
        return defect_words(self.what.data or (), self.more.data or "")


def bikes_of(riders: Iterable[RiderOnBike]) -> list[tuple[int, str, str]]:
    """The bikes of the session: id, name and who has it."""
    return [(r.bike_id, r.bike or "", r.name) for r in riders if r.bike_id is not None]
