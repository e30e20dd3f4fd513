"""Students from a file, looked at before anything is kept, and all students to a file."""

from __future__ import annotations

from typing import Any

from flask import Response, request
from flask.typing import ResponseReturnValue
from flask_wtf.file import FileField, FileRequired
from wtforms import HiddenField

from app.rules.people.student_file import (
    COLUMNS,
    MOST_FILE_BYTES,
    MOST_ROWS,
    TOO_MUCH,
    StudentFile,
    read_students,
)
from app.rules.words import count_words
from app.store.people import student_files as store
from app.web import context
from app.web.forms import OnceForm, SchoolForm
from app.web.pages import done, page, refused
from app.web.people.packed import pack, unpack
from app.web.people.routes import bp

SHOWN = 100
"""Rows of each sort on the page; of the good ones a few are enough."""

SAMPLE = 10


class StudentFileForm(SchoolForm):
    """A file of students."""

    file = FileField("File of students", [FileRequired("Choose the file.")])

    def content(self) -> bytes:
        """What stands in the file, and one byte more than is allowed at most."""
        found: bytes = self.file.data.stream.read(MOST_FILE_BYTES + 1)
        return found


class TakeInForm(OnceForm):
    """The same file once more, after it was looked at. It is read again, so nothing is trusted."""

    file = HiddenField()

    def read(self) -> StudentFile:
        """The students in it."""
        return read_students(unpack(self.file.data or "", MOST_FILE_BYTES))


@bp.get("/students/import")
def import_students() -> ResponseReturnValue:
    """Choose a file, and see which columns it may have."""
    return page("people/import.html", form=StudentFileForm(), **_about())


@bp.post("/students/import")
def look_at_students_file() -> ResponseReturnValue:
    """Show what taking the file in would do. Nothing is kept yet."""
    form = StudentFileForm()
    if form.validate_on_submit():
        data = form.content()
        read = form.saved(lambda: (read_students(data), pack(data, TOO_MUCH)))
        if read is not None:
            return _look(TakeInForm(formdata=None, data={"file": read[1]}), read[0])
    return refused("people/import.html", form=form, **_about())


@bp.post("/students/import/take-in")
def take_students_in() -> ResponseReturnValue:
    """Keep the students of the file that was looked at."""
    form = TakeInForm()
    file = form.saved(form.read) if form.validate_on_submit() else None
    if file is None:
        return refused("people/import.html", form=_again(form), **_about())
    also = set(request.form.getlist("also", type=int))
    taken = form.saved(
        lambda: store.take_in(
            context.database(),
            context.actor(),
            file,
            also,
            form.key,
            context.today(),
            context.now(),
        )
    )
    return _look(form, file, status=422) if taken is None else _taken(taken, len(file.rows))


@bp.post("/students/export")
def export_students() -> ResponseReturnValue:
    """All students as a file. It is a change, since the audit keeps who took it."""
    text = store.write_out(context.database(), context.actor(), context.now())
    # With its mark, a spreadsheet knows the file for UTF-8.
    answer = Response(text.encode("utf-8-sig"), mimetype="text/csv")
    name = f"students-{context.today().isoformat()}.csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _about() -> dict[str, Any]:
    return {"columns": COLUMNS, "most_rows": MOST_ROWS}


def _again(form: TakeInForm) -> StudentFileForm:
    """The first step once more, with what was wrong with the second."""
    fresh = StudentFileForm(formdata=None)
    for sentences in form.errors.values():
        fresh.form_errors.extend(sentences)
    return fresh


def _look(form: TakeInForm, file: StudentFile, status: int = 200) -> ResponseReturnValue:
    judged = store.judge(context.reading(), file, context.today())
    return page(
        "people/import_look.html",
        status=status,
        form=form,
        file=file,
        judged=judged,
        shown=SHOWN,
        sample=SAMPLE,
    )


def _taken(taken: int, rows: int) -> ResponseReturnValue:
    left = rows - taken
    said = f"{count_words(taken, 'student')} added."
    more = f" {count_words(left, 'row')} left out." if left else ""
    return done(f"{said}{more}", "people.students")
