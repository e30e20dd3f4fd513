"""The form for a paper that was seen at the desk."""

from __future__ import annotations

from wtforms.validators import InputRequired, Optional

from app.rules.papers.lives import NAMES
from app.rules.papers.seen import SeenPaper, as_seen
from app.rules.papers.values import PaperKind
from app.web.choices import PickRadioField, options
from app.web.forms import DayField, OnceForm


def _begins(name: str) -> str:
    return name[0].upper() + name[1:]


class PaperForm(OnceForm):
    """What lies on the counter."""

    kind = PickRadioField(
        "What is it",
        choices=options((kind, _begins(NAMES[kind])) for kind in PaperKind),
        coerce=PaperKind,
        default=PaperKind.CBT,
    )
    issued_on = DayField("Issued on", [InputRequired("Write the day on which it was issued.")])
    lapses_on = DayField("Lapses on", [Optional()])

    def paper(self) -> SeenPaper:
        """The paper as typed, with the end that its kind has when none was typed."""
        return as_seen(self.kind.data, self.issued_on.data, self.lapses_on.data)
