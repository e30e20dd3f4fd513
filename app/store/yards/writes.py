"""Adding and changing yards and bikes."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, literal, select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.refusal import Missing, Reason, Refused
from app.rules.yards.keeping import BikePlan, YardPlan, plate, why_not_bike_kept, why_not_yard
from app.store import audit
from app.store.database import Database, Lock
from app.store.once import once
from app.store.stale import check_version
from app.store.yards.reads import bike_plan, yard_plan
from app.store.yards.tables import BikeRow, YardRow


def add_yard(db: Database, by: Actor, yard: YardPlan, key: UUID, now: datetime) -> int:
    """Keep a new yard, once for one form; the id. Refused with every reason against it."""

    def make() -> int:
        _check_yard(session, yard)
        return _add(session, by, YardRow(**asdict(yard)), now)

    with db.writing(Lock.DIARY) as session:
        return once(session, key, now, make)


def edit_yard(
    db: Database, by: Actor, yard_id: int, version: int, yard: YardPlan, now: datetime
) -> int:
    """Keep a yard as changed; the id. Sessions that stand keep their places."""
    with db.writing(Lock.DIARY) as session:
        row = session.get(YardRow, yard_id)
        if row is None:
            raise Missing
        check_version(row.version, version)
        _check_yard(session, yard, but=yard_id)
        return _change(session, by, row, asdict(yard_plan(row)), asdict(yard), now)


def add_bike(db: Database, by: Actor, bike: BikePlan, key: UUID, now: datetime) -> int:
    """Keep a new bike, once for one form; the id. Refused with every reason against it."""
    bike = replace(bike, registration=plate(bike.registration))

    def make() -> int:
        _check_bike(session, bike)
        return _add(session, by, BikeRow(**asdict(bike)), now)

    with db.writing(Lock.DIARY) as session:
        return once(session, key, now, make)


def edit_bike(
    db: Database, by: Actor, bike_id: int, version: int, bike: BikePlan, now: datetime
) -> int:
    """Keep a bike's description as changed; the id."""
    bike = replace(bike, registration=plate(bike.registration))
    with db.writing(Lock.DIARY) as session:
        row = _bike_row(session, bike_id)
        check_version(row.version, version)
        _check_bike(session, bike, but=bike_id)
        return _change(session, by, row, asdict(bike_plan(row)), asdict(bike), now)


def take_off_road(
    db: Database, by: Actor, bike_id: int, version: int, reason: str, now: datetime
) -> int:
    """Take a bike off the road for a reason; the id. Its bookings stand until they are moved."""
    if not reason.strip():
        raise Refused(Reason("Write what is wrong with it.", "reason"))
    with db.writing(Lock.DIARY) as session:
        check_version(_bike_row(session, bike_id).version, version)
        return off_road_in(session, by, bike_id, reason, now)


def off_road_in(session: Session, by: Actor, bike_id: int, reason: str, now: datetime) -> int:
    """Take a bike off the road in the caller's transaction; Refused when it is already."""
    row = _bike_row(session, bike_id)
    if row.off_road_since is not None:
        raise Refused(Reason(f"{row.label} is off the road already."))
    row.off_road_since, row.off_road_reason = now, reason.strip()
    row.version += 1
    audit.record(session, by, now, "took off the road", "bikes", row.id)
    return row.id


def report_defect(
    db: Database, by: Actor, bike_id: int, what: str, key: UUID, now: datetime
) -> int:
    """Take a bike off the road from the yard, once for one form; the id.

    Whoever sees a defect need not know what the desk knows: on a bike that is
    off the road already, the defect is added to the reason.
    """
    if not what:
        raise Refused(Reason("Choose what is wrong with it.", "what"))

    def make() -> int:
        row = _bike_row(session, bike_id)
        before = row.off_road_reason
        row.off_road_reason = what if before is None else f"{before}; {what}"
        row.off_road_since = row.off_road_since or now
        row.reported_by = by.account_id
        row.version += 1
        audit.record(session, by, now, "reported a defect", "bikes", row.id)
        return row.id

    with db.writing(Lock.DIARY) as session:
        return once(session, key, now, make)


def put_back_on_road(db: Database, by: Actor, bike_id: int, version: int, now: datetime) -> int:
    """Put a bike back on the road; the id."""
    with db.writing(Lock.DIARY) as session:
        row = _bike_row(session, bike_id)
        check_version(row.version, version)
        if row.off_road_since is not None:
            row.off_road_since = row.off_road_reason = row.reported_by = None
            row.version += 1
            audit.record(session, by, now, "put back on the road", "bikes", row.id)
        return row.id


def _bike_row(session: Session, bike_id: int) -> BikeRow:
    row = session.get(BikeRow, bike_id)
    if row is None:
        raise Missing
    return row


def _add(session: Session, by: Actor, row: YardRow | BikeRow, now: datetime) -> int:
    session.add(row)
    session.flush()
    audit.record(session, by, now, "added", row.__tablename__, row.id)
    return row.id


def _change(
    session: Session,
    by: Actor,
    row: YardRow | BikeRow,
    before: dict[str, Any],
    after: dict[str, Any],
    now: datetime,
) -> int:
    changed = sorted(name for name in after if before[name] != after[name])
    if changed:
        for name in changed:
            setattr(row, name, after[name])
        row.version += 1
        audit.record(session, by, now, "changed", row.__tablename__, row.id, fields=changed)
    return row.id


def _check_yard(session: Session, yard: YardPlan, but: int | None = None) -> None:
    reasons = list(why_not_yard(yard))
    if _known(session, YardRow.name == yard.name, YardRow.id != but):
        reasons.append(Reason(f"There is a yard called {yard.name} already.", "name"))
    if reasons:
        raise Refused(*reasons)


def _check_bike(session: Session, bike: BikePlan, but: int | None = None) -> None:
    reasons = list(why_not_bike_kept(bike))
    if _known(session, BikeRow.label == bike.label, BikeRow.id != but):
        reasons.append(Reason(f"There is a {bike.label} already.", "label"))
    if _known(session, BikeRow.registration == bike.registration, BikeRow.id != but):
        reasons.append(Reason("Another bike has this registration.", "registration"))
    if reasons:
        raise Refused(*reasons)


def _known(session: Session, same: ColumnElement[bool], another: ColumnElement[bool]) -> bool:
    return session.scalar(select(literal(1)).where(same, another).limit(1)) is not None
