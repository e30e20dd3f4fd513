"""What the owner changes about the school."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime

from app.rules.accounts.roles import Actor
from app.rules.school.settings import check
from app.rules.settings import SchoolSettings
from app.store import audit, settings
from app.store.database import Database, Lock
from app.store.people import emails, phones
from app.store.people.searching import search_anew


def as_kept(wanted: SchoolSettings) -> SchoolSettings:
    """The settings with phone and email in their written forms.

    Raises Refused with a sentence for each field that cannot be so.
    """
    check(wanted)
    phone, email, region = wanted.school_phone, wanted.school_email, wanted.phone_region
    return replace(
        wanted,
        school_phone=phones.written(phone, region, "school_phone") if phone else "",
        school_email=emails.written(email, "school_email") if email else "",
        bring_and_wear="\n".join(wanted.bring_and_wear.split("\r\n")),
    )


def change_settings(db: Database, by: Actor, wanted: SchoolSettings, now: datetime) -> int:
    """Keep the settings and note in the audit what each was and is; how many changed.

    Raises Refused with a sentence for each field that cannot be so.
    """
    wanted = as_kept(wanted)
    with db.writing(Lock.DIARY) as session:
        now_set = settings.load(session)
        # Made by the first calendar's address, perhaps since the form was opened: never typed.
        wanted = replace(wanted, calendar_key=now_set.calendar_key)
        before, after = asdict(now_set), asdict(wanted)
        changed = {key: [before[key], after[key]] for key in after if before[key] != after[key]}
        if changed:
            settings.save(session, wanted)
            audit.record(session, by, now, "changed", "settings", "school", **changed)
    if "phone_region" in changed:
        search_anew(db)
    return len(changed)
