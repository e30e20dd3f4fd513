"""What students are searched by, worked out again for all of them when its rule changes."""

from __future__ import annotations

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.rules.people.seeking import RULE
from app.store import settings
from app.store.database import Database, Lock
from app.store.people.tables import StudentRow
from app.store.people.writing import sought
from app.store.settings import SettingRow

_KEY = "searched_by"


def search_anew(db: Database) -> int:
    """Bring what students are searched by up to this release and the school's region; how many.

    Two queries when it is so already. A setting remembers by which rule it was done last.
    """
    with db.reading() as session:
        if _kept(session) == _now(session):
            return 0
    with db.writing(Lock.DIARY) as session:
        now = _now(session)
        changed = _changed(session, str(now[1]))
        if changed:
            session.execute(update(StudentRow), changed)
        settings.keep(session, _KEY, now)
        return len(changed)


def _kept(session: Session) -> object:
    row = session.get(SettingRow, _KEY)
    return row.value if row else None


def _now(session: Session) -> list[object]:
    return [RULE, settings.load(session).phone_region]


def _changed(session: Session, region: str) -> list[dict[str, object]]:
    columns = (StudentRow.id, StudentRow.name, StudentRow.phone, StudentRow.email)
    found = session.execute(select(*columns, StudentRow.sought))
    return [
        {"id": number, "sought": fresh}
        for number, name, phone, email, kept in found
        if (fresh := sought(name, phone, email, region)) != kept
    ]
