"""Bringing the shipped syllabus into a school, release after release, around the school's edits."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import system
from app.rules.refusal import Missing
from app.rules.riding.syllabus import Syllabus
from app.rules.riding.syllabus_merge import merge
from app.rules.riding.syllabus_plain import fault_kind_entry, manoeuvre_entry
from app.rules.riding.syllabus_reading import parse_syllabus
from app.store import audit
from app.store.database import Database, Lock
from app.store.riding.course import load_course
from app.store.riding.reference_rows import retire, write_fault_kind, write_head, write_manoeuvre
from app.store.riding.tables import ReferenceItemRow

FOLDER = Path(__file__).resolve().parents[3] / "seed_data" / "reference"

Key = tuple[str, str]
Entries = dict[Key, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a loading did: the entries written, and the school's edits that it left standing."""

    version: int
    written: tuple[str, ...] = ()
    kept_edits: tuple[str, ...] = ()


def read_shipped(folder: Path = FOLDER) -> Syllabus:
    """The syllabus as this release ships it. Raises BadReference for a file with a mistake."""
    module, faults = (
        tomllib.loads((folder / name).read_text(encoding="utf-8"))
        for name in ("module_1.toml", "fault_kinds.toml")
    )
    return parse_syllabus(module, faults)


def load_reference(db: Database, now: datetime, folder: Path = FOLDER) -> Loaded:
    """Bring the school's syllabus to the shipped version; nothing happens when it is there.

    A field that the school has edited stays as the school has it. An entry that
    is no longer shipped is retired, since rides may point at it.
    """
    shipped = read_shipped(folder)
    with db.reading() as session:
        if _is_current(session, shipped):
            return Loaded(shipped.version)
    with db.writing(Lock.RIDES) as session:
        if _is_current(session, shipped):  # another server was quicker
            return Loaded(shipped.version)
        return _bring_up(session, shipped, now)


def _is_current(session: Session, shipped: Syllabus) -> bool:
    items = session.scalars(select(ReferenceItemRow)).all()
    versions = {(item.kind, item.code): item.version for item in items}
    return versions == dict.fromkeys(_entries(shipped), shipped.version)


def _entries(syllabus: Syllabus) -> Entries:
    entries: Entries = {("syllabus", syllabus.code): _head_entry(syllabus)}
    entries |= {("manoeuvre", each.code): manoeuvre_entry(each) for each in syllabus.manoeuvres}
    entries |= {("fault_kind", each.code): fault_kind_entry(each) for each in syllabus.fault_kinds}
    return entries


def _head_entry(syllabus: Syllabus) -> dict[str, Any]:
    return {
        "name": syllabus.name,
        "caution": syllabus.caution,
        "pass_rule": asdict(syllabus.pass_rule),
        "speed_rule": asdict(syllabus.speed_rule),
    }


def _bring_up(session: Session, shipped: Syllabus, now: datetime) -> Loaded:
    before = {(item.kind, item.code): item for item in session.scalars(select(ReferenceItemRow))}
    current, wanted = _as_the_school_has_it(session), _entries(shipped)
    kept: list[str] = []
    for key, entry in wanted.items():
        if key in before and key not in current:
            kept.append(".".join(key))  # the school has taken it away
            _remember(session, key, shipped.version, entry)
            continue
        earlier = before[key].shipped if key in before else None
        merged = merge(earlier, entry, current.get(key, {}))
        kept += [".".join((*key, field)) for field in merged.kept_edits]
        _WRITERS[key[0]](session, shipped, key[1], merged.values)
        _remember(session, key, shipped.version, entry)
    for kind, code in before.keys() - wanted.keys():
        retire(session, kind, code)
        session.execute(delete(ReferenceItemRow).filter_by(kind=kind, code=code))
    written = tuple(".".join(key) for key in wanted)
    _note(session, shipped, kept, now)
    return Loaded(shipped.version, written, tuple(kept))


def _remember(session: Session, key: Key, version: int, entry: dict[str, Any]) -> None:
    kind, code = key
    session.merge(ReferenceItemRow(kind=kind, code=code, version=version, shipped=entry))


def _as_the_school_has_it(session: Session) -> Entries:
    try:
        return _entries(load_course(session).syllabus)
    except Missing:
        return {}


def _note(session: Session, shipped: Syllabus, kept: list[str], now: datetime) -> None:
    by = system("reference data")
    details = {"version": shipped.version, "kept_edits": kept}
    audit.record(session, by, now, "loaded", "syllabuses", shipped.code, **details)


Writer = Callable[[Session, Syllabus, str, Mapping[str, Any]], None]

_WRITERS: Mapping[str, Writer] = {
    "syllabus": write_head,
    "manoeuvre": write_manoeuvre,
    "fault_kind": write_fault_kind,
}
