"""Fields in which one thing is chosen from a list, with our own sentence when it is not there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from wtforms import RadioField, SelectField, SelectMultipleField
from wtforms.fields.choices import SelectChoice
from wtforms.widgets import CheckboxInput, RadioInput

LARGEST_ID = 2**31 - 1
"""The largest id that both databases can look up."""

_FROM_LIST = "Choose one from the list."
_SENTENCES = {"invalid_value_message": _FROM_LIST, "invalid_choice_message": _FROM_LIST}


class PickField(SelectField):  # type: ignore[misc]
    """One of a list that unfolds."""

    def __init__(self, label: str, validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, **_SENTENCES, **kwargs)


class _Radio(RadioInput):  # type: ignore[misc]
    """A radio button that keeps the attributes of its own option."""

    def __call__(self, field: Any, **kwargs: Any) -> Any:
        """Draw one button."""
        return super().__call__(field, **{**field.choice.render_kw, **kwargs})


class PickRadioField(RadioField):  # type: ignore[misc]
    """One of a few that are all in sight."""

    option_widget = _Radio()

    def __init__(self, label: str, validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, **_SENTENCES, **kwargs)
        # Templates draw a field by the name of its kind.
        self.type = "RadioField"


class PickManyField(SelectMultipleField):  # type: ignore[misc]
    """Any of a few that are all in sight, each with a box to tick."""

    option_widget = CheckboxInput()

    def __init__(self, label: str, validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, **_SENTENCES, **kwargs)
        self.type = "RadioField"


def options(pairs: Iterable[tuple[Any, str]]) -> list[SelectChoice]:
    """The options of a list out of values and their words."""
    return [SelectChoice(value, words) for value, words in pairs]


def number(value: Any) -> int:
    """Read the id of a choice; ValueError for what is none."""
    found = int(value)
    if not 0 <= found <= LARGEST_ID:
        raise ValueError
    return found
