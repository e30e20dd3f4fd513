"""The syllabus: what is ridden, how well, and what can be seen to go wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.rules.categories import Category
from app.rules.riding.values import Severity

ONLY = "only"
"""The code of the one variant of a manoeuvre that can be ridden in one way."""


@dataclass(frozen=True, slots=True)
class Variant:
    """A way of riding a manoeuvre that is evidence of its own; ``place`` orders them from 1."""

    code: str
    name: str
    place: int


@dataclass(frozen=True, slots=True)
class Manoeuvre:
    """One thing to get right.

    ``exercise`` is the number of the published exercise that it belongs to,
    ``place`` its place in the course from 1. ``minutes`` is for one ride with the
    way back. ``minimum_kmh`` holds km/h by category and is empty where there is
    no minimum. ``not_after_failed`` is the code of a manoeuvre: once that one has
    failed in a test, this one is not ridden.
    """

    code: str
    name: str
    exercise: int
    place: int
    minutes: float
    speed_run: bool
    clean_looks_like: str
    coaching_points: tuple[str, ...]
    common_mistake: str
    cautions: tuple[str, ...]
    cone_colours: tuple[str, ...]
    variants: tuple[Variant, ...]
    minimum_kmh: Mapping[Category, float] = field(default_factory=dict, hash=False)
    not_after_failed: str | None = None

    def minimum_for(self, category: Category) -> float | None:
        """The minimum speed in km/h for a rider of this category, or None."""
        return self.minimum_kmh.get(category)


@dataclass(frozen=True, slots=True)
class FaultDefault:
    """The severity that a fault starts from in one manoeuvre, where that comes from, and why."""

    manoeuvre: str
    severity: Severity
    standing: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class FaultKind:
    """Something that can be seen in a ride. ``sided`` asks left or right.

    ``standing`` is that of the kind; a default may have its own. ``place`` is the
    order in which kinds are offered, from 1.
    """

    code: str
    name: str
    sided: bool
    standing: str
    place: int
    defaults: tuple[FaultDefault, ...]

    def default_for(self, manoeuvre: str) -> FaultDefault | None:
        """The default for a manoeuvre's code; None where this kind is not offered there."""
        return next((each for each in self.defaults if each.manoeuvre == manoeuvre), None)


@dataclass(frozen=True, slots=True)
class Offer:
    """A fault kind as it is offered for one manoeuvre."""

    kind: FaultKind
    default: FaultDefault

    @property
    def is_remark(self) -> bool:
        """Whether it starts as the instructor's note and not as a fault."""
        return self.default.severity is Severity.REMARK


@dataclass(frozen=True, slots=True)
class PassRule:
    """How many riding faults a passing test may have at most. Never a serious or dangerous one."""

    most_riding_faults: int
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class SpeedRule:
    """The share of a minimum speed by which a rider may miss it for a riding fault only."""

    allowance_share: float
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class Syllabus:
    """A whole curriculum; manoeuvres and fault kinds stand in order of their place."""

    version: int
    code: str
    name: str
    caution: str
    pass_rule: PassRule
    speed_rule: SpeedRule
    manoeuvres: tuple[Manoeuvre, ...]
    fault_kinds: tuple[FaultKind, ...]

    def manoeuvre(self, code: str) -> Manoeuvre:
        """The manoeuvre of this code. Raises KeyError where there is none."""
        return {each.code: each for each in self.manoeuvres}[code]

    def fault_kind(self, code: str) -> FaultKind:
        """The fault kind of this code. Raises KeyError where there is none."""
        return {each.code: each for each in self.fault_kinds}[code]

    def offers(self, manoeuvre: str) -> tuple[Offer, ...]:
        """The fault kinds offered for a manoeuvre's code, in order, remarks after faults."""
        found = [
            Offer(kind, default)
            for kind in self.fault_kinds
            if (default := kind.default_for(manoeuvre)) is not None
        ]
        return tuple(sorted(found, key=lambda offer: (offer.is_remark, offer.kind.place)))

    def fault_names(self) -> dict[str, str]:
        """The names of the fault kinds by code."""
        return {kind.code: kind.name for kind in self.fault_kinds}
