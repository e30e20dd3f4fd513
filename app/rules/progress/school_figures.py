"""Whether figures estimated from the school's own rides are worth keeping.

They are kept where they predict students whom they were not estimated from at
least as well as the figures so far. Those were estimated the same way from the
rides until then, and are held to the same: each time without the students who
are being predicted.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from app.rules.progress.estimate import Students, chances_of, estimate
from app.rules.progress.evidence import Evidence
from app.rules.progress.model import fold
from app.rules.progress.parameters import Parameters
from app.rules.progress.scores import log_loss
from app.rules.progress.sequences import Attempt
from app.rules.progress.standing import standing_of
from app.rules.progress.target import Standing, TargetRule
from app.rules.refusal import Reason, Refused

LEAST_STUDENTS, LEAST_RIDES = 10, 200
"""With fewer nothing is estimated. Invented: with ten students each fifth that is left out has
two in it, and 200 rides are twenty of each variant, which outweigh the shipped value by two to
one."""

FOLDS = 5
"""Parts that the students are dealt into; each is predicted from the other four."""

Tick = Callable[[], None]


@dataclass(frozen=True, slots=True)
class HeldOut:
    """Log loss on students left out: by the shipped figures, those so far, and the new ones."""

    shipped: float
    before: float
    after: float

    @property
    def worth_keeping(self) -> bool:
        """Whether the new figures predict at least as well as those so far."""
        return self.after <= self.before


@dataclass(frozen=True, slots=True)
class Shift:
    """What a change of figures does to the standings of what was ridden, as of one moment."""

    ridden: int
    changed: int
    flags_before: int
    flags_after: int


def refuse_too_few(students: Students) -> None:
    """Refused with fewer students or rides than figures can be estimated from."""
    rides = sum(map(len, students))
    if len(students) < LEAST_STUDENTS or rides < LEAST_RIDES:
        raise Refused(
            Reason(
                f"There are {rides} rides of {len(students)} students so far. From"
                f" {LEAST_RIDES} rides of {LEAST_STUDENTS} students on, the school's own"
                " figures can be estimated; until then the shipped ones stand."
            )
        )


def held_out(
    students: Students, shipped: Parameters, until: datetime | None, tick: Tick = lambda: None
) -> HeldOut:
    """How well each set of figures predicts the students it was not estimated from.

    ``until`` is when the figures so far were estimated: from the rides before it.
    None where they are the shipped ones. ``tick`` is called once for each of FOLDS.
    """
    clean: list[bool] = []
    by_shipped: list[float] = []
    by_before: list[float] = []
    by_after: list[float] = []
    for part in range(FOLDS):
        left_out = students[part::FOLDS]
        others = [one for place, one in enumerate(students) if place % FOLDS != part]
        after = estimate(others, shipped).parameters
        before = estimate(_until(others, until), shipped).parameters if until else shipped
        clean += [one.evidence.clean for student in left_out for one in student]
        by_shipped += _chances(left_out, shipped)
        by_before += _chances(left_out, before)
        by_after += _chances(left_out, after)
        tick()
    return HeldOut(*(log_loss(chances, clean) for chances in (by_shipped, by_before, by_after)))


def _chances(students: Students, parameters: Parameters) -> list[float]:
    return [chance for student in students for chance in chances_of(student, parameters)]


def _until(students: Students, moment: datetime) -> list[list[Attempt]]:
    return [[one for one in each if one.evidence.ridden_at <= moment] for each in students]


def riders_of(students: Students) -> Counter[int]:
    """How many students have ridden each variant."""
    return Counter(
        variant
        for student in students
        for variant in {attempt.evidence.variant_id for attempt in student}
    )


def shift(
    rides: Mapping[int, Sequence[Evidence]],
    figures: tuple[Parameters, Parameters],
    taught: frozenset[int],
    rule: TargetRule,
    now: datetime,
) -> Shift:
    """The standings of these students at ``now``, in the school's zone, before and after."""
    before, after = (_standings(rides, each, taught, rule, now) for each in figures)
    return Shift(
        ridden=len(after),
        changed=sum(before[key] is not standing for key, standing in after.items()),
        flags_before=sum(each is not Standing.STEADY for each in before.values()),
        flags_after=sum(each is not Standing.STEADY for each in after.values()),
    )


def _standings(
    rides: Mapping[int, Sequence[Evidence]],
    parameters: Parameters,
    taught: frozenset[int],
    rule: TargetRule,
    now: datetime,
) -> dict[tuple[int, int], Standing]:
    found = {}
    for student, ridden in rides.items():
        state = fold(ridden, parameters)
        for variant, known in state.variants.items():
            if variant in taught:
                standing = standing_of(known, state.general, rule, parameters, now)
                found[student, variant] = standing
    return found
