"""The forms of the room."""

from __future__ import annotations

from collections.abc import Iterable

from wtforms import (
    EmailField,
    Field,
    HiddenField,
    IntegerField,
    PasswordField,
    SelectMultipleField,
    StringField,
    ValidationError,
)
from wtforms.fields.choices import SelectChoice
from wtforms.validators import DataRequired, Email, InputRequired, NumberRange
from wtforms.widgets import CheckboxInput, HiddenInput, ListWidget

from app.rules.accounts.authority import GIVEN
from app.rules.accounts.codes import LONGEST as LONGEST_CODE
from app.rules.accounts.passwords import LONGEST
from app.rules.accounts.roles import ROLE_WORDS
from app.store.accounts.tablet import Colleague
from app.web.choices import LARGEST_ID, PickRadioField, number, options
from app.web.forms import Length, OnceForm, SchoolForm

_EMAIL_LENGTH = 254  # RFC 5321 section 4.5.3.1.3: a path of 256 with its angle brackets


def _email() -> list[object]:
    shape = Email("Type a whole email address, such as name@example.org.")
    return [DataRequired("Type the email address."), Length(_EMAIL_LENGTH), shape]


class SignInForm(SchoolForm):
    """Email and password. Their shape is not judged: what is wrong with them is one sentence."""

    email = EmailField("Email", [DataRequired("Type your email."), Length(_EMAIL_LENGTH)])
    password = PasswordField("Password", [InputRequired("Type your password."), Length(LONGEST)])


class DemoForm(SchoolForm):
    """Which of the invented people to be."""

    account = IntegerField(
        "Person", [InputRequired(), NumberRange(1, LARGEST_ID)], widget=HiddenInput()
    )


class AskForm(SchoolForm):
    """Whose password is forgotten."""

    email = EmailField("Email", _email())


class NewPasswordForm(SchoolForm):
    """A password of one's own."""

    password = PasswordField("New password", [InputRequired("Choose a password.")])


class ChangePasswordForm(NewPasswordForm):
    """The password one has, and the one to have."""

    current = PasswordField(
        "Password now", [InputRequired("Type the password you have now."), Length(LONGEST)]
    )


class ChooseCodeForm(SchoolForm):
    """A short code of one's own, and the password that proves it is one's own."""

    proof = PasswordField("Password", [InputRequired("Type your password."), Length(LONGEST)])
    code = PasswordField("New code", [InputRequired("Choose a code.")])


class TakeOverForm(SchoolForm):
    """Who takes the tablet over. Its names are no other form's, whose fields it may carry on."""

    who = PickRadioField("Who", [InputRequired("Choose who you are.")], coerce=number)
    tablet_code = PasswordField("Code", [InputRequired("Type your code."), Length(LONGEST_CODE)])

    def offer(self, colleagues: Iterable[Colleague], here: int | None) -> None:
        """Offer these people; whoever is at the tablet is chosen to begin with."""
        self.who.choices = options((each.account_id, each.name) for each in colleagues)
        if not self.who.raw_data:
            self.who.data = here

    def name_of(self, account_id: int) -> str:
        """The name of one of the people offered."""
        return str(next(each.label for each in self.who.choices if each.value == account_id))


class ColleagueForm(OnceForm):
    """A colleague's account."""

    name = StringField("Name", [DataRequired("Type the name."), Length(100)])
    email = EmailField("Email", _email())
    roles = SelectMultipleField(
        "What they do",
        choices=[
            SelectChoice(role.value, ROLE_WORDS[role]) for role in ROLE_WORDS if role in GIVEN
        ],
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
    )


class EditForm(ColleagueForm):
    """An account from the version that was opened."""

    version = HiddenField()

    def validate_version(self, field: Field) -> None:
        """Refuse a page that does not say which version it shows."""
        if not field.raw_data or not str(field.data).isdecimal():
            raise ValidationError("This page is out of date. Open it again.")
