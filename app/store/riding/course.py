"""The syllabus as the school has it, with the ids that rides point at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.categories import Category
from app.rules.refusal import Missing
from app.rules.riding.syllabus import (
    FaultDefault,
    FaultKind,
    Manoeuvre,
    Offer,
    PassRule,
    SpeedRule,
    Syllabus,
    Variant,
)
from app.store.riding.tables import (
    FaultKindRow,
    ManoeuvreFaultRow,
    ManoeuvreRow,
    MinimumSpeedRow,
    SyllabusRow,
    VariantRow,
)


@dataclass(frozen=True, slots=True)
class CourseVariant:
    """One variant of one manoeuvre, with its id."""

    id: int
    variant: Variant
    manoeuvre: Manoeuvre

    @property
    def name(self) -> str:
        """What it is called on its own: ``Hazard avoidance, left``."""
        return self.variant.name

    def minimum_for(self, category: Category) -> float | None:
        """The minimum speed in km/h in a category, or None."""
        return self.manoeuvre.minimum_for(category)


@dataclass(frozen=True, slots=True)
class Course:
    """The whole syllabus. Retired variants and kinds are named but no longer offered."""

    syllabus: Syllabus
    variants: tuple[CourseVariant, ...]
    retired_variants: Mapping[int, CourseVariant]
    fault_codes: Mapping[int, str]
    fault_ids: Mapping[str, int]
    fault_names: Mapping[str, str]

    def variant(self, variant_id: int) -> CourseVariant:
        """A variant that can be ridden; raises Missing."""
        for found in self.variants:
            if found.id == variant_id:
                return found
        raise Missing(f"variant {variant_id}")

    def named(self, variant_id: int) -> CourseVariant:
        """A variant, retired or not; raises Missing."""
        return self.retired_variants.get(variant_id) or self.variant(variant_id)

    def offers(self, manoeuvre: str) -> Mapping[str, Offer]:
        """The fault kinds of a manoeuvre by code, in order, remarks after faults."""
        return {offer.kind.code: offer for offer in self.syllabus.offers(manoeuvre)}


def load_course(session: Session) -> Course:
    """Read the syllabus: six queries. Raises Missing before the reference data is loaded."""
    head = session.scalars(select(SyllabusRow).order_by(SyllabusRow.id)).first()
    if head is None:
        raise Missing("no syllabus is loaded")
    rows = {
        row.id: row for row in session.scalars(select(ManoeuvreRow).order_by(ManoeuvreRow.place))
    }
    variants = list(session.scalars(select(VariantRow).order_by(VariantRow.place)))
    manoeuvres = _manoeuvres(session, rows, variants)
    kinds = list(session.scalars(select(FaultKindRow).order_by(FaultKindRow.place)))
    return Course(
        syllabus=_syllabus(head, rows, manoeuvres, _fault_kinds(session, kinds, rows)),
        variants=_current(rows, variants, manoeuvres),
        retired_variants=_retired(rows, variants, manoeuvres),
        fault_codes={kind.id: kind.code for kind in kinds},
        fault_ids={kind.code: kind.id for kind in kinds},
        fault_names={kind.code: kind.name for kind in kinds},
    )


def _syllabus(
    head: SyllabusRow,
    rows: Mapping[int, ManoeuvreRow],
    manoeuvres: Mapping[int, Manoeuvre],
    kinds: tuple[FaultKind, ...],
) -> Syllabus:
    return Syllabus(
        version=head.version,
        code=head.code,
        name=head.name,
        caution=head.caution,
        pass_rule=PassRule(**head.pass_rule),
        speed_rule=SpeedRule(**head.speed_rule),
        manoeuvres=tuple(manoeuvres[id_] for id_, row in rows.items() if not row.retired),
        fault_kinds=kinds,
    )


def _manoeuvres(
    session: Session, rows: Mapping[int, ManoeuvreRow], variants: list[VariantRow]
) -> dict[int, Manoeuvre]:
    speeds: defaultdict[int, dict[Category, float]] = defaultdict(dict)
    for speed in session.scalars(select(MinimumSpeedRow)):
        speeds[speed.manoeuvre_id][speed.category] = float(speed.kmh)
    ways: defaultdict[int, list[Variant]] = defaultdict(list)
    for row in variants:
        if not row.retired:
            ways[row.manoeuvre_id].append(Variant(row.code, row.name, row.place))
    return {id_: _manoeuvre(row, ways[id_], speeds[id_]) for id_, row in rows.items()}


def _manoeuvre(
    row: ManoeuvreRow, variants: list[Variant], speeds: dict[Category, float]
) -> Manoeuvre:
    return Manoeuvre(
        code=row.code,
        name=row.name,
        exercise=row.exercise,
        place=row.place,
        minutes=row.minutes,
        speed_run=row.speed_run,
        clean_looks_like=row.clean_looks_like,
        coaching_points=tuple(row.coaching_points),
        common_mistake=row.common_mistake,
        cautions=tuple(row.cautions),
        cone_colours=tuple(row.cone_colours),
        variants=tuple(variants),
        minimum_kmh=speeds,
        not_after_failed=row.not_after_failed,
    )


def _fault_kinds(
    session: Session, kinds: list[FaultKindRow], rows: Mapping[int, ManoeuvreRow]
) -> tuple[FaultKind, ...]:
    defaults: defaultdict[int, list[FaultDefault]] = defaultdict(list)
    for row in session.scalars(select(ManoeuvreFaultRow).order_by(ManoeuvreFaultRow.manoeuvre_id)):
        code = rows[row.manoeuvre_id].code
        default = FaultDefault(code, row.severity, row.standing, row.note)
        defaults[row.fault_kind_id].append(default)
    return tuple(
        FaultKind(k.code, k.name, k.sided, k.standing, k.place, tuple(defaults[k.id]))
        for k in kinds
        if not k.retired
    )


def _current(
    rows: Mapping[int, ManoeuvreRow],
    variants: list[VariantRow],
    manoeuvres: Mapping[int, Manoeuvre],
) -> tuple[CourseVariant, ...]:
    found = [
        _course_variant(row, manoeuvres)
        for row in variants
        if not row.retired and not rows[row.manoeuvre_id].retired
    ]
    return tuple(sorted(found, key=lambda each: (each.manoeuvre.place, each.variant.place)))


def _retired(
    rows: Mapping[int, ManoeuvreRow],
    variants: list[VariantRow],
    manoeuvres: Mapping[int, Manoeuvre],
) -> dict[int, CourseVariant]:
    return {
        row.id: _course_variant(row, manoeuvres)
        for row in variants
        if row.retired or rows[row.manoeuvre_id].retired
    }


def _course_variant(row: VariantRow, manoeuvres: Mapping[int, Manoeuvre]) -> CourseVariant:
    return CourseVariant(
        row.id, Variant(row.code, row.name, row.place), manoeuvres[row.manoeuvre_id]
    )
