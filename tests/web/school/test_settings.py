"""The owner's settings."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store import settings
from app.store.database import Database
from app.store.school import reads
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.clock import Clock
from tests.support.riding import a_ride, past_session, record, variant

Visit = Callable[[str | None], Visitor]
PATH = "/office/settings"


def change(owner: Visitor, days: str) -> Page:
    """Type another number of days, see what it does, and keep it."""
    return owner.submit(owner.send(PATH, {"within_days": days}), action=PATH)


def test_the_owner_changes_a_number_and_the_audit_says_what_it_was(
    visit: Visit, database: Database
) -> None:
    page = change(visit("owner"), "14")
    assert "The settings are kept." in page.text
    with database.reading() as session:
        assert settings.load(session).within_days == 14
        assert reads.audit_page(session).entries[0].details == {"within_days": [21, 14]}


def test_the_effect_on_the_flags_is_shown_before_anything_is_kept(
    visit: Visit, database: Database, people: Cast, clock: Clock
) -> None:
    slalom = variant(database, "slalom")
    earlier = past_session(database, people, 2)
    rides = [a_ride(people, slalom, earlier, days=2), a_ride(people, slalom, people.session)]
    record(database, people, *rides)
    owner = visit("owner")
    page = owner.send(PATH, {"chance_percent": "50", "clean_in_a_row": "2", "notice_hours": "24"})
    assert page.heading == "What this does to the flags"
    assert "over 2 students learning now: 20 flags before, 19 flags after" in page.text
    assert "steady 0 1" in page.text
    with database.reading() as session:
        assert settings.load(session).notice_hours == 48
    kept = owner.submit(page, action=PATH)
    assert "The settings are kept." in kept.text
    with database.reading() as session:
        found = settings.load(session)
    assert (found.chance, found.clean_in_a_row, found.notice_hours) == (0.5, 2, 24)


def test_what_does_not_touch_the_flags_is_kept_at_once(visit: Visit) -> None:
    assert "The settings are kept." in visit("owner").send(PATH, {"notice_hours": "24"}).text


def test_numbers_changed_after_the_preview_are_shown_again(
    visit: Visit, database: Database
) -> None:
    owner = visit("owner")
    page = owner.send(PATH, {"within_days": "14"})
    again = owner.submit(page, {"within_days": "7"}, action=PATH)
    assert again.heading == "What this does to the flags"
    with database.reading() as session:
        assert settings.load(session).within_days == 21


def test_saving_what_is_there_changes_nothing(visit: Visit, database: Database) -> None:
    page = visit("owner").send(PATH)
    assert "Nothing was changed." in page.text
    with database.reading() as session:
        assert all(entry.subject != "settings" for entry in reads.audit_page(session).entries)


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("school_name", "", "Write the school's name."),
        ("school_name", "x" * 81, "Use at most 80 characters. This has 81."),
        ("time_zone", "Mars/Olympus", "There is no time zone Mars/Olympus."),
        ("within_days", "soon", "Write a whole number."),
        ("within_days", "", "Write a number."),
        ("chance_percent", "100", "Choose a chance from 50 to 90 in 100."),
        ("over_sessions", "9", "3 rides in a row can lie in at most 3 sessions."),
        ("travel_minutes", "999", "Choose from 0 to 240 minutes."),
        ("hold_minutes", "1", "Choose from 5 minutes to 10,080, which is a week."),
        ("reminder_hour", "24", "Choose an hour from 0 to 23."),
        ("school_phone", "by day", "Write the phone number in digits"),
        ("school_email", "desk at school", "Write a whole email address"),
    ],
)
def test_a_bad_value_is_refused_at_its_field_and_kept_as_typed(
    visit: Visit, database: Database, field: str, typed: str, sentence: str
) -> None:
    page = visit("owner").send(PATH, {field: typed, "notice_hours": "24"}, status=422)
    assert sentence in page.error_beside(field)
    assert f'value="{typed}"' in page.html
    with database.reading() as session:
        assert settings.load(session).notice_hours == 48


def test_the_diary_and_the_reminders_have_settings_of_their_own(
    visit: Visit, database: Database
) -> None:
    typed = {
        "nation": "SCT",
        "open_on_bank_holidays": "y",
        "turnaround_minutes": "10",
        "travel_minutes": "25",
        "hold_minutes": "60",
        "reminder_hour": "9",
        "school_phone": "01632 960011",
        "school_email": "Desk@Example.org",
        "bring_and_wear": "Gloves.\r\nBoots.",
    }
    assert "The settings are kept." in visit("owner").send(PATH, typed).text
    with database.reading() as session:
        found = settings.load(session)
    assert (found.nation, found.open_on_bank_holidays) == ("SCT", True)
    assert (found.turnaround_minutes, found.travel_minutes) == (10, 25)
    assert (found.hold_minutes, found.reminder_hour) == (60, 9)
    assert (found.school_phone, found.school_email) == ("01632 960011", "desk@example.org")
    assert found.bring_and_wear == "Gloves.\nBoots."


def test_the_preview_of_the_flags_carries_every_other_setting_along(
    visit: Visit, database: Database
) -> None:
    owner = visit("owner")
    page = owner.send(PATH, {"within_days": "14", "bring_and_wear": "Gloves.\r\nBoots."})
    owner.submit(page, action=PATH)
    with database.reading() as session:
        found = settings.load(session)
    assert (found.within_days, found.open_on_bank_holidays) == (14, False)
    assert found.bring_and_wear == "Gloves.\nBoots."


def test_only_the_owner_has_an_office(visit: Visit) -> None:
    visit("desk").get("/office", status=403)
    visit("desk").get(PATH, status=403)
    visit("instructor").get("/office/audit", status=403)


def test_the_audit_goes_back_page_by_page(visit: Visit, database: Database) -> None:
    owner = visit("owner")
    for days in range(1, reads.PAGE + 3):
        change(owner, str(days + 30))
    first = owner.get("/office/audit")
    assert "Older changes" in first.text
    older = next(a for a in first.tree.iter("a") if "".join(a.itertext()) == "Older changes")
    assert "within days: 31 (was 21)" in owner.get(older.get("href") or "").text


def test_the_audit_speaks_in_plain_words(visit: Visit) -> None:
    owner = visit("owner")
    change(owner, "14")
    page = owner.get("/office/audit")
    assert "within days: 14 (was 21)" in page.text
    assert "signed in: account" in page.text
