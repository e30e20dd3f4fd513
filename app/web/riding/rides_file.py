"""Rides that a tablet saved to a file, taken in at the desk: looked at first, then kept."""

from __future__ import annotations

from collections import Counter

from flask.typing import ResponseReturnValue
from flask_wtf.file import FileField, FileRequired
from wtforms import HiddenField

from app.rules.riding.handed_in import ItemAnswer
from app.rules.riding.recording import Word
from app.rules.riding.rides_file import MOST_FILE_BYTES, OnesRides, read_file
from app.store.progress import rides_file as store
from app.web import context
from app.web.forms import SchoolForm
from app.web.pages import done, page, refused
from app.web.riding.routes import bp


class RidesFileForm(SchoolForm):
    """The file that a tablet saved."""

    file = FileField("File from the tablet", [FileRequired("Choose the file.")])

    def text(self) -> bytes:
        """What stands in the file, and one byte more than is allowed at most."""
        found: bytes = self.file.data.stream.read(MOST_FILE_BYTES + 1)
        return found


class TakeInForm(SchoolForm):
    """The same text once more, after it was looked at. It is read again, so nothing is trusted."""

    text = HiddenField()


@bp.get("/desk/rides-file")
def rides_file() -> ResponseReturnValue:
    """Choose a file."""
    return page("riding/rides_file.html", form=RidesFileForm())


@bp.post("/desk/rides-file")
def look_at_rides_file() -> ResponseReturnValue:
    """Show what a file holds. Nothing is kept yet."""
    form = RidesFileForm()
    if form.validate_on_submit():
        text = form.text()
        people = form.saved(lambda: read_file(text, context.now()))
        if people is not None:
            return _look(text.decode(), people)
    return refused("riding/rides_file.html", form=form)


def _look(text: str, people: tuple[OnesRides, ...]) -> ResponseReturnValue:
    lines = store.lines_of(context.reading(), people)
    form = TakeInForm(formdata=None, data={"text": text})
    return page("riding/rides_file_look.html", form=form, lines=lines)


@bp.post("/desk/rides-file/take-in")
def take_rides_file_in() -> ResponseReturnValue:
    """Keep the rides of the file."""
    form = TakeInForm()
    if form.validate_on_submit():
        text = (form.text.data or "").encode("utf-8", "replace")
        people = form.saved(lambda: read_file(text, context.now()))
        if people is not None:
            return _taken(
                store.take_file(context.database(), context.actor(), people, context.now())
            )
    return refused("riding/rides_file.html", form=RidesFileForm(formdata=None))


def _taken(answers: tuple[ItemAnswer, ...]) -> ResponseReturnValue:
    counts = Counter(answer.word for answer in answers)
    if counts[Word.REFUSED]:
        troubles = Counter(answer.reason for answer in answers if answer.word is Word.REFUSED)
        return page(
            "riding/rides_file_taken.html",
            saved=counts[Word.SAVED],
            had=counts[Word.ALREADY_HAD],
            troubles=troubles,
        )
    sentence = f"Taken in: {counts[Word.SAVED]} new, {counts[Word.ALREADY_HAD]} there already."
    return done(sentence, "riding.rides_file")
