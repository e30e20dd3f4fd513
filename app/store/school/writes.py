"""What the owner changes about the school."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime

from app.rules.accounts.roles import Actor
from app.rules.school.settings import check
from app.rules.settings import SchoolSettings
from app.store import audit, settings
from app.store.database import Database, Lock


def change_settings(db: Database, by: Actor, wanted: SchoolSettings, now: datetime) -> int:
    """Keep the settings and note in the audit what each was and is; how many changed.

    Raises Refused with a sentence for each field that cannot be so.
    """
    check(wanted)
    with db.writing(Lock.DIARY) as session:
        now_set = settings.load(session)
        # Made by the first calendar's address, perhaps since the form was opened: never typed.
        wanted = replace(wanted, calendar_key=now_set.calendar_key)
        before, after = asdict(now_set), asdict(wanted)
        changed = {key: [before[key], after[key]] for key in after if before[key] != after[key]}
        if changed:
            settings.save(session, wanted)
            audit.record(session, by, now, "changed", "settings", "school", **changed)
        return len(changed)
