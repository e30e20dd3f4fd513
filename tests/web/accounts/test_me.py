"""My own account: it works, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.support.cast import EMAILS, PASSWORD
from tests.support.client import Visitor

Visit = Callable[..., Visitor]
NEW = "copper kettle winter lane"


def test_i_see_who_i_am_here(visit: Visit) -> None:
    text = visit("desk").get("/me").text
    for words in ("Dev Rook", EMAILS["desk"], "Front desk", "this browser"):
        assert words in text


def test_a_changed_password_signs_out_every_other_browser(visit: Visit) -> None:
    here, elsewhere = visit("learner"), visit("learner")
    page = here.send("/me", {"current": PASSWORD, "password": NEW}, action="/me/password")
    assert "Your password is changed" in page.text
    assert here.client.get("/me").status_code == 200
    assert elsewhere.client.get("/me").status_code == 302
    visit().send("/sign-in", {"email": EMAILS["learner"], "password": PASSWORD}, status=422)


@pytest.mark.parametrize(
    ("current", "password", "field", "sentence"),
    [
        ("not my password", NEW, "current", "This is not your password."),
        ("", NEW, "current", "Type the password you have now."),
        (PASSWORD, "", "password", "Choose a password."),
        (PASSWORD, "short", "password", "at least 15"),
        (PASSWORD, "dev rook dev rook", "password", "your own name"),
    ],
)
def test_what_is_wrong_with_a_change_is_said_at_the_field(
    visit: Visit, current: str, password: str, field: str, sentence: str
) -> None:
    values = {"current": current, "password": password}
    page = visit("desk").send("/me", values, action="/me/password", status=422)
    assert sentence in page.error_beside(field)
    assert "not my password" not in page.html
    visit().send("/sign-in", {"email": EMAILS["desk"], "password": PASSWORD})


def test_i_end_a_sign_in_of_mine_elsewhere(visit: Visit) -> None:
    elsewhere, here = visit("learner"), visit("learner")
    page = here.send("/me", action="/end")
    assert "That browser is signed out." in page.text
    assert elsewhere.client.get("/me").status_code == 302
    assert here.client.get("/me").status_code == 200
