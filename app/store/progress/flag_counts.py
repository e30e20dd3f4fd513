"""How many flags there are today under one set of the owner's four numbers or another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.progress.standing import standing_of
from app.rules.progress.target import Standing
from app.rules.settings import SchoolSettings
from app.store.progress.flag_scan import states_of
from app.store.progress.flag_students import Wanted, Where, students
from app.store.progress.kept import parts_of_test
from app.store.progress.picture import target_of
from app.store.progress.states import parameters
from app.store.progress.tables import StandingRow


@dataclass(frozen=True, slots=True)
class FlagCount:
    """How many ways of riding stand where, over all students learning now."""

    students: int
    by_standing: dict[Standing, int]

    @property
    def flags(self) -> int:
        """Whatever is not steady."""
        return sum(self.by_standing.values()) - self.by_standing[Standing.STEADY]


def flag_counts(
    session: Session, several: Sequence[SchoolSettings], now: datetime
) -> tuple[FlagCount, ...]:
    """The flags of everyone learning now under each of several settings. Five queries.

    The students are the same under all; the days are counted in the zone of the first.
    """
    zone = ZoneInfo(several[0].time_zone)
    among = students(Wanted(where=Where.LEARNING), now, zone)
    number = session.scalars(select(func.count()).select_from(among.subquery())).one()
    taught = [each for _, variants in parts_of_test(session) for each in variants]
    rows = select(StandingRow).where(
        StandingRow.student_id.in_(among),
        StandingRow.variant_id.in_(taught),
        StandingRow.rides > 0,
    )
    fixed, at_school = parameters(session), now.astimezone(zone)
    known = [(general, variant) for _, general, variant in states_of(session, rows)]
    counts = []
    for rule in map(target_of, several):
        found = Counter(standing_of(v, g, rule, fixed, at_school) for g, v in known)
        found[Standing.NOT_RIDDEN] = number * len(taught) - len(known)
        counts.append(FlagCount(number, {each: found[each] for each in Standing}))
    return tuple(counts)
