"""What every form shares: trimmed text, a key against double sending, refusals at the field."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from typing import Any, TypeVar
from uuid import UUID, uuid4

from flask_wtf import FlaskForm
from wtforms import (
    DateField,
    Field,
    FloatField,
    HiddenField,
    IntegerField,
    StringField,
    TimeField,
    ValidationError,
)

from app.rules.refusal import Refused

T = TypeVar("T")


def trimmed(value: Any) -> Any:
    """Text without the space around it; anything else as it is."""
    return value.strip() if isinstance(value, str) else value


class SchoolForm(FlaskForm):  # type: ignore[misc]
    """A form of this app. Text is trimmed, and a refused write puts its reasons at the fields."""

    class Meta(FlaskForm.Meta):  # type: ignore[misc]
        """Trim every plain text field before it is judged."""

        def bind_field(self, form: Any, unbound_field: Any, options: dict[str, Any]) -> Any:
            """Add the trimming filter to text fields."""
            if issubclass(unbound_field.field_class, StringField):
                options["filters"] = [trimmed, *unbound_field.kwargs.get("filters", ())]
            return unbound_field.bind(form=form, **options)

    def saved(self, write: Callable[[], T]) -> T | None:
        """Run a write; when the rules refuse it, keep their sentences and return None.

        A sentence for a field that this form does not have goes to the whole form.
        """
        try:
            return write()
        except Refused as refused:
            for reason in refused.reasons:
                self.refuse(reason.field, reason.sentence)
            return None

    def refuse(self, name: str, sentence: str) -> None:
        """Put a sentence beside a field, or above the form when there is no such field."""
        if name in self._fields:
            field = self._fields[name]
            field.errors = [*field.errors, sentence]
        else:
            self.form_errors.append(sentence)


class OnceForm(SchoolForm):
    """A form that makes a record, and makes it once however often it is sent."""

    once = HiddenField(default=lambda: str(uuid4()))

    def validate_once(self, field: Field) -> None:
        """Refuse a key that this app did not make."""
        try:
            UUID(field.data or "")
        except ValueError:
            raise ValidationError("This form is out of date. Open it again.") from None

    @property
    def key(self) -> UUID:
        """The form's own key, to hand to the write."""
        return UUID(str(self.once.data))


class Length:
    """At most so many characters, said in a sentence."""

    def __init__(self, most: int) -> None:
        self.most = most
        self.field_flags = {"maxlength": most}

    def __call__(self, _form: Any, field: Field) -> None:
        """Refuse longer text, and characters that no keyboard makes."""
        text = field.data or ""
        if len(text) > self.most:
            raise ValidationError(f"Use at most {self.most} characters. This has {len(text)}.")
        if any(ord(c) < 32 and c not in "\r\n\t" for c in text):
            raise ValidationError("Remove the unprintable characters.")


class WholeNumberField(IntegerField):  # type: ignore[misc]
    """A whole number, with our sentence when it is none. What was typed stays in the field."""

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read the number; ValueError with a sentence when it cannot be read."""
        _read(super().process_formdata, valuelist, "Write a whole number.")


class NumberField(FloatField):  # type: ignore[misc]
    """A number with or without decimals, with our sentence when it is none."""

    data: float | None

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read the number; ValueError with a sentence when it cannot be read."""
        _read(super().process_formdata, valuelist, "Write a number, such as 12.5.")
        if self.data is not None and not isfinite(self.data):
            self.data = None
            raise ValueError("Write a number, such as 12.5.")


class DayField(DateField):  # type: ignore[misc]
    """A date, with our sentence when there is no such day."""

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read the date; ValueError with a sentence when it cannot be read."""
        _read(super().process_formdata, valuelist, "Write a day that exists, as 2026-12-03.")


class ClockField(TimeField):  # type: ignore[misc]
    """A time of day, with our sentence when there is no such time."""

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read the time; ValueError with a sentence when it cannot be read."""
        _read(super().process_formdata, valuelist, "Write a time of day, as 14:30.")


def _read(process: Callable[[list[str]], None], valuelist: list[str], sentence: str) -> None:
    if not any(value.strip() for value in valuelist):
        return
    try:
        process(valuelist)
    except ValueError:
        raise ValueError(sentence) from None
