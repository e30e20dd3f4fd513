"""Finding a student with the telephone ringing, bringing a file of them, and two become one."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app.rules.accounts.roles import Role
from tests.browser.conftest import Sitting
from tests.browser.devices import DESK
from tests.support.server import Server

pytestmark = pytest.mark.browser


def _names(page: Page) -> list[str]:
    return page.locator("#found th a").all_inner_texts()


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("ash", "Asha Penrow"),
        ("pen", "Asha Penrow"),
        ("ÁSH", "Asha Penrow"),
        ("960100", "Asha Penrow"),
        ("+44 1632 960100", "Asha Penrow"),
        ("asha@", "Asha Penrow"),
    ],
)
def test_three_letters_find_a_student_while_they_are_typed(
    school: Server, sit_down: Sitting, typed: str, name: str
) -> None:
    page = sit_down(Role.DESK, DESK)
    page.goto("/desk")
    page.keyboard.type(typed)
    expect(page.locator("#found th a").first).to_have_text(name)
    assert page.url.endswith("/desk")


def test_two_letters_find_nobody_yet_and_enter_opens_the_only_one(
    school: Server, sit_down: Sitting
) -> None:
    page = sit_down(Role.DESK, DESK)
    page.goto("/desk")
    page.keyboard.type("as")
    page.wait_for_timeout(400)
    assert _names(page) == []
    page.keyboard.type("ha pen")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Asha Penrow")
    call = page.get_by_role("link", name="01632 960100", exact=True)
    expect(call).to_have_attribute("href", "tel:+441632960100")


def test_a_file_of_students_is_brought_and_the_twin_in_it_made_one(
    school: Server, sit_down: Sitting, tmp_path: Path
) -> None:
    table = tmp_path / "students.csv"
    text = "Name;Category;Mobile\nAda Finch;A2;01632 960901\nPenrow Asha;A;01632 960902\nIvo;B;1\n"
    table.write_text(text, encoding="utf-16")
    page = sit_down(Role.DESK, DESK)
    page.goto("/students/import")
    page.get_by_label("File of students").set_input_files(table)
    page.get_by_role("button", name="Look at the file").click()
    expect(
        page.get_by_text("3 rows: 1 to add, 1 perhaps on file already, 1 to put right.")
    ).to_be_visible()
    page.get_by_label("Add line 3 too").check()
    page.get_by_role("button", name="Add the students").click()
    expect(page.get_by_role("status")).to_contain_text("2 students added. 1 row left out.")

    page.get_by_role("link", name="Perhaps on file twice").click()
    page.get_by_role("link", name="Compare Asha Penrow and Penrow Asha").click()
    page.get_by_label("Take: 01632 960902").check()
    page.get_by_role("button", name="Make them one record").click()
    expect(page.get_by_role("status")).to_contain_text("The two records are one now.")
    expect(page.get_by_role("link", name="01632 960902", exact=True).first).to_be_visible()


def test_a_student_who_is_here_already_is_pointed_out_at_the_form(
    school: Server, sit_down: Sitting
) -> None:
    page = sit_down(Role.DESK, DESK)
    page.goto("/students/new")
    page.get_by_label("Name").fill("Asha Penrow")
    page.get_by_label("Licence category").select_option("A")
    page.get_by_label("Phone").fill("+44 1632 960100")
    page.get_by_label("Phone").press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("Asha Penrow is on file already")
    page.get_by_role("link", name="Open the record of Asha Penrow").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Asha Penrow")
