"""One entry of the reference data at a time, from values to rows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app.rules.riding.reference_entry import Entry
from app.rules.riding.syllabus import FaultKind, Manoeuvre, Syllabus
from app.rules.riding.syllabus_reading import parse_fault_kind, parse_manoeuvre
from app.store.riding.tables import (
    FaultKindRow,
    ManoeuvreFaultRow,
    ManoeuvreRow,
    MinimumSpeedRow,
    SyllabusRow,
    VariantRow,
)


def write_head(session: Session, shipped: Syllabus, code: str, values: Mapping[str, Any]) -> None:
    """The syllabus itself."""
    row = session.scalar(select(SyllabusRow).filter_by(code=code)) or SyllabusRow(code=code)
    row.version = shipped.version
    row.name, row.caution = values["name"], values["caution"]
    row.pass_rule, row.speed_rule = dict(values["pass_rule"]), dict(values["speed_rule"])
    session.add(row)
    session.flush()


def write_manoeuvre(
    session: Session, shipped: Syllabus, code: str, values: Mapping[str, Any]
) -> None:
    """One manoeuvre with its variants and minimum speeds."""
    manoeuvre = parse_manoeuvre(code, Entry(code, values))
    syllabus_id = session.scalars(select(SyllabusRow.id).filter_by(code=shipped.code)).one()
    row = session.scalar(select(ManoeuvreRow).filter_by(syllabus_id=syllabus_id, code=code))
    row = row or ManoeuvreRow(syllabus_id=syllabus_id, code=code)
    for name in _PLAIN_FIELDS:
        setattr(row, name, getattr(manoeuvre, name))
    for name in _LIST_FIELDS:
        setattr(row, name, list(getattr(manoeuvre, name)))
    row.retired = False
    session.add(row)
    session.flush()
    _write_variants(session, row.id, manoeuvre)
    _write_speeds(session, row.id, manoeuvre)


_PLAIN_FIELDS = (
    "name",
    "exercise",
    "place",
    "minutes",
    "speed_run",
    "clean_looks_like",
    "common_mistake",
    "not_after_failed",
)
_LIST_FIELDS = ("coaching_points", "cautions", "cone_colours")


def _write_variants(session: Session, manoeuvre_id: int, manoeuvre: Manoeuvre) -> None:
    query = select(VariantRow).filter_by(manoeuvre_id=manoeuvre_id)
    rows = {row.code: row for row in session.scalars(query)}
    for row in rows.values():
        row.retired = True
    for variant in manoeuvre.variants:
        row = rows.get(variant.code) or VariantRow(manoeuvre_id=manoeuvre_id, code=variant.code)
        row.name, row.place, row.retired = variant.name, variant.place, False
        session.add(row)
    session.flush()


def _write_speeds(session: Session, manoeuvre_id: int, manoeuvre: Manoeuvre) -> None:
    session.execute(delete(MinimumSpeedRow).filter_by(manoeuvre_id=manoeuvre_id))
    session.add_all(
        MinimumSpeedRow(manoeuvre_id=manoeuvre_id, category=category, kmh=kmh)
        for category, kmh in manoeuvre.minimum_kmh.items()
    )
    session.flush()


def write_fault_kind(
    session: Session, _shipped: Syllabus, code: str, values: Mapping[str, Any]
) -> None:
    """One fault kind with the severity it starts from in each manoeuvre."""
    kind = parse_fault_kind(code, Entry(code, values))
    row = session.scalar(select(FaultKindRow).filter_by(code=code)) or FaultKindRow(code=code)
    row.name, row.sided, row.standing = kind.name, kind.sided, kind.standing
    row.place, row.retired = kind.place, False
    session.add(row)
    session.flush()
    _write_defaults(session, row.id, kind)


def _write_defaults(session: Session, kind_id: int, kind: FaultKind) -> None:
    ids = {row.code: row.id for row in session.scalars(select(ManoeuvreRow))}
    session.execute(delete(ManoeuvreFaultRow).filter_by(fault_kind_id=kind_id))
    session.add_all(
        ManoeuvreFaultRow(
            manoeuvre_id=ids[default.manoeuvre],
            fault_kind_id=kind_id,
            severity=default.severity,
            standing=default.standing,
            note=default.note,
        )
        for default in kind.defaults
    )
    session.flush()


def retire(session: Session, kind: str, code: str) -> None:
    """Offer an entry no longer; rides that point at it keep their meaning."""
    if kind == "manoeuvre":
        session.execute(update(ManoeuvreRow).filter_by(code=code).values(retired=True))
    elif kind == "fault_kind":
        session.execute(update(FaultKindRow).filter_by(code=code).values(retired=True))
