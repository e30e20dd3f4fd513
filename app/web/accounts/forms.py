"""The forms for signing in."""

from __future__ import annotations

from wtforms import EmailField, PasswordField
from wtforms.validators import InputRequired

from app.web.forms import Length, SchoolForm


class SignInForm(SchoolForm):
    """Email and password."""

    email = EmailField("Email", [InputRequired("Type your email."), Length(254)])
    password = PasswordField("Password", [InputRequired("Type your password."), Length(256)])
